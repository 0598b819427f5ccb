package main

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
)

// trackPage is the figures page: the text on the terminal and the HTML page are made of it.
type trackPage struct {
	Title    string
	Summary  string
	Facts    []trackFact
	Sections []trackSection
	Notes    []string
	Picture  template.HTML // of the HTML page
}

type trackFact struct{ Name, Text string }

type trackSection struct {
	Title string
	Intro string
	Head  []string
	Rows  [][]string
	Left  []bool // columns that are texts; the others are numbers
	After []string
	Plain []string // what a terminal shows instead of the table: a lead and a text in turns
}

// farM is how far a text may be from what the receiver said before the page speaks of it:
// a device on the road has gone on meanwhile. Our choice.
const farM = 2000.0

// listedRows is how many stops, gaps and crossings the page shows; the JSON has more.
const listedRows = 20

func (r *trackRun) page() *trackPage {
	f := r.figures
	p := &trackPage{Title: r.title}
	p.Summary = fmt.Sprintf("%s, %d kept", plural(f.Read, "sighting"), f.Kept)
	for _, in := range r.inputs {
		p.Summary += "; " + in.File + ": " + in.Kind
	}
	r.facts(p)
	r.apartSection(p)
	r.clockSection(p)
	r.stopSection(p)
	r.gapSection(p)
	r.fenceSection(p)
	r.notes(p)
	return p
}

func (p *trackPage) fact(name, format string, args ...any) {
	p.Facts = append(p.Facts, trackFact{name, fmt.Sprintf(format, args...)})
}

func (r *trackRun) facts(p *trackPage) {
	f := r.figures
	if f.Kept == 0 {
		p.fact("Positions", "none that may be believed")
		return
	}
	p.fact("Time", "%s", r.timeFact())
	p.fact("Way", "%s", wayFact(f))
	p.fact("Speed", "%s", r.speedFact())
	p.fact("Interval", "%s", intervalFact(f))
	p.fact("Place", "%s", placeFact(f))
}

func (r *trackRun) when(utc *time.Time) string {
	if utc == nil {
		return "at a time that is not known"
	}
	return utc.In(r.shownZone()).Format("2006-01-02 15:04:05")
}

func (r *trackRun) shownZone() *time.Location {
	if r.zone == nil {
		return time.UTC
	}
	return r.zone
}

func (r *trackRun) zoneName() string { return r.shownZone().String() }

func (r *trackRun) timeFact() string {
	f := r.figures
	span := "a span that is not known"
	if s, ok := f.SpanS.Get(); ok {
		span = spanWords(s)
	}
	switch {
	case f.First.UTC == nil && f.Last.UTC == nil:
		return span + "; no date is told"
	case f.First.UTC == nil || f.Last.UTC == nil:
		known := f.First.UTC
		if known == nil {
			known = f.Last.UTC
		}
		return fmt.Sprintf("%s, %s (%s); not every sighting has a date", span, r.when(known), r.zoneName())
	case f.Kept == 1:
		return fmt.Sprintf("%s (%s)", r.when(f.First.UTC), r.zoneName())
	}
	return fmt.Sprintf("%s to %s (%s), %s", r.when(f.First.UTC), r.when(f.Last.UTC), r.zoneName(), span)
}

// spanWords writes seconds as people do.
func spanWords(seconds float64) string {
	d := time.Duration(seconds * float64(time.Second))
	switch {
	case seconds < 10:
		return fmt.Sprintf("%.1f s", seconds)
	case d < 2*time.Minute:
		return fmt.Sprintf("%.0f s", seconds)
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min %02d s", int(d.Minutes()), int(d.Seconds())%60)
	case d < 72*time.Hour:
		return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
	}
	return fmt.Sprintf("%.1f days", d.Hours()/24)
}

func wayFact(f *track.Figures) string {
	m := &f.Moving
	text := geo.FormatMetres(m.TotalM())
	if f.Gaps.Count > 0 && m.GapsM > 0 {
		text += fmt.Sprintf(" at least: %s as heard, %s straight over gaps", geo.FormatMetres(m.MovingM), geo.FormatMetres(m.GapsM))
	}
	if m.StandingM > 0 {
		text += fmt.Sprintf("; %s of wander in stops is not counted", geo.FormatMetres(m.StandingM))
	}
	return text
}

func (r *trackRun) speedFact() string {
	s := &r.figures.Speed
	top, ok := s.MaxMPS.Get()
	if !ok {
		return "not known"
	}
	source := "as the receiver says"
	if s.Source == "positions" {
		source = "out of the positions, over 10 s or one interval"
	}
	text := fmt.Sprintf("at most %s, %s", speedWords(top), source)
	if s.MaxAt != nil && s.MaxAt.UTC != nil {
		text += ", " + r.when(s.MaxAt.UTC)
	}
	if mean, ok := s.MeanMPS.Get(); ok && r.figures.Moving.MovingM > 0 {
		text += fmt.Sprintf("; on average %s in %s outside stops and gaps", speedWords(mean), spanWords(r.figures.Moving.MovingS))
	}
	return text
}

