package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"firstfix/internal/earth/track"
	"firstfix/internal/plan/reporting"
	"firstfix/internal/plan/tariff"
	"firstfix/internal/positions"
	"firstfix/internal/talk/intake"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const planReportingHelp = `
Play ways of reporting over a track that was really driven, and say what each is worth: how
far off the recipient's belief is between reports, on the mean, for 95 of 100 of the time and at
worst, and how many messages it takes. The recipient believes the last report.

Without --policy some two hundred ways are tried, and those are shown that no other beats in
messages, mean error and worst error at once. A policy is written as triggers joined by "+":

  every 10 min        so long after the last report
  every 500 m         so far from the place of the last report
  turn 45             the heading is so many degrees from that of the last report
  stop                it comes to stand (2 min within 30 m), or starts (60 m away)
  fence               it crosses a fence of --fence
  least 30 s          never sooner than this after the last report

Any file that track understands will do. Several files are one track, in order; "-" reads standard
input. What may not be believed is set apart as track does; gaps count for nobody.`

// reportingOptions are the flags of plan reporting.
type reportingOptions struct {
	policies []string
	grid     bool
	fences   []string
	delay    time.Duration
	parts    int
	tariff   string
	price    string
	wish     reporting.Wish
	kind     string
	all      bool
	plot     string
	json     bool
}

func (o *reportingOptions) flags(f *pflag.FlagSet) {
	f.StringArrayVar(&o.policies, "policy", nil, "a way of reporting, as 'every 10 min + turn 45 + stop'; may be repeated")
	f.BoolVar(&o.grid, "grid", false, "try the usual combinations too, beside --policy")
	f.StringArrayVar(&o.fences, "fence", nil, "a fence: 'NAME=LAT,LON,METRES' is a circle; or a GeoJSON file with polygons; may be repeated")
	f.DurationVar(&o.delay, "delay", 0, "how long a report takes to arrive")
	f.IntVar(&o.parts, "parts", 1, "parts of a text that one report takes")
	f.StringVar(&o.tariff, "tariff", "", "file with your prices (docs/formats/tariff.md)")
	f.StringVar(&o.price, "price", "", "price of one part, as 0.09EUR")
	f.Float64Var(&o.wish.MeanM, "mean", 0, "look for the fewest messages with a mean error of at most so many metres")
	f.Float64Var(&o.wish.WorstM, "worst", 0, "look for the fewest messages with a worst error of at most so many metres")
	f.Float64Var(&o.wish.PerDay, "per-day", 0, "look among ways with at most so many messages a day")
	f.StringVar(&o.kind, "kind", "", "say what the files are instead of letting it be found out: "+strings.Join(positions.Kinds, ", "))
	f.BoolVar(&o.all, "all", false, "show every way that was tried")
	f.StringVar(&o.plot, "plot", "", "write error against messages to this SVG file")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/plan-reporting.schema.json)")
}

// planReportingCommand explores ways of reporting: `firstfix plan reporting FILE…`.
func planReportingCommand(s *streams) *cobra.Command {
	var opts reportingOptions
	c := &cobra.Command{
		Use:   "reporting FILE...",
		Short: "say which way of reporting tells enough for few messages",
		Long: exits(planReportingHelp, exit{statusFound, "no way that was tried fulfils --mean, --worst and --per-day"},
			exit{statusCannot, "the input could not be read, or holds no track"}),
		Example: `  firstfix plan reporting trailer-07.gpx
  firstfix plan reporting season.nmea --worst 500 --price 0.09EUR --plot pareto.svg
  firstfix plan reporting week.csv --fence 'yard=52.6184,9.2735,150' --policy 'every 6 h + stop + fence' --policy 'every 10 min'`,
		RunE: func(_ *cobra.Command, files []string) error { return runPlanReporting(s, opts, files) },
	}
	opts.flags(c.Flags())
	return c
}

// reportingPlan is all that was found out; text, JSON and picture are made of it.
type reportingPlan struct {
	options  reportingOptions
	name     string
	tariff   *tariff.Tariff
	explorer *reporting.Explorer

	points, gaps, apart, timeless int
	assumed                       []string

	outcomes   []reporting.Outcome
	pareto     []int
	meanFront  []int
	worstFront []int
	cheapest   int
	granted    bool
}

func runPlanReporting(s *streams, o reportingOptions, files []string) error {
	if len(files) == 0 {
		return &stop{Status: statusCannot, Err: errors.New("no file was given"), Hints: []string{"firstfix plan reporting trailer-07.gpx"}}
	}
	p, guard, err := newReportingPlan(o)
	if err != nil {
		return err
	}
	if err := p.read(s, files, guard); err != nil {
		return err
	}
	if p.points < 2 {
		return &stop{Status: statusCannot, Err: fmt.Errorf("%s: %s: too few for a track", p.name, p.pointsSay()), Hints: []string{"firstfix track says what was found and why it was set apart"}}
	}
	p.finish()
	if o.plot != "" {
		svg, ok := p.plot()
		if !ok {
			return &stop{Status: statusCannot, Err: errors.New("the device never moved: there is nothing to draw")}
		}
		if err := os.WriteFile(o.plot, []byte(svg), 0o644); err != nil {
			return &stop{Status: statusCannot, Err: fmt.Errorf("write the plot: %w", err)}
		}
	}
	if o.json {
		if err := writeJSON(s.Out, p.json()); err != nil {
			return err
		}
	} else {
		p.text(s.Out)
	}
	if p.wishes() && !p.granted {
		return &stop{Status: statusFound}
	}
	return nil
}

