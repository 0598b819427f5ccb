package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/geoid"
	"firstfix/internal/earth/sky"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const skyHelp = `
Say which satellites are above a place and when, how good their arrangement is over
a day (DOP), which hours are best, and how long a first fix should take.

The place is written in any way that explain understands: decimal degrees, degrees
and minutes, a grid reference, a geo: URI.

Without --almanac the nominal constellation of 24 slots is used: its geometry is what
to expect on any day, but no dot of it is a real satellite. An almanac file (YUMA or
SEM, as published every day) gives the real ones.`

// maxSkySpan bounds --for: what earth/sky looks ahead in steps of a minute.
const maxSkySpan = 31 * 24 * time.Hour

// skyOptions are the flags of sky.
type skyOptions struct {
	at      string
	span    time.Duration
	maskDeg float64
	blocked []string
	height  float64
	almanac string
	plot    string
	dayPlot string
	json    bool
}

func (o *skyOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.at, "at", "", "time, as 2026-03-04T10:15:00Z, 2026-03-04 10:15 (UTC) or 2026-03-04; default now")
	f.DurationVar(&o.span, "for", 24*time.Hour, "how far to look ahead")
	f.Float64Var(&o.maskDeg, "mask", 5, "elevation below which nothing counts, degrees")
	f.StringSliceVar(&o.blocked, "blocked", nil, "a part of the sky that is hidden, FROM-TO:UP in degrees: 90-180:40 is a wall from east to south, 40 high; may be repeated")
	f.Float64Var(&o.height, "height", 0, "height of the place above the sea, metres")
	f.StringVar(&o.almanac, "almanac", "", "almanac file, YUMA or SEM")
	f.StringVar(&o.plot, "plot", "", "write the sky at that time to this SVG file")
	f.StringVar(&o.dayPlot, "day-plot", "", "write satellites and DOP over the time to this SVG file")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/sky.schema.json)")
}

// skyCommand says what is above a place: `firstfix sky PLACE`.
func skyCommand(s *streams) *cobra.Command {
	var opts skyOptions
	c := &cobra.Command{
		Use:   "sky PLACE",
		Short: "say what is above a place and when, and what it is worth",
		Long: exits(skyHelp, exit{statusFound, "four satellites are not always there, or the almanac could not be read whole"},
			exit{statusCannot, "the place, the time or the almanac could not be read"}),
		Example: `  firstfix sky 52.6184,9.2735
  firstfix sky "52 37.10 N 9 16.41 E" --at 2026-03-04 --mask 10 --blocked 90-200:35
  firstfix sky 52.6184,9.2735 --almanac current.alm --plot sky.svg --day-plot day.svg`,
		RunE: func(_ *cobra.Command, args []string) error { return runSky(s, opts, args) },
	}
	opts.flags(c.Flags())
	return c
}

// skyAnswer is all that the command found out; text, JSON and pictures are written from it.
type skyAnswer struct {
	place         geo.Point
	at            time.Time
	span          time.Duration
	mask          sky.Mask
	constellation *sky.Constellation
	assumed       []string
	problems      []string
	geoidM        float64
	heightM       float64 // above the ellipsoid

	seen    []sky.Seen
	now     sky.Moment
	day     []sky.Moment
	summary sky.Summary
	best    []sky.Window
	worst   sky.Window
	windows bool
	passes  []sky.Pass
	fixes   []skyFix
}

// skyFix is the first fix to expect with one kind of sky view.
type skyFix struct {
	view     sky.View
	starts   []sky.Expectation // in the order of sky.Starts
	dayShare float64           // of the time ahead: four satellites are strong enough
}

func runSky(s *streams, o skyOptions, args []string) error {
	a, err := newSkyAnswer(o, args)
	if err != nil {
		return err
	}
	a.look()
	for _, f := range []struct {
		name string
		svg  func() string
	}{{o.plot, a.skyPlot}, {o.dayPlot, a.dayPlot}} {
		if f.name == "" {
			continue
		}
		if err := os.WriteFile(f.name, []byte(f.svg()), 0o644); err != nil {
			return &stop{Status: statusCannot, Err: fmt.Errorf("write the plot: %w", err)}
		}
	}
	if o.json {
		if err := writeJSON(s.Out, a.json()); err != nil {
			return err
		}
	} else {
		a.text(s.Out, o)
	}
	if a.summary.NoFixShare > 0 || len(a.problems) > 0 {
		return &stop{Status: statusFound}
	}
	return nil
}