func speedWords(mps float64) string { return fmt.Sprintf("%.1f m/s (%.0f km/h)", mps, mps*3.6) }

func intervalFact(f *track.Figures) string {
	usual, ok := f.Every.UsualS.Get()
	if !ok {
		return "not known"
	}
	text := "every " + spanWords(usual) + " as a rule"
	if p95, ok := f.Every.P95S.Get(); ok && p95 > usual*1.1 {
		text += fmt.Sprintf(", 95 of 100 within %s", spanWords(p95))
	}
	return text + fmt.Sprintf("; longer than %s is a gap", spanWords(f.Every.LimitS))
}

func placeFact(f *track.Figures) string {
	at := func(s *track.Stand) string { return fmt.Sprintf("%.5f,%.5f", s.LatDeg, s.LonDeg) }
	if f.Kept == 1 {
		return at(f.First)
	}
	b := f.Box
	middle := geo.Point{LatDeg: (b.South + b.North) / 2, LonDeg: b.West}
	east := b.East
	if east < b.West {
		east += 360
	}
	latM, lonM := geo.MetresPerDegree(middle.LatDeg)
	return fmt.Sprintf("from %s to %s; the area is %s by %s", at(f.First), at(f.Last), geo.FormatMetres((b.North-b.South)*latM), geo.FormatMetres((east-b.West)*lonM))
}

func (r *trackRun) apartSection(p *trackPage) {
	f := r.figures
	if len(f.Apart) == 0 {
		return
	}
	s := trackSection{Title: fmt.Sprintf("Set apart: %d of %d", f.Read-f.Kept, f.Read), Intro: "These count in no figure and are in no file.",
		Head: []string{"reason", "count", "what it means", "where", "for example"}, Left: []bool{true, false, true, true, true}}
	for _, row := range f.Apart {
		for i, e := range row.Examples {
			if i == 0 {
				s.Rows = append(s.Rows, []string{row.Reason, fmt.Sprint(row.Count), row.Title, e.Where, e.Says})
				s.Plain = append(s.Plain, fmt.Sprintf("  %s %6d  ", padded(row.Reason, 13), row.Count), row.Title)
			} else {
				s.Rows = append(s.Rows, []string{"", "", "", e.Where, e.Says})
			}
			s.Plain = append(s.Plain, strings.Repeat(" ", 24)+e.Where+"  ", e.Says)
		}
		if m, ok := row.FarthestM.Get(); ok && row.Reason == track.Retold && m > farM {
			s.After = append(s.After, fmt.Sprintf("A text told a place %s from where the receiver was: firstfix review says which mistake does that.", geo.FormatMetres(m)))
		}
	}
	p.Sections = append(p.Sections, s)
}

func (r *trackRun) clockSection(p *trackPage) {
	if len(r.clock) == 0 && r.clocks.Rounds() == 0 && r.rounds == 0 {
		return
	}
	s := trackSection{Title: "Clock"}
	if r.rounds != 0 {
		s.After = append(s.After, fmt.Sprintf("%d weeks were added to every date, as you said.", r.rounds*1024))
	}
	for _, c := range r.clock {
		word := "Proven"
		if !c.Proven {
			word = "Possible"
		}
		s.After = append(s.After, word+": "+c.Says+".")
		for _, why := range c.Because {
			s.After = append(s.After, "  because "+why+".")
		}
		switch {
		case c.Kind == "weeks" && c.Proven:
			s.After = append(s.After, fmt.Sprintf("  To apply it: --add-weeks %d", (c.Rounds+r.rounds)*1024))
		case c.Kind == "weeks":
			s.After = append(s.After, fmt.Sprintf("  If you know the day: --heard 2026-03-04 (that day); to apply it: --add-weeks %d", (c.Rounds+r.rounds)*1024))
		}
	}
	p.Sections = append(p.Sections, s)
}

func (r *trackRun) stopSection(p *trackPage) {
	stops := &r.figures.Stops
	if stops.Count == 0 {
		return
	}
	s := trackSection{Title: plural(stops.Count, "stop"), Intro: fmt.Sprintf("Within %s for at least %s.", geo.FormatMetres(stops.RadiusM), spanWords(stops.LeastS)),
		Head: []string{"", "from", "to", "for", "place", "sightings", "of it silent"}, Left: []bool{false, true, true, false, true, false, false}}
	for i := range stops.List {
		t := &stops.List[i]
		if i >= listedRows {
			s.After = append(s.After, fmt.Sprintf("and %d more", stops.Count-i))
			break
		}
		silent := ""
		if t.SilentS > 0 {
			silent = spanWords(t.SilentS)
		}
		s.Rows = append(s.Rows, []string{fmt.Sprint(i + 1), r.when(t.From.UTC), r.when(t.To.UTC), spanWords(t.SpanS), fmt.Sprintf("%.5f,%.5f", t.LatDeg, t.LonDeg), fmt.Sprint(t.Count), silent})
	}
	p.Sections = append(p.Sections, s)
}

