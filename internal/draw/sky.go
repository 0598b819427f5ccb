package draw

import (
	"math"
	"strconv"
)

// Sky is a picture of the sky above a place: the zenith in the middle, the horizon at the
// rim, north at the top, east at the right (as on a map laid on the table).
type Sky struct {
	Title, Below string // Below stands under the title
	MaskDeg      float64
	Walls        []Wall
	Cells        []Cell
	Trails       []Trail
	Dots         []SkyDot
	Legend       []SkyKey
}

// A Wall hides a part of the sky up to a height.
type Wall struct{ FromDeg, ToDeg, UpToDeg float64 }

// A Cell is a part of the sky that is painted, with a word in it.
type Cell struct {
	FromDeg, ToDeg  float64 // azimuths
	LowDeg, HighDeg float64 // elevations
	Tone            Tone
	Alpha           float64
	Word            string
}

// A Trail is the way of a satellite.
type Trail struct {
	AzimuthDeg, ElevationDeg []float64
	Tone                     Tone
	Dashed                   bool
}

// A SkyDot is a satellite.
type SkyDot struct {
	AzimuthDeg, ElevationDeg float64
	Label                    string
	Tone                     Tone
	Hollow                   bool
}

// A SkyKey explains a tone.
type SkyKey struct {
	Tone   Tone
	Name   string
	Dot    bool // a dot, not a line
	Hollow bool
	Dashed bool
	Patch  bool // a painted part of the sky
	Alpha  float64
}

const (
	skyWidth   = 640.0
	skyTop     = 84.0
	skyRadius  = 262.0
	skyLegendY = skyTop + 2*skyRadius + 60
)

func skyAt(azimuthDeg, elevationDeg float64) (x, y float64) {
	r := skyRadius * (90 - elevationDeg) / 90
	s, c := math.Sincos(azimuthDeg * math.Pi / 180)
	return skyWidth/2 + r*s, skyTop + 24 + skyRadius - r*c
}

// SVG draws it.
func (s *Sky) SVG() string {
	var p page
	height := skyLegendY + 18
	var keys []legendItem
	for _, k := range s.Legend {
		shape := stroke
		switch {
		case k.Hollow:
			shape = hollowDot
		case k.Dot:
			shape = fullDot
		}
		if k.Patch {
			shape = patch
		}
		keys = append(keys, legendItem{k.Tone, k.Name, k.Dashed, shape, k.Alpha})
	}
	if len(keys) > 0 {
		var dry page
		height = dry.legend(24, skyLegendY, skyWidth-24, keys) + 22
	}
	p.open(skyWidth, height, s.Title, s.Below)
	p.heading(skyWidth, s.Title, s.Below)
	cx, cy := skyAt(0, 90)
	p.raw(`<circle cx="`, num(cx), `" cy="`, num(cy), `" r="`, num(skyRadius), `" fill="`, string(Panel), `" stroke="`, string(Ink), `" stroke-width="1.5"/>`, "\n")
	for i := range s.Cells {
		c := &s.Cells[i]
		p.sector(c.FromDeg, c.ToDeg, c.LowDeg, c.HighDeg, c.Tone, c.Alpha)
	}
	if s.MaskDeg > 0 {
		p.sector(0, 360, 0, s.MaskDeg, Shade, 1)
	}
	for _, w := range s.Walls {
		to := w.ToDeg
		if to < w.FromDeg {
			to += 360
		}
		p.sector(w.FromDeg, to, 0, w.UpToDeg, Idle, 0.55)
	}
	s.net(&p)
	for i := range s.Cells {
		c := &s.Cells[i]
		if c.Word != "" {
			x, y := skyAt((c.FromDeg+c.ToDeg)/2, (c.LowDeg+c.HighDeg)/2)
			p.text(x, y+4, textStyle{size: 11, tone: Ink, anchor: "middle", halo: true}, c.Word)
		}
	}
	for i := range s.Trails {
		p.trail(&s.Trails[i])
	}
	s.dots(&p)
	p.legend(24, skyLegendY, skyWidth-24, keys)
	return p.close()
}

// net draws rings every 30 degrees of elevation and lines every 30 of azimuth.
func (s *Sky) net(p *page) {
	cx, cy := skyAt(0, 90)
	for _, elevation := range []float64{30, 60} {
		r := skyRadius * (90 - elevation) / 90
		p.raw(`<circle cx="`, num(cx), `" cy="`, num(cy), `" r="`, num(r), `" fill="none" stroke="`, string(Rule), `"/>`, "\n")
		x, y := skyAt(0, elevation)
		p.text(x+4, y-4, textStyle{size: 11, tone: Soft, halo: true}, strconv.Itoa(int(elevation))+"°")
	}
	for a := 0; a < 360; a += 30 {
		x, y := skyAt(float64(a), 0)
		p.line(cx, cy, x, y, Rule, 1, false)
		word, size := strconv.Itoa(a)+"°", 11.0
		style := textStyle{size: size, tone: Soft, anchor: "middle"}
		if a%90 == 0 {
			word = [...]string{"N", "E", "S", "W"}[a/90]
			style = textStyle{size: 15, tone: Ink, anchor: "middle", bold: true}
		}
		x, y = skyAt(float64(a), -5.5)
		p.text(x, y+4.5, style, word)
	}
	p.raw(`<circle cx="`, num(cx), `" cy="`, num(cy), `" r="`, num(skyRadius), `" fill="none" stroke="`, string(Ink), `" stroke-width="1.5"/>`, "\n")
}