func newSkyAnswer(o skyOptions, args []string) (*skyAnswer, error) {
	if len(args) == 0 {
		return nil, &stop{Status: statusCannot, Err: errors.New("no place was given"), Hints: []string{"firstfix sky 52.6184,9.2735"}}
	}
	r, err := geo.Parse(strings.Join(args, " "))
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: err, Hints: []string{"firstfix sky 52.6184,9.2735", "a place that begins with a minus sign goes behind --: firstfix sky -- -33.9,18.4"}}
	}
	if !r.Point.Valid() {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("%s is no place on earth", r.Point)}
	}
	a := &skyAnswer{place: r.Point, span: o.span}
	if a.at, err = parseInstant(o.at); err != nil {
		return nil, &stop{Status: statusCannot, Err: err}
	}
	if o.span < time.Hour || o.span > maxSkySpan {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--for %s: want an hour to 31 days", o.span)}
	}
	if !(o.maskDeg >= 0 && o.maskDeg < 90) {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--mask %g: want 0 to below 90 degrees", o.maskDeg)}
	}
	if !(math.Abs(o.height) <= maxHeightM) {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--height %g: want at most %d metres either way", o.height, maxHeightM)}
	}
	a.mask.ElevationDeg = o.maskDeg
	for _, text := range o.blocked {
		wall, err := parseObstacle(text)
		if err != nil {
			return nil, &stop{Status: statusCannot, Err: err}
		}
		a.mask.Obstacles = append(a.mask.Obstacles, wall)
	}
	a.geoidM = geoid.HeightM(a.place)
	a.heightM = o.height + a.geoidM
	return a, a.constellationFrom(o.almanac)
}

// maxHeightM is above every aircraft that farms.
const maxHeightM = 20000

func (a *skyAnswer) constellationFrom(name string) error {
	if name == "" {
		a.constellation = sky.Nominal()
		return nil
	}
	f, err := openFile(name)
	if err != nil {
		return &stop{Status: statusCannot, Err: err}
	}
	defer f.Close()
	almanac, problems, err := sky.ReadAlmanac(f)
	if err != nil {
		return &stop{Status: statusCannot, Err: err}
	}
	for i := range problems {
		a.problems = append(a.problems, problems[i].Error())
	}
	if len(almanac.Entries) == 0 {
		return &stop{Status: statusCannot, Err: fmt.Errorf("%s: no satellite could be read", name), Hints: a.problems}
	}
	a.constellation, a.assumed = almanac.Constellation(a.at)
	a.constellation.Source = name
	return nil
}

// instantLayouts are how a time may be written; without a zone it is UTC.
var instantLayouts = []string{time.RFC3339, "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02"}

// earliest and latest bound the times that are worked with: the beginning of GPS, and the year
// in which its weeks of thirteen bits begin again.
var earliest, latest = time.Date(1980, 1, 6, 0, 0, 0, 0, time.UTC), time.Date(2137, 1, 1, 0, 0, 0, 0, time.UTC)

// parseInstant reads a time; "" is now.
func parseInstant(text string) (time.Time, error) {
	if text == "" {
		return time.Now().UTC().Truncate(time.Second), nil
	}
	for _, layout := range instantLayouts {
		t, err := time.Parse(layout, text)
		if err != nil {
			continue
		}
		if t.Before(earliest) || t.After(latest) {
			return t, fmt.Errorf("time %q: want 1980-01-06 to 2137-01-01", text)
		}
		return t.UTC(), nil
	}
	return time.Time{}, fmt.Errorf("time %q: want it as 2026-03-04T10:15:00Z, 2026-03-04 10:15 (UTC) or 2026-03-04", text)
}

// parseObstacle reads FROM-TO:UP.
func parseObstacle(text string) (o sky.Obstacle, err error) {
	azimuths, up, ok1 := strings.Cut(text, ":")
	from, to, ok2 := strings.Cut(azimuths, "-")
	wrong := fmt.Errorf("--blocked %q: want FROM-TO:UP in degrees, azimuths 0 to 360, clockwise, and up to 90: 90-180:40", text)
	if !ok1 || !ok2 {
		return o, wrong
	}
	for _, x := range []struct {
		text string
		to   *float64
		max  float64
	}{{from, &o.FromDeg, 360}, {to, &o.ToDeg, 360}, {up, &o.UpToDeg, 90}} {
		v, err := strconv.ParseFloat(strings.TrimSpace(x.text), 64)
		if err != nil || !(v >= 0 && v <= x.max) {
			return o, wrong
		}
		*x.to = v
	}
	return o, nil
}

// look fills in what there is to see.
func (a *skyAnswer) look() {
	h := sky.NewHorizon(a.place.LatDeg, a.place.LonDeg, a.heightM)
	c := a.constellation
	a.seen = c.Above(&h, &a.mask, a.at, nil)
	step := time.Minute
	if a.span > 48*time.Hour {
		step = 10 * time.Minute
	}
	a.day = sky.OverDay(c, &h, &a.mask, a.at, a.span, step)
	a.now = a.day[0]
	a.summary = sky.Summarise(a.day)
	a.best, a.worst, a.windows = sky.Best(a.day, time.Hour, 3)
	a.passes = sky.Passes(c, &h, &a.mask, a.at, min(a.span, 24*time.Hour))
	for _, v := range sky.Views {
		f := skyFix{view: v}
		for _, start := range sky.Starts {
			f.starts = append(f.starts, sky.Expect(start, v, a.seen))
		}
		const every = 15 * time.Minute
		n := 0
		var seen []sky.Seen
		for d := time.Duration(0); d <= a.span; d += every {
			seen = c.Above(&h, &a.mask, a.at.Add(d), seen[:0])
			if sky.Strong(v, seen) >= 4 {
				f.dayShare++
			}
			n++
		}
		f.dayShare /= float64(n)
		a.fixes = append(a.fixes, f)
	}
}
