package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	_ "time/tzdata" // --zone works where the system has no zones

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/earth/trackfile"
	"firstfix/internal/maybe"
	"firstfix/internal/positions"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const trackHelp = `
Take the positions out of files and say what they amount to: how far and how fast a device
went, where it stood, where nothing was heard, and which sightings may not be believed, each
with its reason and its line. What is set apart counts in no figure and is in no file.

Any file will do: a capture, a log, raw GNSS sentences, texts with links or plain degrees, a
table (CSV), GPX, GeoJSON, KML; packed with gzip too. Several files are one track, in the order given.
"-" reads standard input.

Files are written as asked: --gpx, --geojson, --kml, --csv, a picture with --svg, a page with
--report, and with --apart a table of what was set apart. "-" writes to standard output
instead of the figures.

The place of a person, or of a vehicle a person uses, is personal data: get consent.`

// trackOptions are the flags of track.
type trackOptions struct {
	files  map[string]*string // by format
	apart  string
	svg    string
	report string
	json   bool
	title  string

	kind      string
	sheet     string
	inputZone string
	zone      string
	sort      bool

	simplifyM  float64
	fences     []string
	marginM    float64
	count      int
	maxKMH     float64
	satellites int
	maxHDOP    float64
	gap        time.Duration
	stop       time.Duration
	stopM      float64

	heard string
	weeks int
}

func (o *trackOptions) flags(f *pflag.FlagSet) {
	o.files = map[string]*string{}
	for _, format := range trackfile.Formats {
		o.files[format.Name] = f.String(format.Name, "", "write the track as "+format.Title+" to this file")
	}
	f.StringVar(&o.svg, "svg", "", "draw the track to this file")
	f.StringVar(&o.report, "report", "", "write one self-contained HTML page to this file")
	f.StringVar(&o.apart, "apart", "", "write a table of what was set apart, with the reasons, to this file")
	f.StringVar(&o.title, "title", "", "what to call the track (default: the file's name)")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/track.schema.json)")

	f.StringVar(&o.kind, "kind", "", "say what the files are instead of letting it be found out: "+strings.Join(positions.Kinds, ", "))
	f.StringVar(&o.sheet, "sheet", "", "how the module answers when it is asked for its position: a built-in name or a file")
	f.StringVar(&o.inputZone, "input-zone", "", "zone of times in tables and texts that do not say theirs, such as Europe/Lisbon (default UTC)")
	f.StringVar(&o.zone, "zone", "", "show times in this zone (default UTC)")
	f.BoolVar(&o.sort, "sort", false, "put the sightings in the order of their times first: for tables with the newest on top")

	f.Float64Var(&o.simplifyM, "simplify", 0, "leave out of the files what no line needs: no sighting left out is farther than so many metres from it")
	f.StringArrayVar(&o.fences, "fence", nil, "a fence: 'NAME=LAT,LON,METRES' is a circle; or a GeoJSON file with polygons; may be repeated")
	f.Float64Var(&o.marginM, "fence-margin", track.UsualHysteresis.MarginM, "a side of a fence is certain so many metres from its line")
	f.IntVar(&o.count, "fence-count", track.UsualHysteresis.Count, "and when so many sightings in a row say so")
	f.Float64Var(&o.maxKMH, "max-speed", track.Usual.MaxSpeedMPS*3.6, "the device goes no faster, km/h")
	f.IntVar(&o.satellites, "min-satellites", 0, "set apart what fewer satellites gave, where the file tells")
	f.Float64Var(&o.maxHDOP, "max-hdop", 0, "set apart what has a greater HDOP, where the file tells")
	f.DurationVar(&o.gap, "gap", 0, "longer without a sighting is a gap (default: three usual intervals, at least 5s)")
	f.DurationVar(&o.stop, "stop", 3*time.Minute, "a stop is at least so long")
	f.Float64Var(&o.stopM, "stop-radius", 30, "and within so many metres")

	f.StringVar(&o.heard, "heard", "", "the day the recording was made, as 2026-03-04: tells whether the dates are 1024 weeks off")
	f.IntVar(&o.weeks, "add-weeks", 0, "add so many weeks to the dates: 1024 where the receiver's round is too old")
}

// trackCommand turns positions into figures and files: `firstfix track FILE…`.
func trackCommand(s *streams) *cobra.Command {
	var opts trackOptions
	c := &cobra.Command{
		Use:   "track FILE...",
		Short: "positions to figures, maps and files",
		Long: exits(trackHelp, exit{statusFound, "no position was found that may be believed"},
			exit{statusCannot, "a file could not be read or written"}),
		Example: `  firstfix track night.nmea
  firstfix track trailer-22.capture --gpx out.gpx --svg out.svg
  firstfix track reports.csv --simplify 10 --geojson - > track.geojson
  firstfix track drive.nmea --fence 'yard=52.3074,8.6205,150' --zone Europe/Lisbon
  firstfix track place '51 42.6130N 0 18.4420W'      one coordinate in every spelling`,
		RunE: func(c *cobra.Command, files []string) error { return runTrack(c.Context(), s, opts, files) },
	}
	opts.flags(c.Flags())
	c.AddCommand(trackPlaceCommand(s))
	return c
}

