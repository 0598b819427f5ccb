package track

import (
	"fmt"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// A Scale says what counts as a stop.
type Scale struct {
	StopRadiusM float64       // standing is to stay within it; 0: 30 m
	StopLeast   time.Duration // for so long; 0: 3 minutes
}

const (
	// 30 m: what the positions of a standing receiver wander among trees and houses; 3
	// minutes: longer than a traffic light. Our estimates.
	stopRadiusM = 30.0
	stopLeast   = 3 * time.Minute

	// Speeds out of positions are taken over so long: two fixes a second apart tell little.
	speedSpan = 10 * time.Second

	// slowest is where a receiver is taken to move: its speed wanders by some tenths. Our estimate.
	slowestMPS = 1.0

	maxExamples = 3 // of each reason, each with other words
)

// Meter turns judged sightings into figures. Use [NewMeter].
type Meter struct {
	scale   Scale
	figures Figures
	apart   []ApartRow
	box     box

	every  spans
	last   sample
	any    bool
	speeds spans // of moving; counted in m/s instead of seconds, weighed by count
	stops  stopFinder

	anchor    sample // where the speed out of positions is taken from
	hasAnchor bool
	maxSeen   [2]fastest // by receiver, by positions
}

type fastest struct {
	mps float64
	at  sample
	any bool
}

// sample is what the meter keeps of a kept sighting.
type sample struct {
	point  geo.Point
	moment Moment
	utc    int64
	dated  bool
	mps    float64
	told   bool
	broken string // Judged.Gap
	from   Origin
}

// NewMeter returns a meter at zero.
func NewMeter(s Scale) *Meter {
	if s.StopRadiusM <= 0 {
		s.StopRadiusM = stopRadiusM
	}
	if s.StopLeast <= 0 {
		s.StopLeast = stopLeast
	}
	m := &Meter{scale: s}
	m.stops = stopFinder{radiusM: s.StopRadiusM, least: s.StopLeast}
	m.apart = make([]ApartRow, len(Reasons))
	for i, r := range Reasons {
		m.apart[i] = ApartRow{Reason: r.Name, Title: r.Title, Source: r.Source}
	}
	return m
}

// Add counts one sighting.
func (m *Meter) Add(j *Judged) {
	m.figures.Read++
	if !j.Kept() {
		m.setApart(j)
		return
	}
	m.figures.Kept++
	s := sampleOf(j)
	m.step(&s)
}

func sampleOf(j *Judged) sample {
	p, _ := j.Point.Get()
	s := sample{point: p, moment: j.Moment, from: j.From}
	s.mps, s.told = j.SpeedMPS.Get()
	if utc, ok := j.UTC.Get(); ok {
		s.utc, s.dated = utc.UnixNano(), true
	}
	s.broken = j.Gap
	return s
}

func (m *Meter) setApart(j *Judged) {
	for i := range m.apart {
		r := &m.apart[i]
		if r.Reason != j.Why.Name {
			continue
		}
		r.Count++
		if p, ok := j.Point.Get(); ok && p.Valid() && m.any {
			r.FarthestM = maybe.Known(max(r.FarthestM.Or(0), stepM(m.last.point, p)))
		}
		if len(r.Examples) < maxExamples && !r.told(j.Why.Text) {
			e := Example{Where: j.From.String(), Says: j.Why.Text}
			if utc, ok := j.UTC.Get(); ok {
				e.UTC = &utc
			}
			if p, ok := j.Point.Get(); ok {
				e.Place = maybe.Known(Degree(p))
			}
			r.Examples = append(r.Examples, e)
		}
		return
	}
}

// told says that an example says the same already.
func (r *ApartRow) told(says string) bool {
	for i := range r.Examples {
		if r.Examples[i].Says == says {
			return true
		}
	}
	return false
}

// String says where a sighting stands: "night.nmea:1201".
func (o Origin) String() string {
	switch {
	case o.Line > 0:
		return fmt.Sprintf("%s:%d", o.File, o.Line)
	case o.Record > 0:
		return fmt.Sprintf("%s, %s %d", o.File, o.What, o.Record)
	}
	return o.File
}

// step takes the next kept sighting.
func (m *Meter) step(s *sample) {
	m.box.add(s.point)
	if !m.any {
		m.any = true
		m.figures.First = s.stand()
		m.stops.first(s)
		m.last = *s
		m.speed(s, 0)
		return
	}
	timed := s.moment.Known && m.last.moment.Known
	var seconds float64
	if timed {
		seconds = max(0, s.moment.Sub(m.last.moment).Seconds())
	}
	way := stepM(m.last.point, s.point)
	gap := s.broken != ""
	f := &m.figures
	if gap {
		m.gap(s, way, seconds, timed)
	} else if timed {
		m.every.add(seconds)
	}
	m.speed(s, seconds)
	if stop := m.stops.add(s, way, seconds, gap); stop != nil {
		m.stopped(stop)
	}
	if !gap {
		f.Moving.MovingM += way
		f.Moving.MovingS += seconds
	}
	m.last = *s
}

func (m *Meter) gap(s *sample, way, seconds float64, timed bool) {
	f := &m.figures
	f.Gaps.Count++
	f.Moving.GapsM += way
	f.Moving.GapsS += seconds
	m.hasAnchor = false
	if len(f.Gaps.List) < maxListed {
		g := Gap{From: *m.last.stand(), To: *s.stand(), WayM: way, Why: s.broken}
		if timed {
			g.SpanS = maybe.Known(seconds)
		}
		f.Gaps.List = append(f.Gaps.List, g)
	}
}

func (m *Meter) stopped(s *foundStop) {
	f := &m.figures
	f.Stops.Count++
	f.Moving.StandingM += s.wanderM
	f.Moving.StandingS += s.heardS + s.result.SilentS
	f.Moving.MovingM -= s.wanderM
	f.Moving.MovingS -= s.heardS
	f.Moving.GapsM -= s.silentM
	f.Moving.GapsS -= s.result.SilentS
	f.Moving.StandingM += s.silentM
	if len(f.Stops.List) < maxListed {
		f.Stops.List = append(f.Stops.List, s.result)
	}
}

// speed takes the speed: what the receiver says, and what the positions say.
func (m *Meter) speed(s *sample, seconds float64) {
	if s.told {
		m.fast(0, s.mps, s)
		if s.mps >= slowestMPS {
			m.speeds.add(s.mps)
		}
	}
	if !s.moment.Known {
		return
	}
	if !m.hasAnchor {
		m.anchor, m.hasAnchor = *s, true
		return
	}
	if span := s.moment.Sub(m.anchor.moment); span >= speedSpan {
		mps := stepM(m.anchor.point, s.point) / span.Seconds()
		m.fast(1, mps, s)
		if !s.told && mps >= slowestMPS {
			m.speeds.add(mps)
		}
		m.anchor = *s
	}
}

func (m *Meter) fast(by int, mps float64, s *sample) {
	if f := &m.maxSeen[by]; !f.any || mps > f.mps {
		*f = fastest{mps, *s, true}
	}
}

func (s *sample) stand() *Stand {
	t := &Stand{LatDeg: s.point.LatDeg, LonDeg: s.point.LonDeg, Where: s.from.String()}
	if s.dated {
		utc := time.Unix(0, s.utc).UTC()
		t.UTC = &utc
	}
	return t
}

// End returns the figures of all that was added.
func (m *Meter) End() *Figures {
	f := &m.figures
	if stop := m.stops.end(); stop != nil {
		m.stopped(stop)
	}
	for i := range m.apart {
		if m.apart[i].Count > 0 {
			f.Apart = append(f.Apart, m.apart[i])
		}
	}
	f.Box = m.box.result()
	f.Moving.MovingM, f.Moving.GapsM = max(0, f.Moving.MovingM), max(0, f.Moving.GapsM) // sums and their parts, rounded
	f.Moving.MovingS, f.Moving.GapsS = max(0, f.Moving.MovingS), max(0, f.Moving.GapsS)
	if m.any {
		f.Last = m.last.stand()
	}
	f.SpanS = Seconds{}
	if total := f.Moving.MovingS + f.Moving.GapsS + f.Moving.StandingS; total > 0 {
		f.SpanS = maybe.Known(total)
	}
	if usual, ok := m.every.share(0.5); ok {
		p95, _ := m.every.share(0.95)
		f.Every.UsualS, f.Every.P95S = maybe.Known(usual), maybe.Known(p95)
	}
	f.Stops.RadiusM, f.Stops.LeastS = m.scale.StopRadiusM, m.scale.StopLeast.Seconds()
	for by, source := range [2]string{"receiver", "positions"} {
		if top := &m.maxSeen[by]; top.any && f.Speed.Source == "" {
			f.Speed.Source, f.Speed.MaxMPS, f.Speed.MaxAt = source, maybe.Known(top.mps), top.at.stand()
		}
	}
	if f.Moving.MovingS > 0 && f.Speed.Source != "" {
		f.Speed.MeanMPS = maybe.Known(f.Moving.MovingM / f.Moving.MovingS)
	}
	if p95, ok := m.speeds.share(0.95); ok {
		f.Speed.P95MPS = maybe.Known(p95)
	}
	return f
}
