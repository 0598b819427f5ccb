package draw

import (
	"math"
	"strconv"
	"time"
)

// A Chart is one or more panels below each other that share what runs to the right.
type Chart struct {
	Title, Below string
	X            Axis
	Panels       []Pane
	Square       bool // one unit is as long upwards as to the right: one panel only
}

// An Axis is what runs along an edge.
type Axis struct {
	Name      string
	Low, High float64
	Log       bool
	Spans     bool      // values are seconds, and are written as people say them; with Log
	Times     time.Time // not zero: values are seconds after it, and are written as clock times, in UTC
}

// A Pane is one panel.
type Pane struct {
	Y      Axis
	Height float64 // 0: the usual
	Bands  []Band
	Series []Series
	Rings  []Ring
	Words  []Word
}

// A Band is a stretch of the X axis that is painted behind everything.
type Band struct {
	From, To float64
	Tone     Tone
	Name     string // for the legend; "" for none
}

// A Series is points that belong together. A NaN breaks a line.
type Series struct {
	Name   string // for the legend; "" for none
	X, Y   []float64
	Tone   Tone
	Dots   bool // points instead of a line
	Size   float64
	Alpha  float64 // 0: opaque
	Step   bool    // the value holds until the next
	Fill   bool    // painted down to the axis
	Dashed bool
}

// A Ring is an ellipse around a place: half axes, and the direction of the first clockwise from up.
type Ring struct {
	X, Y, A, B, TurnDeg float64
	Name                string
	Tone                Tone
	Dashed              bool
}

// A Word is text at a point.
type Word struct {
	X, Y float64
	Text string
	Tone Tone
	Mark bool // a cross at the point too
}

const (
	chartWidth  = 820.0
	chartLeft   = 66.0
	chartRight  = 24.0
	chartTop    = 92.0
	paneHeight  = 260.0
	paneGap     = 34.0
	bandAlpha   = 0.18
	maxPerLine  = 20_000 // points of one series that are drawn; the caller thins out
	squareSide  = 640.0
	squareInner = squareSide
)

// frame turns values into places.
type frame struct {
	x, y                     Axis
	left, top, right, bottom float64
}

func (a *Axis) part(v float64) float64 {
	if a.Log {
		return (math.Log10(v) - math.Log10(a.Low)) / (math.Log10(a.High) - math.Log10(a.Low))
	}
	return (v - a.Low) / (a.High - a.Low)
}

func (f *frame) at(x, y float64) (float64, float64) {
	return f.left + f.x.part(x)*(f.right-f.left), f.bottom - f.y.part(y)*(f.bottom-f.top)
}

// SVG draws it.
func (c *Chart) SVG() string {
	width := chartWidth
	heights := make([]float64, len(c.Panels))
	for i := range c.Panels {
		if heights[i] = c.Panels[i].Height; heights[i] == 0 {
			heights[i] = paneHeight
		}
	}
	if c.Square {
		width = squareSide + chartLeft + chartRight
		heights[0] = squareInner
		c.square()
	}
	y := chartTop
	for _, h := range heights {
		y += h + paneGap
	}
	keys := c.keys()
	legendY := y + 26
	height := legendY
	if len(keys) > 0 {
		var dry page
		height = dry.legend(chartLeft, legendY, width-chartRight, keys) + 20
	}
	var p page
	p.open(width, height, c.Title, c.Below)
	p.heading(width, c.Title, c.Below)
	y = chartTop
	for i := range c.Panels {
		f := frame{x: c.X, y: c.Panels[i].Y, left: chartLeft, top: y, right: width - chartRight, bottom: y + heights[i]}
		c.pane(&p, &f, &c.Panels[i], i, i == len(c.Panels)-1)
		y += heights[i] + paneGap
	}
	p.legend(chartLeft, legendY, width-chartRight, keys)
	return p.close()
}

// square widens the shorter of the two axes, around its middle, to the length of the other.
func (c *Chart) square() {
	x, y := &c.X, &c.Panels[0].Y
	long := math.Max(x.High-x.Low, y.High-y.Low)
	for _, a := range []*Axis{x, y} {
		mid := (a.Low + a.High) / 2
		a.Low, a.High = mid-long/2, mid+long/2
	}
}

func (c *Chart) keys() (keys []legendItem) {
	for i := range c.Panels {
		p := &c.Panels[i]
		for _, s := range p.Series {
			if s.Name != "" {
				shape := stroke
				if s.Dots {
					shape = fullDot
				}
				keys = append(keys, legendItem{s.Tone, s.Name, s.Dashed, shape, 1})
			}
		}
		for _, r := range p.Rings {
			if r.Name != "" {
				keys = append(keys, legendItem{r.Tone, r.Name, r.Dashed, stroke, 1})
			}
		}
		for _, b := range p.Bands {
			if b.Name != "" {
				keys = append(keys, legendItem{b.Tone, b.Name, false, patch, bandAlpha})
			}
		}
	}
	return keys
}

