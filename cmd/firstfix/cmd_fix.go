package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/maybe"
	"firstfix/internal/positions"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/talk/intake"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const fixHelp = `
Say how good the positions of an antenna are that does not move: where its mean lies, how
they scatter (CEP, R68, R95, DRMS), with an interval for each figure; how they hang together
in time, drift, and how long to average; how often there is a fix and how long the first one
took; which satellites are heard how well from which side, and what may be the matter with the
antenna.

Any recording with sentences will do, as for review; a GPX, GeoJSON or KML file or a table gives
positions only. Several files are one antenna's, in order. "-" reads standard input.

The intervals hold 95 of 100. Errors of a receiver last for minutes and hours, so that a thousand
positions may be worth ten; the intervals allow for it. They say how the run would come out again,
not how far off the truth is: --truth gives the place, if it is known.`

// fixOptions are the flags of fix.
type fixOptions struct {
	truth       string
	altitude    float64
	hasAltitude bool
	start       string
	sheet       string
	kind        string
	within      []float64
	plot        string
	skyPlot     string
	meansPlot   string
	json        bool
}

func (o *fixOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.truth, "truth", "", "where the antenna really is, in any spelling")
	f.Float64Var(&o.altitude, "truth-altitude", 0, "its height above the sea, metres")
	f.StringVar(&o.start, "start", "", "how the receiver was started in these files: cold, warm, hot")
	f.StringVar(&o.sheet, "sheet", "demo", "sheet of the module, for its commands that restart the receiver: a name or a file")
	f.StringVar(&o.kind, "kind", "", "say what the files are instead of letting it be found out: "+strings.Join(positions.Kinds, ", "))
	f.Float64SliceVar(&o.within, "within", []float64{1}, "how long to average for a mean within so many metres")
	f.StringVar(&o.plot, "plot", "", "write the positions to this SVG file")
	f.StringVar(&o.skyPlot, "sky-plot", "", "write what is heard from where to this SVG file")
	f.StringVar(&o.meansPlot, "means-plot", "", "write what averaging brings to this SVG file")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/fix.schema.json)")
}

// fixCommand puts a still antenna's positions into figures: `firstfix fix FILE…`.
func fixCommand(s *streams) *cobra.Command {
	var opts fixOptions
	c := &cobra.Command{
		Use:   "fix FILE...",
		Short: "say how good the positions of a still antenna are, and what it hears",
		Long: exits(fixHelp, exit{statusFound, "there is no valid position, or something is probably the matter with the antenna"},
			exit{statusCannot, "the input could not be read"}),
		Example: `  firstfix fix night.nmea
  firstfix fix night.nmea --truth 52.618412,9.273488 --truth-altitude 61.2 --within 0.5
  firstfix fix cold-*.capture --start cold --plot scatter.svg --sky-plot heard.svg`,
		RunE: func(c *cobra.Command, files []string) error {
			opts.hasAltitude = c.Flags().Changed("truth-altitude")
			return runFix(s, opts, files)
		},
	}
	opts.flags(c.Flags())
	return c
}

func runFix(s *streams, o fixOptions, files []string) error {
	if len(files) == 0 {
		return &stop{Status: statusCannot, Err: errors.New("no file was given"), Hints: []string{"firstfix fix night.nmea"}}
	}
	a, err := newStudy(o)
	if err != nil {
		return err
	}
	for _, name := range files {
		if err := a.read(s, name); err != nil {
			return err
		}
	}
	a.finish(files)
	for _, f := range []struct {
		name string
		svg  func() (string, bool)
	}{{o.plot, a.scatterPlot}, {o.skyPlot, a.heardPlot}, {o.meansPlot, a.meansPlot}} {
		if f.name == "" {
			continue
		}
		svg, ok := f.svg()
		if !ok {
			return &stop{Status: statusCannot, Err: fmt.Errorf("%s: there is too little in the recording to draw", f.name)}
		}
		if err := os.WriteFile(f.name, []byte(svg), 0o644); err != nil {
			return &stop{Status: statusCannot, Err: fmt.Errorf("write the plot: %w", err)}
		}
	}
	if o.json {
		if err := writeJSON(s.Out, a.json()); err != nil {
			return err
		}
	} else {
		a.text(s.Out)
	}
	if !a.ok || a.suspects() {
		return &stop{Status: statusFound}
	}
	return nil
}

// study is a still antenna's recordings, put together.
type study struct {
	options fixOptions
	sheet   *sheet.Sheet
	start   string // what --start says

	still   *fix.Still
	hearing *fix.Hearing
	watch   fix.StartWatch
	runs    []fix.Run
	line    moments
	heard   []fix.Heard
	assumed []string
	timed   bool // starts are counted only where times are known

	name    string
	figures fix.StillFigures
	ok      bool
	signal  fix.HearingFigures
	antenna []fix.Weighed
	starts  []fix.StartFigures
}

// maxRuns bounds the starts that are kept: a year of one every hour.
const maxRuns = 10_000

func newStudy(o fixOptions) (*study, error) {
	a := &study{options: o, hearing: fix.NewHearing(), start: o.start}
	var truth maybe.Value[geo.Point]
	var altitude maybe.Value[float64]
	if o.truth != "" {
		r, err := geo.Parse(o.truth)
		if err == nil && !r.Point.Valid() {
			err = fmt.Errorf("%s is no place on earth", r.Point)
		}
		if err != nil {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--truth: %w", err)}
		}
		truth = maybe.Known(r.Point)
	}
	if o.hasAltitude {
		if !(math.Abs(o.altitude) <= maxHeightM) || o.truth == "" {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--truth-altitude %g: want at most %d metres either way, together with --truth", o.altitude, maxHeightM)}
		}
		altitude = maybe.Known(o.altitude)
	}
	switch o.start {
	case "", "cold", "warm", "hot":
	default:
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--start %q: want cold, warm or hot", o.start)}
	}
	for _, w := range o.within {
		if !(w > 0 && w <= 1000) {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--within %g: want above 0 to 1000 metres", w)}
		}
	}
	var err error
	if a.sheet, err = chooseSheet(o.sheet, true); err != nil {
		return nil, err
	}
	a.still = fix.NewStill(truth, altitude)
	return a, nil
}

// read takes in one file.
func (a *study) read(s *streams, name string) error {
	in := s.In
	if name != "-" {
		f, err := openFile(name)
		if err != nil {
			return &stop{Status: statusCannot, Err: err}
		}
		defer f.Close()
		in = f
	}
	a.line.newFile()
	a.still.Break()
	a.runs = a.watch.Restart(a.start, a.runs)
	if isTrackFile(name, a.options.kind) {
		return a.readTrack(in, name)
	}
	src, err := intake.Open(in, name, intake.Options{Kind: a.options.kind})
	if err != nil {
		var unreadable *intake.Unreadable
		if errors.As(err, &unreadable) {
			return &stop{Status: statusCannot, Err: err, Hints: hintsOf(unreadable.Hint)}
		}
		return &stop{Status: statusCannot, Err: err}
	}
	return a.readTalk(src)
}

// isTrackFile says whether a file holds positions without sentences, by its ending or by what the person says.
func isTrackFile(name, kind string) bool {
	for _, k := range []struct{ kind, ending string }{{"gpx", ".gpx"}, {"geojson", ".geojson"}, {"kml", ".kml"}, {"table", ".csv"}} {
		if kind == k.kind || kind == "" && strings.EqualFold(filepath.Ext(name), k.ending) {
			return true
		}
	}
	return false
}

// readTalk reads a recording of a line with the judge's ears, without any rule.
func (a *study) readTalk(src capture.Source) error {
	j := rulebook.NewJudge(nil, src.Info(), rulebook.Options{Banners: startBanners(a.sheet)})
	a.timed = src.Info().TimesKnown
	j.Listen(func(p *rulebook.Pass) {
		p.OnEpoch(a.epoch)
		p.OnRestart(func(witness.Restart) { a.runs = a.watch.Restart(a.start, a.runs) })
		p.OnInfo("+CSQ", func(_ *dialogue.Exchange, _ dialogue.Line, answer at.Answer) { a.cellular(answer) })
		a.follow(p, "cold", sheet.PositionRestartCold)
		a.follow(p, "warm", sheet.PositionRestartWarm)
		a.follow(p, "hot", sheet.PositionRestartHot)
	})
	for {
		r, err := src.Next()
		if err == io.EOF {
			break
		}
		var line *capture.LineError
		if errors.As(err, &line) {
			continue // the record is in the file's notes
		}
		if err != nil {
			return &stop{Status: statusCannot, Err: err}
		}
		j.Feed(r)
	}
	j.End()
	a.runs = a.watch.End(a.runs)
	a.assume(src.Info().Assumed)
	return nil
}

// startBanners are the lines with which this module says that it starts.
func startBanners(s *sheet.Sheet) (out []string) {
	for _, b := range s.Banners {
		if b.Means == sheet.Ready {
			out = append(out, b.Text)
		}
	}
	return out
}

// cellular hears how strong the network is: 3GPP TS 27.007, 8.5: 0 to 31 are -113 dBm and 2 dB each.
func (a *study) cellular(answer at.Answer) {
	if len(answer.Params) == 0 {
		return
	}
	if n, err := strconv.Atoi(answer.Params[0].Text); err == nil && n >= 0 && n <= 31 {
		a.hearing.Cellular(float64(2*n - 113))
	}
}

// follow hears the command by which this module's receiver is restarted.
func (a *study) follow(p *rulebook.Pass, kind, duty string) {
	d, ok := a.sheet.Duty(duty)
	if !ok {
		return
	}
	line := at.ParseLine(d.Send)
	if len(line.Commands) == 0 {
		return
	}
	want := line.Commands[0]
	p.OnResult(want.Name, func(x *dialogue.Exchange, got *at.Command) {
		if x.Result.Kind == at.OK && got.Form == want.Form && got.Value == want.Value {
			a.runs = a.watch.Restart(kind, a.runs)
		}
	})
}

// epoch takes one epoch.
func (a *study) epoch(e *epoch.Epoch) {
	atS := a.line.of(&e.Fix, e.At.Seconds(), a.timed)
	a.still.Add(atS, &e.Fix)
	if len(a.runs) < maxRuns && (a.timed || e.Fix.TimeOfDay.IsKnown() || e.Fix.UTC.IsKnown()) {
		a.runs = a.watch.Add(atS, &e.Fix, a.runs)
	}
	if !e.SkyKnown {
		return
	}
	a.heard = a.heard[:0]
	for i := range e.Satellites {
		v := &e.Satellites[i]
		a.heard = append(a.heard, fix.Heard{System: v.System.String(), ID: v.ID, ElevationDeg: v.ElevationDeg, AzimuthDeg: v.AzimuthDeg, CN0DBHz: v.CN0DBHz, Used: v.Used})
	}
	a.hearing.Add(a.heard)
}

// readTrack reads a file of positions.
func (a *study) readTrack(in io.Reader, name string) error {
	src, err := positions.Open(in, name, positions.Options{Kind: a.options.kind})
	if err != nil {
		return &stop{Status: statusCannot, Err: err}
	}
	for {
		var s track.Sighting
		if err := src.Next(&s); err == io.EOF {
			break
		} else if err != nil {
			return &stop{Status: statusCannot, Err: err}
		}
		if s.Odd != "" {
			continue
		}
		a.still.Add(a.line.of(&s.Fix, s.At.Seconds(), s.Timed), &s.Fix)
	}
	a.assume(src.About().Assumed)
	return nil
}

// assume keeps what had to be assumed, once.
func (a *study) assume(sentences []string) {
	for _, x := range sentences {
		if !slices.Contains(a.assumed, x) {
			a.assumed = append(a.assumed, x)
		}
	}
}

func (a *study) finish(files []string) {
	a.name = strings.Join(files, ", ")
	if len(files) > 3 {
		a.name = fmt.Sprintf("%s and %d more", files[0], len(files)-1)
	}
	a.runs = a.watch.End(a.runs)
	a.figures, a.ok = a.still.Figures()
	a.signal = a.hearing.Figures()
	a.antenna = a.signal.Antenna()
	if a.line.jumps > 0 {
		a.assumed = append(a.assumed, fmt.Sprintf("The date jumps %d times; the time is taken to go on.", a.line.jumps))
	}
	a.starts = fix.Starts(a.runs)
}

// suspects says whether something is probably the matter with the antenna.
func (a *study) suspects() bool {
	return len(a.antenna) > 0 && a.antenna[0].State.Name != "good" && a.antenna[0].Weight >= 0.5
}

// moments puts the epochs of one antenna on one line of time, in seconds.
type moments struct {
	last    float64
	any     bool // there is a last one
	begins  bool // a file begins
	heard   float64
	offset  float64       // of the recording's clock, in this file
	time    time.Duration // of day, of the last one that had it
	hasTime bool
	shift   float64 // what is added to dates, since they jumped
	dated   bool    // the last one had a date
	jumps   int     // of the date
}

const (
	// betweenFilesS is put between two files whose times say nothing of each other.
	betweenFilesS = 60
	dayS          = 86400
)

func (m *moments) newFile() { m.begins, m.hasTime = true, false }

// of says when an epoch was: by its date and time, else by its time of day on from the last one,
// else by the recording's clock, else a second later.
func (m *moments) of(f *fix.Fix, heardS float64, timed bool) float64 {
	was, begins := m.last, m.begins
	if begins {
		m.offset = 0
		if m.any {
			m.offset = was + betweenFilesS - heardS
		}
	}
	t, hasTime := f.TimeOfDay.Get()
	switch utc, dated := f.UTC.Get(); {
	case dated:
		m.last = float64(utc.UnixNano())/1e9 + m.shift
		if begins {
			break
		}
		// A receiver that learns the date late, or a week number that begins again, is no way back
		// in time, nor years without an epoch.
		step := 1.0
		if timed {
			step = max(0, heardS-m.heard)
		} else if hasTime && m.hasTime {
			step = math.Mod((t-m.time).Seconds()+dayS, dayS)
		}
		if math.Abs(m.last-was-step) > dayS/2 {
			if m.dated {
				m.jumps++
			}
			m.shift += was + step - m.last
			m.last = was + step
		}
	case hasTime && m.hasTime:
		step := (t - m.time).Seconds()
		if step < -dayS/2 {
			step += dayS // midnight
		}
		m.last = was + step
	case timed && !begins:
		m.last = was + max(0, heardS-m.heard)
	case begins:
		m.last = m.offset + heardS
	default:
		m.last = was + 1
	}
	if hasTime {
		m.time, m.hasTime = t, true
	} else if m.hasTime { // carried on by another clock
		m.time = (m.time + time.Duration((m.last-was)*1e9)) % (dayS * time.Second)
	}
	m.any, m.begins, m.heard, m.dated = true, false, heardS, f.UTC.IsKnown() || m.dated && !begins
	return m.last
}
