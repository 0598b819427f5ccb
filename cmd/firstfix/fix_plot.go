package main

import (
	"fmt"
	"math"

	"firstfix/internal/draw"
	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/geoid"
)

// geoidModel is the name of our grid, geoidApartM from which difference on a receiver's geoid is
// questioned: twice what the grid itself is off in 99 of 100 places.
const (
	geoidModel  = geoid.Model
	geoidApartM = 4
)

func (a *study) ownGeoid() float64 { return geoid.HeightM(a.figures.Mean) }

// maxDots is how many positions are drawn: more make no other picture.
const maxDots = 4000

// scatterPlot draws the positions around their mean.
func (a *study) scatterPlot() (string, bool) {
	if !a.ok {
		return "", false
	}
	f := &a.figures
	x, y := a.still.Around(f.Mean, maxDots)
	reach := 1.15 * math.Max(f.R95M.Value, f.NormalR95M)
	pane := draw.Pane{Y: draw.Axis{Name: "metres to the north", Low: -reach, High: reach}}
	pane.Series = append(pane.Series, draw.Series{Name: "positions", X: x, Y: y, Tone: draw.Blue, Dots: true, Size: 1.8, Alpha: 0.35})
	e := &f.Ellipse
	pane.Rings = []draw.Ring{
		{A: f.CEP50M.Value, B: f.CEP50M.Value, Name: "CEP50 " + metres(f.CEP50M.Value), Tone: draw.Good},
		{A: f.R95M.Value, B: f.R95M.Value, Name: "R95 " + metres(f.R95M.Value), Tone: draw.Bad},
		{A: fix.RadiusFactor(0.95) * e.MajorM.Value, B: fix.RadiusFactor(0.95) * e.MinorM.Value, TurnDeg: e.TurnDeg, Name: "ellipse for 95 of 100", Tone: draw.Ink, Dashed: true},
	}
	pane.Words = []draw.Word{{Text: "mean", Mark: true, Tone: draw.Ink}}
	if t, ok := f.Truth.Get(); ok {
		east, north, _ := geo.ENU(f.Mean, 0, t.Point, 0)
		pane.Words = append(pane.Words, draw.Word{X: east, Y: north, Text: "truth", Mark: true, Tone: draw.Bad})
		reach = math.Max(reach, 1.15*math.Hypot(east, north))
		pane.Y.Low, pane.Y.High = -reach, reach
	}
	outside := 0
	for i := range x {
		if math.Abs(x[i]) > reach || math.Abs(y[i]) > reach {
			outside++
		}
	}
	below := fmt.Sprintf("%s, mean %s", a.epochsSay(), geo.FormatDecimal(f.Mean, 6))
	if outside > 0 {
		below += fmt.Sprintf("; %d of %d dots are outside the picture", outside, len(x))
	}
	c := draw.Chart{Title: "Positions of a still antenna", Below: below, Square: true,
		X: draw.Axis{Name: "metres to the east", Low: -reach, High: reach}, Panels: []draw.Pane{pane}}
	return c.SVG(), true
}

// cellTones are how strong is painted, from the level on, dB-Hz: our choice.
var cellTones = []struct {
	from  float64
	tone  draw.Tone
	alpha float64
	name  string
}{{40, draw.Good, 0.45, "40 dB-Hz and more"}, {32, draw.Good, 0.2, "32 and more"}, {28, draw.Weak, 0.3, "28 and more: just enough"}, {1, draw.Bad, 0.3, "less"}, {0, draw.Bad, 0.6, "in view, not heard"}}

// heardPlot draws what is heard from where.
func (a *study) heardPlot() (string, bool) {
	g := &a.signal
	if len(g.Cells) == 0 {
		return "", false
	}
	s := draw.Sky{Title: "What the antenna hears from where", Below: fmt.Sprintf("mean level in dB-Hz, %s of the sky; white: no satellite was there", count(g.Reports, "report", "reports"))}
	used := make([]bool, len(cellTones))
	for _, c := range g.Cells {
		level := c.MeanDBHz.Or(0)
		for i, t := range cellTones {
			if level >= t.from {
				word := "–"
				if level > 0 {
					word = fmt.Sprintf("%.0f", level)
				}
				s.Cells = append(s.Cells, draw.Cell{FromDeg: c.FromDeg, ToDeg: c.ToDeg, LowDeg: c.LowDeg, HighDeg: c.HighDeg, Tone: t.tone, Alpha: t.alpha, Word: word})
				used[i] = true
				break
			}
		}
	}
	for i, t := range cellTones {
		if used[i] {
			s.Legend = append(s.Legend, draw.SkyKey{Tone: t.tone, Name: t.name, Patch: true, Alpha: t.alpha})
		}
	}
	for _, arc := range g.BlockedArcs {
		s.Below += fmt.Sprintf("; blocked from %.0f° to %.0f°", arc.FromDeg, arc.ToDeg)
	}
	return s.SVG(), true
}

// meansPlot draws what averaging brings.
func (a *study) meansPlot() (string, bool) {
	f := &a.figures
	if !a.ok || len(f.Means) < 3 {
		return "", false
	}
	var x, y, square []float64
	low, high := math.Inf(1), 0.0
	for _, m := range f.Means {
		x, y = append(x, m.OverS), append(y, m.WithinM)
		low, high = math.Min(low, m.WithinM), math.Max(high, m.WithinM)
	}
	if !(low > 0) {
		return "", false
	}
	for _, s := range x {
		square = append(square, y[0]*math.Sqrt(x[0]/s))
	}
	low = math.Min(low, math.Max(square[len(square)-1], low/10))
	c := draw.Chart{Title: "What averaging brings", Below: "so near lies a mean of so long to that of the whole run, 95 of 100",
		X: draw.Axis{Name: "averaged over", Low: x[0] * 0.8, High: x[len(x)-1] * 1.25, Log: true, Spans: true},
		Panels: []draw.Pane{{Y: draw.Axis{Name: "metres", Low: low * 0.8, High: high * 1.25, Log: true}, Height: 360, Series: []draw.Series{
			{Name: "if positions were independent of each other", X: x, Y: square, Tone: draw.Idle, Dashed: true},
			{Name: "this antenna", X: x, Y: y, Tone: draw.Blue}, {X: x, Y: y, Tone: draw.Blue, Dots: true, Size: 3.5},
		}}}}
	return c.SVG(), true
}
