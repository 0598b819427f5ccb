package sky

import (
	"math"
	"time"
)

// A Moment is the geometry over a place at one instant.
type Moment struct {
	At      time.Time
	Visible int  // healthy satellites that the mask leaves free
	Valid   bool // they fix place and time; DOP means something
	DOP     DOP
}

// Good is the PDOP below which handbooks call a geometry good; it is also the limit by
// which the SPS Performance Standard counts its availability.
const Good = 6

// GoodGeometry says whether a moment is at least good.
func (m *Moment) GoodGeometry() bool { return m.Valid && m.DOP.P <= Good }

// maxMoments bounds a look ahead: a month of minutes.
const maxMoments = 31 * 24 * 60

// OverDay returns the geometry over a place from an instant on, every step, both ends included.
// Each satellite that is healthy and free is used.
func OverDay(c *Constellation, h *Horizon, mask *Mask, from time.Time, span, step time.Duration) []Moment {
	n := int(span/step) + 1
	if step <= 0 || span < 0 || n > maxMoments {
		panic("sky: OverDay of more than a month of minutes, or backwards")
	}
	out := make([]Moment, 0, n)
	var seen []Seen
	var used []Look
	var rows [][4]float64
	for i := range n {
		at := from.Add(time.Duration(i) * step)
		seen = c.Above(h, mask, at, seen[:0])
		used = used[:0]
		for j := range seen {
			if seen[j].Healthy {
				used = append(used, seen[j].Look)
			}
		}
		g := NewGeometry(used, rows)
		rows = g.Rows()
		m := Moment{At: at, Visible: len(used), Valid: g.Valid}
		if g.Valid {
			m.DOP = g.DOP()
		}
		out = append(out, m)
	}
	return out
}

// A Summary is a day's geometry in figures.
type Summary struct {
	Moments                int
	FewestVisible          int
	MostVisible            int
	MeanVisible            float64
	GoodShare              float64 // of the moments: PDOP at most [Good]
	NoFixShare             float64 // of the moments: fewer than four, or no solution
	MedianPDOP, WorstPDOP  float64 // of the valid ones; 0 when there is none
	MedianHDOP, MedianVDOP float64
}

// Summarise puts a day into figures; the zero Summary for none.
func Summarise(day []Moment) Summary {
	s := Summary{Moments: len(day)}
	if len(day) == 0 {
		return s
	}
	var p, h, v []float64
	s.FewestVisible = day[0].Visible
	for i := range day {
		m := &day[i]
		s.FewestVisible, s.MostVisible = min(s.FewestVisible, m.Visible), max(s.MostVisible, m.Visible)
		s.MeanVisible += float64(m.Visible)
		if m.GoodGeometry() {
			s.GoodShare++
		}
		if !m.Valid {
			s.NoFixShare++
			continue
		}
		p, h, v = append(p, m.DOP.P), append(h, m.DOP.H), append(v, m.DOP.V)
		s.WorstPDOP = max(s.WorstPDOP, m.DOP.P)
	}
	n := float64(len(day))
	s.MeanVisible, s.GoodShare, s.NoFixShare = s.MeanVisible/n, s.GoodShare/n, s.NoFixShare/n
	s.MedianPDOP, s.MedianHDOP, s.MedianVDOP = median(p), median(h), median(v)
	return s
}

// A Window is a stretch of a day.
type Window struct {
	From, To time.Time
	MeanPDOP float64 // harmonic within it, so that a moment without a fix spoils it and no more
	Fewest   int     // satellites
}

// worthless is the PDOP that a moment without a solution counts as: our estimate, so that
// it weighs as nothing.
const worthless = 1e6

// Best returns the windows of a length with the best geometry of a day and, as a warning, the
// worst one. The windows do not overlap; there are at most n, the best first. Both are
// empty when the day is shorter than a window.
func Best(day []Moment, length time.Duration, n int) (best []Window, worst Window, ok bool) {
	if len(day) < 2 {
		return nil, worst, false
	}
	step := day[1].At.Sub(day[0].At)
	k := int(length/step) + 1
	if k < 2 || k > len(day) {
		return nil, worst, false
	}
	// quality of each window: the mean of 1/PDOP, by running sums.
	sums := make([]float64, len(day)+1)
	for i := range day {
		sums[i+1] = sums[i] + 1/pdop(&day[i])
	}
	quality := make([]float64, len(day)-k+1)
	low := 0
	for i := range quality {
		quality[i] = (sums[i+k] - sums[i]) / float64(k)
		if quality[i] < quality[low] {
			low = i
		}
	}
	window := func(i int) Window {
		w := Window{From: day[i].At, To: day[i+k-1].At, MeanPDOP: 1 / quality[i], Fewest: day[i].Visible}
		for j := i; j < i+k; j++ {
			w.Fewest = min(w.Fewest, day[j].Visible)
		}
		return w
	}
	worst = window(low)
	taken := make([]bool, len(quality))
	for len(best) < n {
		top := -1
		for i, q := range quality {
			if !taken[i] && (top < 0 || q > quality[top]) {
				top = i
			}
		}
		if top < 0 {
			break
		}
		best = append(best, window(top))
		for i := max(0, top-k+1); i < min(len(quality), top+k); i++ {
			taken[i] = true
		}
	}
	return best, worst, true
}

func pdop(m *Moment) float64 {
	if !m.Valid {
		return worthless
	}
	return m.DOP.P
}

// A Pass is a satellite's way over a place.
type Pass struct {
	Index      int
	Name       string
	PRN        int
	Rise       time.Time // into sight; the beginning of the day when it was there before
	Highest    time.Time
	HighestDeg float64
	Set        time.Time
}

// passStep is how often a pass is looked for: a GPS satellite moves half a degree in a minute.
const passStep = 2 * time.Minute

// Passes returns when each satellite comes into sight and goes, in the order of the
// constellation, to the second. A satellite behind an obstacle for a while has two passes.
func Passes(c *Constellation, h *Horizon, mask *Mask, from time.Time, span time.Duration) []Pass {
	var out []Pass
	for n := range c.Satellites {
		look := func(at time.Time) Look { return c.Look(n, h, at) }
		free := func(at time.Time) bool { l := look(at); return !mask.Hides(l) }
		edge := func(before, after time.Time) time.Time { // where free changes
			was := free(before)
			for after.Sub(before) > time.Second {
				mid := before.Add(after.Sub(before) / 2)
				if free(mid) == was {
					before = mid
				} else {
					after = mid
				}
			}
			return after.Truncate(time.Second)
		}
		var pass Pass
		up := false
		last := from
		for d := time.Duration(0); d <= span; d += passStep {
			at := from.Add(d)
			now := free(at)
			switch {
			case now && !up:
				pass = Pass{Index: n, Name: c.Satellites[n].Name, PRN: c.Satellites[n].PRN, Rise: at, HighestDeg: math.Inf(-1)}
				if d > 0 {
					pass.Rise = edge(last, at)
				}
				up = true
			case !now && up:
				pass.Set = edge(last, at)
				out = append(out, pass)
				up = false
			}
			if now {
				if l := look(at); l.ElevationDeg > pass.HighestDeg {
					pass.Highest, pass.HighestDeg = at, l.ElevationDeg
				}
			}
			last = at
		}
		if up {
			pass.Set = last
			out = append(out, pass)
		}
	}
	return out
}