func newReportingPlan(o reportingOptions) (*reportingPlan, *track.Guard, error) {
	wrong := func(err error, hints ...string) (*reportingPlan, *track.Guard, error) {
		return nil, nil, &stop{Status: statusCannot, Err: err, Hints: hints}
	}
	p := &reportingPlan{options: o}
	for _, w := range []struct {
		flag string
		v    float64
	}{{"mean", o.wish.MeanM}, {"worst", o.wish.WorstM}, {"per-day", o.wish.PerDay}} {
		if !(w.v >= 0) {
			return wrong(fmt.Errorf("--%s %g: want more than 0", w.flag, w.v))
		}
	}
	if o.parts < 1 || o.parts > 255 {
		return wrong(fmt.Errorf("--parts %d: want 1 to 255", o.parts)) // 3GPP TS 23.040, 9.2.3.24.1
	}
	fences, err := (&trackOptions{fences: o.fences}).readFences()
	if err != nil {
		return nil, nil, err
	}
	guard, err := track.NewGuard(fences, track.UsualHysteresis)
	if err != nil {
		return wrong(err)
	}
	var policies []reporting.Policy
	for _, text := range o.policies {
		policy, err := reporting.ParsePolicy(text)
		if err != nil {
			return wrong(err, "firstfix plan reporting --help lists the triggers")
		}
		if policy.Fence && len(fences) == 0 {
			return wrong(fmt.Errorf("policy %q speaks of fences", text), "--fence 'yard=52.6184,9.2735,150' says where one is")
		}
		policies = append(policies, policy)
	}
	if len(policies) == 0 || o.grid {
		policies = append(policies, reporting.Grid(len(fences) > 0)...)
	}
	if p.tariff, err = loadTariff(o.tariff, o.price); err != nil {
		return nil, nil, err
	}
	if p.explorer, err = reporting.NewExplorer(policies, o.delay.Seconds()); err != nil {
		return wrong(err)
	}
	return p, guard, nil
}

// read takes the tracks of all files.
func (p *reportingPlan) read(s *streams, files []string, guard *track.Guard) error {
	p.name = strings.Join(files, ", ")
	sieve, pacer := track.NewSieve(track.Limits{}), track.NewPacer(0)
	var out []track.Judged
	var crossed []track.Crossing
	pass := func(list []track.Judged) {
		for i := range list {
			j := &list[i]
			crossed = guard.Add(j, crossed[:0])
			p.add(j, crossings(crossed))
		}
	}
	for _, name := range files {
		src, close, err := openPositions(s, name, p.options.kind)
		if err != nil {
			return err
		}
		for {
			var sighting track.Sighting
			if err = src.Next(&sighting); err != nil {
				break
			}
			out = sieve.Add(&sighting, out[:0])
			pass(pacer.Add(out))
		}
		close()
		if err != io.EOF {
			return &stop{Status: statusCannot, Err: err}
		}
		p.assumed = append(p.assumed, src.About().Assumed...)
	}
	pass(pacer.Add(sieve.End(out[:0])))
	pass(pacer.End())
	return nil
}

func crossings(list []track.Crossing) bool {
	for i := range list {
		if !list[i].Began {
			return true
		}
	}
	return false
}

// openPositions opens one file, or standard input, and looks what it is.
func openPositions(s *streams, name, kind string) (src track.Source, close func(), err error) {
	in, close := s.In, func() {}
	if name == "-" {
		name = "standard input"
	} else {
		f, err := openFile(name)
		if err != nil {
			return nil, nil, &stop{Status: statusCannot, Err: err}
		}
		in, close = f, func() { f.Close() }
	}
	src, err = positions.Open(in, filepath.Base(name), positions.Options{Kind: kind})
	if err != nil {
		close()
		var unreadable *intake.Unreadable
		if errors.As(err, &unreadable) {
			return nil, nil, &stop{Status: statusCannot, Err: err, Hints: hintsOf(unreadable.Hint)}
		}
		return nil, nil, &stop{Status: statusCannot, Err: err}
	}
	return src, close, nil
}

// add takes one judged sighting.
func (p *reportingPlan) add(j *track.Judged, crossed bool) {
	place, ok := j.Point.Get()
	switch {
	case !j.Kept() || !ok:
		p.apart++
		return
	case !j.Moment.Known:
		p.timeless++
		return
	}
	if j.Gap != "" && p.points > 0 {
		p.gaps++
	}
	p.points++
	p.explorer.Add(&reporting.Point{AtS: float64(j.Moment.NS) / 1e9, Place: place, SpeedMPS: j.SpeedMPS, CourseDeg: j.CourseDeg, Crossed: crossed, Gap: j.Gap != ""})
}

func (p *reportingPlan) finish() {
	p.outcomes = p.explorer.Outcomes()
	p.pareto = reporting.Pareto(p.outcomes)
	p.meanFront = reporting.Front(p.outcomes, p.pareto, meanM)
	p.worstFront = reporting.Front(p.outcomes, p.pareto, worstM)
	p.cheapest, p.granted = reporting.Cheapest(p.outcomes, p.options.wish)
}

func meanM(o *reporting.Outcome) float64  { return o.MeanM }
func worstM(o *reporting.Outcome) float64 { return o.WorstM }

// worthMore is by which factor an error must shrink for more messages to be worth a line: our choice.
const worthMore = 0.9

// notable leaves out of an edge what improves on the last by too little.
func (p *reportingPlan) notable(front []int, of func(*reporting.Outcome) float64) (out []int) {
	last := math.Inf(1)
	for _, i := range front {
		if v := of(&p.outcomes[i]); v <= worthMore*last {
			out, last = append(out, i), v
		}
	}
	return out
}

func (p *reportingPlan) wishes() bool { return p.options.wish != reporting.Wish{} }