// cannot is a request that cannot be carried out.
func cannot(err error, hints ...string) error {
	return &stop{Status: statusCannot, Err: err, Hints: hints}
}

func runTrack(ctx context.Context, s *streams, o trackOptions, files []string) error {
	if len(files) == 0 {
		return cannot(errors.New("no file was given"), "firstfix track night.nmea", "firstfix track place takes a coordinate instead")
	}
	r, err := newTrackRun(s, o, files)
	if err != nil {
		return err
	}
	defer r.closeFiles()
	readError := r.read(ctx, files)
	if err := r.finish(); err != nil {
		return err
	}
	if err := r.show(s); err != nil {
		return err
	}
	switch {
	case readError != nil:
		return readError
	case r.figures.Kept == 0:
		return &stop{Status: statusFound}
	}
	return nil
}

// limits are what the person says of the device and of a good fix.
func (o *trackOptions) limits() (track.Limits, error) {
	l := track.Usual
	if !(o.maxKMH > 0) || math.IsInf(o.maxKMH, 0) {
		return l, cannot(fmt.Errorf("--max-speed %g: want a speed above 0, in km/h", o.maxKMH))
	}
	l.MaxSpeedMPS = o.maxKMH / 3.6
	if o.satellites < 0 || o.maxHDOP < 0 {
		return l, cannot(errors.New("--min-satellites and --max-hdop cannot be negative"))
	}
	l.Gate = fix.Gate{MinSatellites: o.satellites, MaxHDOP: o.maxHDOP}
	return l, nil
}

// rounds are the weeks to add, which must be whole rounds of the week number.
func (o *trackOptions) rounds() (int, error) {
	if o.weeks%1024 != 0 {
		return 0, cannot(fmt.Errorf("--add-weeks %d: want a multiple of 1024: the week number of the receivers begins again after so many", o.weeks))
	}
	return o.weeks / 1024, nil
}

func loadZone(flag, name string) (*time.Location, error) {
	if name == "" {
		return nil, nil
	}
	zone, err := time.LoadLocation(name)
	if err != nil || name == "Local" {
		return nil, cannot(fmt.Errorf("--%s %q is no time zone", flag, name), "zones have names such as Europe/Lisbon, America/Chicago or UTC")
	}
	return zone, nil
}

func (o *trackOptions) heardDay() (maybe.Value[time.Time], error) {
	if o.heard == "" {
		return maybe.Value[time.Time]{}, nil
	}
	day, err := time.Parse(time.DateOnly, o.heard)
	if err != nil {
		return maybe.Value[time.Time]{}, cannot(fmt.Errorf("--heard %q: want a day as 2026-03-04", o.heard))
	}
	return maybe.Known(day.Add(12 * time.Hour)), nil
}

// readFences reads the fences: circles out of the flag, polygons out of files.
func (o *trackOptions) readFences() (list []track.Fence, err error) {
	for i, text := range o.fences {
		name, spec, named := strings.Cut(text, "=")
		if !named {
			name, spec = fmt.Sprintf("fence %d", i+1), text
		}
		if fence, ok := circleOf(name, spec); ok {
			list = append(list, fence)
			continue
		}
		f, err := openFile(text)
		if err != nil {
			return nil, cannot(fmt.Errorf("--fence %q is neither NAME=LAT,LON,METRES nor a file: %w", text, err))
		}
		more, err := trackfile.ReadFences(f, text)
		f.Close()
		if err != nil {
			return nil, cannot(err, "a file of fences is GeoJSON with polygons, or points with the property radius_m")
		}
		list = append(list, more...)
	}
	return list, nil
}

// circleOf reads "52.3074,8.6205,150": a coordinate in any spelling, and a radius.
func circleOf(name, spec string) (track.Fence, bool) {
	at := strings.LastIndexByte(spec, ',')
	if at < 0 {
		return track.Fence{}, false
	}
	radius, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(spec[at+1:]), "m"), 64)
	if err != nil || !(radius > 0) {
		return track.Fence{}, false
	}
	r, err := geo.Parse(strings.TrimSpace(spec[:at]))
	if err != nil || !r.Point.Valid() {
		return track.Fence{}, false
	}
	return track.Fence{Name: name, Centre: r.Point, RadiusM: radius}, true
}
