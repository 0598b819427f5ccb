package main

import (
	"fmt"
	"math"
	"time"

	"firstfix/internal/draw"
	"firstfix/internal/earth/sky"
)

// trailSpan is how far back and ahead a satellite's way is drawn.
const trailSpan = time.Hour

// skyPlot draws the sky at the time asked for, with the way of each satellite.
func (a *skyAnswer) skyPlot() string {
	plot := draw.Sky{
		Title:   fmt.Sprintf("Sky over %s", a.place),
		Below:   fmt.Sprintf("%s UTC, %s", a.at.Format("2006-01-02 15:04"), a.shortConstellation()),
		MaskDeg: a.mask.ElevationDeg,
		Legend:  []draw.SkyKey{{Tone: draw.Blue, Name: "in sight", Dot: true}, {Tone: draw.Blue, Name: "the hour before", Dashed: true}, {Tone: draw.Blue, Name: "the hour after"}},
	}
	for _, o := range a.mask.Obstacles {
		plot.Walls = append(plot.Walls, draw.Wall{FromDeg: o.FromDeg, ToDeg: o.ToDeg, UpToDeg: o.UpToDeg})
	}
	h := sky.NewHorizon(a.place.LatDeg, a.place.LonDeg, a.heightM)
	hidden, sick := false, false
	for n, s := range a.constellation.Satellites {
		at := a.constellation.Look(n, &h, a.at)
		if at.ElevationDeg < 0 {
			continue
		}
		dot := draw.SkyDot{AzimuthDeg: at.AzimuthDeg, ElevationDeg: at.ElevationDeg, Label: a.label(n), Tone: draw.Blue}
		switch {
		case !s.Healthy:
			dot.Tone, dot.Hollow, sick = draw.Bad, true, true
		case a.mask.Hides(at):
			dot.Tone, dot.Hollow, hidden = draw.Soft, true, true
		}
		plot.Trails = append(plot.Trails, a.trail(n, &h, -trailSpan, dot.Tone, true), a.trail(n, &h, trailSpan, dot.Tone, false))
		plot.Dots = append(plot.Dots, dot)
	}
	if hidden {
		plot.Legend = append(plot.Legend, draw.SkyKey{Tone: draw.Soft, Name: "hidden", Hollow: true})
	}
	if sick {
		plot.Legend = append(plot.Legend, draw.SkyKey{Tone: draw.Bad, Name: "not healthy", Hollow: true})
	}
	return plot.SVG()
}

// trail is the way of a satellite from the time asked for on, or before it.
func (a *skyAnswer) trail(n int, h *sky.Horizon, span time.Duration, tone draw.Tone, dashed bool) draw.Trail {
	t := draw.Trail{Tone: tone, Dashed: dashed}
	const steps = 12
	for i := range steps + 1 {
		look := a.constellation.Look(n, h, a.at.Add(span*time.Duration(i)/steps))
		t.AzimuthDeg, t.ElevationDeg = append(t.AzimuthDeg, look.AzimuthDeg), append(t.ElevationDeg, look.ElevationDeg)
	}
	return t
}

// label is what stands at a dot: a slot's name, or a satellite's number.
func (a *skyAnswer) label(n int) string {
	if a.nominal() {
		return a.constellation.Satellites[n].Name
	}
	return fmt.Sprint(a.constellation.Satellites[n].PRN)
}

func (a *skyAnswer) shortConstellation() string {
	if a.nominal() {
		return "nominal constellation (no real satellites)"
	}
	return a.constellation.Name + " of " + a.constellation.Applies.Format("2006-01-02")
}

// dopCeiling is where the plot of DOP ends: beyond it nobody wants a fix.
const dopCeiling = 10

// dayPlot draws satellites and DOP over the time.
func (a *skyAnswer) dayPlot() string {
	n := len(a.day)
	x, visible := make([]float64, n), make([]float64, n)
	p, h, v := make([]float64, n), make([]float64, n), make([]float64, n)
	most, high := 0.0, 4.0
	for i := range a.day {
		m := &a.day[i]
		x[i] = m.At.Sub(a.at).Seconds()
		visible[i] = float64(m.Visible)
		most = max(most, visible[i])
		p[i], h[i], v[i] = math.NaN(), math.NaN(), math.NaN()
		if m.Valid {
			p[i], h[i], v[i] = m.DOP.P, m.DOP.H, m.DOP.V
			high = max(high, min(m.DOP.P, dopCeiling))
		}
	}
	four := []float64{4, 4}
	ends := []float64{0, a.span.Seconds()}
	c := draw.Chart{
		Title: fmt.Sprintf("Satellites over %s", a.place),
		Below: fmt.Sprintf("from %s UTC, %s, above %g°", a.at.Format("2006-01-02 15:04"), a.shortConstellation(), a.mask.ElevationDeg),
		X:     draw.Axis{Name: "time, UTC", Low: 0, High: a.span.Seconds(), Times: a.at},
		Panels: []draw.Pane{
			{Y: draw.Axis{Name: "dilution of precision", Low: 0, High: math.Ceil(high)}, Series: []draw.Series{
				{Name: "PDOP", X: x, Y: p, Tone: draw.Ink}, {Name: "VDOP (height)", X: x, Y: v, Tone: draw.Plum}, {Name: "HDOP (place)", X: x, Y: h, Tone: draw.Good}}},
			{Y: draw.Axis{Name: "satellites in sight", Low: 0, High: most + 1}, Height: 150, Series: []draw.Series{
				{X: x, Y: visible, Tone: draw.Blue, Step: true, Fill: true, Alpha: 0.25}, {Name: "satellites", X: x, Y: visible, Tone: draw.Blue, Step: true},
				{Name: "four are needed", X: ends, Y: four, Tone: draw.Bad, Dashed: true}}},
		},
	}
	for i, b := range a.best {
		band := draw.Band{From: b.From.Sub(a.at).Seconds(), To: b.To.Sub(a.at).Seconds(), Tone: draw.Good}
		if i == 0 {
			band.Name = "best hours"
		}
		c.Panels[0].Bands = append(c.Panels[0].Bands, band)
	}
	if a.windows {
		c.Panels[0].Bands = append(c.Panels[0].Bands, draw.Band{From: a.worst.From.Sub(a.at).Seconds(), To: a.worst.To.Sub(a.at).Seconds(), Tone: draw.Bad, Name: "worst hour"})
	}
	return c.SVG()
}