func (c *Chart) pane(p *page, f *frame, pane *Pane, number int, last bool) {
	clip := "pane" + strconv.Itoa(number)
	p.raw(`<clipPath id="`, clip, `"><rect x="`, num(f.left), `" y="`, num(f.top), `" width="`, num(f.right-f.left), `" height="`, num(f.bottom-f.top), `"/></clipPath>`, "\n")
	p.raw(`<rect x="`, num(f.left), `" y="`, num(f.top), `" width="`, num(f.right-f.left), `" height="`, num(f.bottom-f.top), `" fill="`, string(Panel), `"/>`, "\n")
	for _, b := range pane.Bands {
		x1, _ := f.at(math.Max(b.From, f.x.Low), f.y.Low)
		x2, _ := f.at(math.Min(b.To, f.x.High), f.y.Low)
		if x2 > x1 {
			p.raw(`<rect x="`, num(x1), `" y="`, num(f.top), `" width="`, num(x2-x1), `" height="`, num(f.bottom-f.top), `" fill="`, string(b.Tone), `" fill-opacity="`, strconv.FormatFloat(bandAlpha, 'f', 2, 64), `"/>`, "\n")
		}
	}
	f.rules(p, last)
	p.raw(`<g clip-path="url(#`, clip, `)">`, "\n")
	for i := range pane.Series {
		f.series(p, &pane.Series[i])
	}
	for i := range pane.Rings {
		f.ring(p, &pane.Rings[i])
	}
	p.raw("</g>\n")
	f.words(p, pane)
	p.raw(`<rect x="`, num(f.left), `" y="`, num(f.top), `" width="`, num(f.right-f.left), `" height="`, num(f.bottom-f.top), `" fill="none" stroke="`, string(Soft), `"/>`, "\n")
	p.text(f.left, f.top-7, textStyle{size: 12, tone: Ink, bold: true}, f.y.Name)
	if last {
		p.text((f.left+f.right)/2, f.bottom+38, textStyle{size: 12, tone: Ink, anchor: "middle", bold: true}, f.x.Name)
	}
}

// rules draws the lines of the grid with their numbers.
func (f *frame) rules(p *page, last bool) {
	for _, m := range f.y.marks(int((f.bottom - f.top) / 38)) {
		_, y := f.at(f.x.Low, m.at)
		p.line(f.left, y, f.right, y, Rule, 1, false)
		p.text(f.left-8, y+4, textStyle{size: 11, tone: Soft, anchor: "end"}, m.word)
	}
	for _, m := range f.x.marks(int((f.right - f.left) / 74)) {
		x, _ := f.at(m.at, f.y.Low)
		p.line(x, f.top, x, f.bottom, Rule, 1, false)
		if last {
			p.text(x, f.bottom+17, textStyle{size: 11, tone: Soft, anchor: "middle"}, m.word)
		}
	}
}

type mark struct {
	at   float64
	word string
}

// timeSteps are what clock times are apart, in seconds.
var timeSteps = []float64{1, 5, 15, 30, 60, 300, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800, 604800, 2592000}

// spanMarks are lengths of time as people say them.
var spanMarks = []mark{{0.1, "0.1 s"}, {1, "1 s"}, {10, "10 s"}, {60, "1 min"}, {600, "10 min"}, {3600, "1 h"}, {6 * 3600, "6 h"}, {86400, "1 day"}, {7 * 86400, "1 week"}, {30 * 86400, "30 days"}, {365 * 86400, "1 year"}}

func (a *Axis) marks(n int) (out []mark) {
	switch {
	case a.Spans:
		for _, m := range spanMarks {
			if m.at >= a.Low && m.at <= a.High {
				out = append(out, m)
			}
		}
	case a.Log:
		for power := math.Floor(math.Log10(a.Low)); power <= math.Log10(a.High); power++ {
			for _, k := range []float64{1, 2, 5} {
				v := k * math.Pow(10, power)
				if v < a.Low*(1-1e-9) || v > a.High*(1+1e-9) {
					continue
				}
				out = append(out, mark{v, strconv.FormatFloat(v, 'f', max(0, -int(power)), 64)})
			}
		}
		if len(out) > n {
			decades := out[:0]
			for _, m := range out {
				if l := math.Log10(m.at); math.Abs(l-math.Round(l)) < 1e-9 {
					decades = append(decades, m)
				}
			}
			out = decades
		}
	case !a.Times.IsZero():
		step := timeSteps[len(timeSteps)-1]
		for _, s := range timeSteps {
			if (a.High-a.Low)/s <= float64(n) {
				step = s
				break
			}
		}
		layout := "15:04"
		switch {
		case step >= 86400:
			layout = "Jan 2"
		case step < 60:
			layout = "15:04:05"
		}
		midnight := a.Times.UTC().Truncate(24 * time.Hour)
		ahead := a.Times.Sub(midnight).Seconds()
		for k := math.Ceil((a.Low + ahead) / step); k*step-ahead <= a.High; k++ {
			at := k*step - ahead
			out = append(out, mark{at, midnight.Add(time.Duration(k * step * 1e9)).Format(layout)})
		}
	default:
		at, decimals := steps(a.Low, a.High, n)
		for _, v := range at {
			out = append(out, mark{v, strconv.FormatFloat(v+0, 'f', decimals, 64)})
		}
	}
	return out
}