func (r *trackRun) gapSection(p *trackPage) {
	gaps := &r.figures.Gaps
	if gaps.Count == 0 {
		return
	}
	s := trackSection{Title: plural(gaps.Count, "gap"), Head: []string{"", "from", "to", "for", "straight", "why"}, Left: []bool{false, true, true, false, false, true}}
	for i := range gaps.List {
		g := &gaps.List[i]
		if i >= listedRows {
			s.After = append(s.After, fmt.Sprintf("and %d more", gaps.Count-i))
			break
		}
		span := "not known"
		if sec, ok := g.SpanS.Get(); ok {
			span = spanWords(sec)
		}
		s.Rows = append(s.Rows, []string{fmt.Sprint(i + 1), r.when(g.From.UTC), r.when(g.To.UTC), span, geo.FormatMetres(g.WayM), g.Why})
	}
	p.Sections = append(p.Sections, s)
}

func (r *trackRun) fenceSection(p *trackPage) {
	for i := range r.fences {
		f := &r.fences[i]
		s := trackSection{Title: "Fence " + f.Fence, Head: []string{"", "first on this side", "sure", "last on the other side"}, Left: []bool{true, true, true, true}}
		if inside, ok := f.InsideS.Get(); ok {
			s.Intro = fmt.Sprintf("%s, %s inside.", plural(f.Count, "crossing"), spanWords(inside))
		}
		if len(f.Crossings) == 0 {
			s.Intro = "The track was never certainly on either side."
			s.Head = nil
		}
		for k := range f.Crossings {
			c := &f.Crossings[k]
			if k >= listedRows {
				s.After = append(s.After, fmt.Sprintf("and %d more", len(f.Crossings)-k))
				break
			}
			word := "out"
			if c.Inside {
				word = "in"
			}
			if c.Began {
				word = "begins " + map[bool]string{true: "inside", false: "outside"}[c.Inside]
			}
			before := ""
			if c.Before != nil {
				before = r.when(c.Before.UTC)
			}
			s.Rows = append(s.Rows, []string{word, r.when(c.First.UTC), r.when(c.Sure.UTC), before})
		}
		p.Sections = append(p.Sections, s)
	}
}

func (r *trackRun) notes(p *trackPage) {
	for _, in := range r.inputs {
		for _, a := range in.Assumed {
			p.Notes = append(p.Notes, in.File+": assumed: "+a)
		}
		for _, a := range in.Passed {
			p.Notes = append(p.Notes, in.File+": passed over: "+a)
		}
	}
	if f := r.figures; f.Read > 1 {
		for _, row := range f.Apart {
			if row.Reason == track.Backwards && row.Count*4 > f.Read {
				p.Notes = append(p.Notes, "many times go backwards: if the newest stands on top, --sort puts them in order")
			}
		}
	}
	if r.stopped {
		p.Notes = append(p.Notes, "stopped before the end: these are the figures of what was read")
	}
	if r.simple != nil && len(r.writers) > 0 {
		came, stayed := r.simple.Counts()
		p.Notes = append(p.Notes, fmt.Sprintf("simplified: %d of %d sightings are in the files; none left out is farther than %g m from their line", stayed, came, r.o.simplifyM))
	}
	for _, t := range r.writers {
		p.Notes = append(p.Notes, fmt.Sprintf("%s: %s, %s", t.name, t.title, plural(t.written, "sighting")))
	}
	if r.apart != nil {
		p.Notes = append(p.Notes, fmt.Sprintf("%s: %s, %s", r.apart.name, r.apart.title, plural(r.apart.written, "row")))
	}
	for _, name := range [2]string{r.o.svg, r.o.report} {
		if name != "" && name != "-" {
			p.Notes = append(p.Notes, name+" is written")
		}
	}
}

// show writes the page where it is wanted.
func (r *trackRun) show(s *streams) error {
	var picture []byte
	var err error
	if r.o.svg != "" || r.o.report != "" {
		if picture, err = r.svg(); err != nil {
			return err
		}
	}
	if r.o.svg != "" {
		if err := r.put(r.o.svg, picture); err != nil {
			return err
		}
	}
	page := r.page()
	if r.o.report != "" {
		html, err := page.html(picture)
		if err != nil {
			return err
		}
		if err := r.put(r.o.report, html); err != nil {
			return err
		}
	}
	switch {
	case !r.toPage:
	case r.o.json:
		return r.writeJSON(s.Out)
	default:
		page.text(s.Out)
	}
	return nil
}

//go:embed track_page.html
var trackPageSource string

// html writes the page as one file: nothing loaded, no script.
func (p *trackPage) html(picture []byte) ([]byte, error) {
	t, err := template.New("track").Parse(trackPageSource)
	if err != nil {
		return nil, fmt.Errorf("the page's template: %w", err)
	}
	p.Picture = template.HTML(picture) // our own drawing, its texts are escaped
	var b bytes.Buffer
	err = t.Execute(&b, p)
	return b.Bytes(), err
}