// sector paints the part of the sky between two azimuths, clockwise, and two elevations.
func (p *page) sector(from, to, low, high float64, tone Tone, alpha float64) {
	cx, cy := skyAt(0, 90)
	outer, inner := skyRadius*(90-low)/90, skyRadius*(90-high)/90
	fill := `" fill="` + string(tone) + `" fill-opacity="` + strconv.FormatFloat(alpha, 'f', 2, 64) + `"/>` + "\n"
	if to-from >= 360 {
		// A ring: the outer circle, and the inner one the other way round.
		p.raw(`<path fill-rule="evenodd" d="`)
		for _, r := range []float64{outer, inner} {
			p.raw("M", num(cx-r), " ", num(cy), "a", num(r), " ", num(r), " 0 1 1 ", num(2*r), " 0a", num(r), " ", num(r), " 0 1 1 ", num(-2*r), " 0z")
		}
		p.raw(fill)
		return
	}
	large := "0"
	if to-from > 180 {
		large = "1"
	}
	x1, y1 := skyAt(from, low)
	x2, y2 := skyAt(to, low)
	x3, y3 := skyAt(to, high)
	x4, y4 := skyAt(from, high)
	p.raw(`<path d="M`, num(x1), " ", num(y1), "A", num(outer), " ", num(outer), " 0 ", large, " 1 ", num(x2), " ", num(y2),
		"L", num(x3), " ", num(y3), "A", num(inner), " ", num(inner), " 0 ", large, " 0 ", num(x4), " ", num(y4), "z", fill)
}

// trail draws a way, cut where it goes below the horizon.
func (p *page) trail(t *Trail) {
	p.raw(`<path d="`)
	down := true
	for i := range t.AzimuthDeg {
		if t.ElevationDeg[i] < 0 {
			down = true
			continue
		}
		x, y := skyAt(t.AzimuthDeg[i], t.ElevationDeg[i])
		if down {
			p.raw("M")
		} else {
			p.raw("L")
		}
		p.raw(num(x), " ", num(y))
		down = false
	}
	p.raw(`" fill="none" stroke="`, string(t.Tone), `" stroke-width="1.5" stroke-linecap="round" stroke-opacity="0.6"`)
	if t.Dashed {
		p.raw(` stroke-dasharray="1 4"`)
	}
	p.raw("/>\n")
}

// dots draws the satellites, and their labels where they hide nothing.
func (s *Sky) dots(p *page) {
	var taken boxes
	for i := range s.Dots {
		x, y := skyAt(s.Dots[i].AzimuthDeg, s.Dots[i].ElevationDeg)
		taken = append(taken, box{x - 7, y - 7, x + 7, y + 7})
	}
	for i := range s.Dots {
		d := &s.Dots[i]
		x, y := skyAt(d.AzimuthDeg, d.ElevationDeg)
		if d.Hollow {
			p.hollow(x, y, 6, d.Tone)
		} else {
			p.dot(x, y, 7, d.Tone, 1)
		}
		lx, ly, anchor := taken.place(x, y, 10, wide(d.Label, 12), 12)
		p.text(lx, ly, textStyle{size: 12, tone: Ink, anchor: anchor, bold: true, halo: true}, d.Label)
	}
}

// box is a part of the picture that is taken, boxes all of them.
type box struct{ left, top, right, bottom float64 }
type boxes []box

func (b boxes) overlap(c box) (area float64) {
	for _, o := range b {
		w := math.Min(o.right, c.right) - math.Max(o.left, c.left)
		h := math.Min(o.bottom, c.bottom) - math.Max(o.top, c.top)
		if w > 0 && h > 0 {
			area += w * h
		}
	}
	return area
}

// place finds room for words beside a point, takes it, and says where they begin.
func (b *boxes) place(x, y, away, width, size float64) (tx, ty float64, anchor string) {
	best := math.Inf(1)
	var chosen box
	for _, c := range []struct {
		dx, dy float64
		anchor string
	}{
		{away, size * 0.36, "start"}, {-away, size * 0.36, "end"}, {0, -away, "middle"}, {0, away + size*0.75, "middle"},
		{away * 0.7, -away * 0.6, "start"}, {away * 0.7, away*0.6 + size*0.7, "start"}, {-away * 0.7, -away * 0.6, "end"}, {-away * 0.7, away*0.6 + size*0.7, "end"},
	} {
		at := box{x + c.dx, y + c.dy - size*0.8, x + c.dx + width, y + c.dy + size*0.2}
		switch c.anchor {
		case "end":
			at.left, at.right = at.left-width, at.right-width
		case "middle":
			at.left, at.right = at.left-width/2, at.right-width/2
		}
		if o := b.overlap(at); o < best {
			best, chosen, tx, ty, anchor = o, at, x+c.dx, y+c.dy, c.anchor
		}
	}
	*b = append(*b, chosen)
	return tx, ty, anchor
}