func (f *frame) series(p *page, s *Series) {
	n := min(len(s.X), maxPerLine)
	alpha := s.Alpha
	if alpha == 0 {
		alpha = 1
	}
	if s.Dots {
		size := s.Size
		if size == 0 {
			size = 4.5
		}
		for i := range n {
			x, y := f.at(s.X[i], s.Y[i])
			p.dot(x, y, size, s.Tone, alpha)
		}
		return
	}
	path := func() {
		broken := true
		var lastX, lastY float64
		for i := range n {
			if math.IsNaN(s.Y[i]) {
				if s.Fill && !broken {
					p.raw("V", num(f.bottom), "z")
				}
				broken = true
				continue
			}
			x, y := f.at(s.X[i], math.Min(s.Y[i], f.y.High+(f.y.High-f.y.Low)))
			switch {
			case broken && s.Fill:
				p.raw("M", num(x), " ", num(f.bottom), "V", num(y))
			case broken:
				p.raw("M", num(x), " ", num(y))
			case s.Step:
				p.raw("H", num(x))
				if y != lastY {
					p.raw("V", num(y))
				}
			default:
				p.raw("L", num(x), " ", num(y))
			}
			broken, lastX, lastY = false, x, y
		}
		if s.Fill && !broken {
			p.raw("L", num(lastX), " ", num(f.bottom), "z")
		}
	}
	p.raw(`<path d="`)
	path()
	if s.Fill {
		p.raw(`" fill="`, string(s.Tone), `" fill-opacity="`, strconv.FormatFloat(alpha, 'f', 2, 64), `"/>`, "\n")
		return
	}
	p.raw(`" fill="none" stroke="`, string(s.Tone), `" stroke-width="2" stroke-linejoin="round"`)
	if alpha < 1 {
		p.raw(` stroke-opacity="`, strconv.FormatFloat(alpha, 'f', 2, 64), `"`)
	}
	if s.Dashed {
		p.raw(` stroke-dasharray="5 4"`)
	}
	p.raw("/>\n")
}

func (f *frame) ring(p *page, r *Ring) {
	cx, cy := f.at(r.X, r.Y)
	edgeX, _ := f.at(r.X+r.B, r.Y)
	_, edgeY := f.at(r.X, r.Y+r.A)
	p.raw(`<ellipse cx="`, num(cx), `" cy="`, num(cy), `" rx="`, num(edgeX-cx), `" ry="`, num(cy-edgeY),
		`" transform="rotate(`, num(r.TurnDeg), " ", num(cx), " ", num(cy), `)" fill="none" stroke="`, string(r.Tone), `" stroke-width="2"`)
	if r.Dashed {
		p.raw(` stroke-dasharray="5 4"`)
	}
	p.raw("/>\n")
}

// maxAvoided is how many points of a series words keep away from: among more there is no room anyway.
const maxAvoided = 500

// avoid takes the places of dots, and of lines every few pixels.
func (f *frame) avoid(s *Series, taken boxes) boxes {
	take := func(x, y, r float64) { taken = append(taken, box{x - r, y - r, x + r, y + r}) }
	along := func(x1, y1, x2, y2 float64) {
		const every = 6
		n := int(math.Hypot(x2-x1, y2-y1)/every) + 1
		for k := range min(n, 400) {
			part := float64(k) / float64(n)
			take(x1+(x2-x1)*part, y1+(y2-y1)*part, 2)
		}
	}
	var lastX, lastY float64
	for i := range s.X {
		x, y := f.at(s.X[i], s.Y[i])
		switch {
		case math.IsNaN(y):
		case s.Dots:
			take(x, y, 4)
		case i > 0 && s.Step:
			along(lastX, lastY, x, lastY)
			along(x, lastY, x, y)
		case i > 0:
			along(lastX, lastY, x, y)
		}
		lastX, lastY = x, y
	}
	return taken
}

// words writes what stands at points, apart from each other and from the points.
func (f *frame) words(p *page, pane *Pane) {
	var taken boxes
	for i := range pane.Series {
		if s := &pane.Series[i]; len(s.X) <= maxAvoided {
			taken = f.avoid(s, taken)
		}
	}
	// The frame is as good as taken: words should not leave it.
	const far = 1e4
	taken = append(taken, box{-far, -far, f.left, far}, box{f.right, -far, far, far}, box{-far, -far, far, f.top}, box{-far, f.bottom, far, far})
	for _, w := range pane.Words {
		x, y := f.at(w.X, w.Y)
		tone := w.Tone
		if tone == "" {
			tone = Ink
		}
		if w.Mark {
			p.line(x-8, y, x+8, y, tone, 2, false)
			p.line(x, y-8, x, y+8, tone, 2, false)
		}
		tx, ty, anchor := taken.place(x, y, 8, wide(w.Text, 11.5), 11.5)
		p.text(tx, ty, textStyle{size: 11.5, tone: tone, anchor: anchor, halo: true}, w.Text)
	}
}
