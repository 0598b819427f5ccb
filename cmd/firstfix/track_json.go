package main

import (
	"io"
	"math"

	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

// trackJSON is the outcome as data, see docs/formats/track.schema.json.
type trackJSON struct {
	Version    int                  `json:"version"`
	Title      string               `json:"title"`
	Inputs     []track.About        `json:"inputs"`
	Figures    *track.Figures       `json:"figures"`
	Fences     []track.FenceFigures `json:"fences"`
	Clock      []track.Proposal     `json:"clock"`
	AddedWeeks int                  `json:"added_weeks"`
	Simplified *trackSimplified     `json:"simplified"`
	Written    []trackWritten       `json:"written"`
	Stopped    bool                 `json:"stopped"`
}

type trackSimplified struct {
	BoundM float64 `json:"bound_m"`
	Came   int     `json:"sightings"`
	Stayed int     `json:"stay"`
}

type trackWritten struct {
	File      string           `json:"file"`
	Title     string           `json:"title"`
	Sightings maybe.Value[int] `json:"sightings"`
}

func (r *trackRun) writeJSON(w io.Writer) error {
	out := trackJSON{Version: 1, Title: r.title, Inputs: r.inputs, Figures: r.figures, Fences: r.fences, Clock: r.clock, AddedWeeks: r.rounds * 1024, Stopped: r.stopped}
	if r.simple != nil {
		came, stayed := r.simple.Counts()
		out.Simplified = &trackSimplified{r.o.simplifyM, came, stayed}
	}
	for _, t := range append(r.writers[:len(r.writers):len(r.writers)], r.apart) {
		if t != nil {
			out.Written = append(out.Written, trackWritten{t.name, t.title, maybe.Known(t.written)})
		}
	}
	for _, name := range [2]string{r.o.svg, r.o.report} {
		if name != "" {
			out.Written = append(out.Written, trackWritten{File: name, Title: "picture or page"})
		}
	}
	out.fill()
	return writeJSON(w, &out)
}

// fill makes empty lists of those that are none: a list is never null.
func (o *trackJSON) fill() {
	o.Inputs, o.Fences, o.Clock, o.Written = orEmpty(o.Inputs), orEmpty(o.Fences), orEmpty(o.Clock), orEmpty(o.Written)
	for i := range o.Inputs {
		o.Inputs[i].Assumed, o.Inputs[i].Passed = orEmpty(o.Inputs[i].Assumed), orEmpty(o.Inputs[i].Passed)
	}
	f := o.Figures
	f.Apart, f.Gaps.List, f.Stops.List = orEmpty(f.Apart), orEmpty(f.Gaps.List), orEmpty(f.Stops.List)
	for i := range o.Fences {
		o.Fences[i].Crossings = orEmpty(o.Fences[i].Crossings)
	}
	// To the millimetre and the millisecond: processors round differently.
	for _, x := range []*float64{&f.Moving.MovingM, &f.Moving.GapsM, &f.Moving.StandingM, &f.Moving.MovingS, &f.Moving.GapsS, &f.Moving.StandingS, &f.Every.LimitS} {
		roundTo(x, 3)
	}
	for _, v := range []*maybe.Value[float64]{&f.SpanS, &f.Speed.MaxMPS, &f.Speed.MeanMPS, &f.Speed.P95MPS, &f.Every.UsualS, &f.Every.P95S} {
		roundMaybe(v)
	}
	if f.Box != nil {
		for _, x := range []*float64{&f.Box.South, &f.Box.West, &f.Box.North, &f.Box.East} {
			roundTo(x, degreeDecimals)
		}
	}
	for _, t := range []*track.Stand{f.First, f.Last, f.Speed.MaxAt} {
		roundStand(t)
	}
	for i := range f.Gaps.List {
		g := &f.Gaps.List[i]
		roundStand(&g.From)
		roundStand(&g.To)
		roundTo(&g.WayM, 3)
		roundMaybe(&g.SpanS)
	}
	for i := range f.Stops.List {
		t := &f.Stops.List[i]
		roundStand(&t.From)
		roundStand(&t.To)
		roundTo(&t.LatDeg, degreeDecimals)
		roundTo(&t.LonDeg, degreeDecimals)
		roundTo(&t.SpanS, 3)
		roundTo(&t.SilentS, 3)
	}
	for i := range f.Apart {
		roundMaybe(&f.Apart[i].FarthestM)
		for k := range f.Apart[i].Examples {
			if p, ok := f.Apart[i].Examples[k].Place.Get(); ok {
				roundTo(&p.LatDeg, degreeDecimals)
				roundTo(&p.LonDeg, degreeDecimals)
				f.Apart[i].Examples[k].Place = maybe.Known(p)
			}
		}
	}
	for i := range o.Fences {
		roundMaybe(&o.Fences[i].InsideS)
		for k := range o.Fences[i].Crossings {
			c := &o.Fences[i].Crossings[k]
			for _, t := range []*track.Stand{c.Before, &c.First, &c.Sure} {
				roundStand(t)
			}
		}
	}
}

// degreeDecimals: a millimetre. Processors differ in the digits behind it.
const degreeDecimals = 8

func roundTo(x *float64, decimals int) {
	power := math.Pow10(decimals)
	*x = math.Round(*x*power) / power
}

func roundMaybe(v *maybe.Value[float64]) {
	if x, ok := v.Get(); ok {
		roundTo(&x, 3)
		*v = maybe.Known(x)
	}
}

func roundStand(t *track.Stand) {
	if t != nil {
		roundTo(&t.LatDeg, degreeDecimals)
		roundTo(&t.LonDeg, degreeDecimals)
	}
}

func orEmpty[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}
