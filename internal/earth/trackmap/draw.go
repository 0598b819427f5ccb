package trackmap

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
)

// Options are what stands on the picture beside the track.
type Options struct {
	Title  string
	Stops  []track.Stop
	Fences []track.Fence
	Zone   *time.Location // of the times; nil: UTC
}

// The picture, in its own pixels.
const (
	width      = 1000.0
	height     = 738.0
	frameLeft  = 20.0
	frameTop   = 58.0
	frameWide  = width - 2*frameLeft
	frameHigh  = 600.0
	legendTop  = frameTop + frameHigh + 16
	maxStops   = 60 // drawn, the longest first; more only crowd the picture
	circleEdge = 72 // corners of a round fence
)

const style = `
text{font-family:system-ui,"Segoe UI",Roboto,Helvetica,Arial,sans-serif;fill:#22262b}
.paper{fill:#fbfaf6}.land{fill:#fff;stroke:#a9adb3}
.grid{fill:none;stroke:#e4e1d6;stroke-width:1}.gridtext{font-size:11px;fill:#5d646d}
.under{fill:none;stroke:#fff;stroke-width:6;stroke-linejoin:round;stroke-linecap:round}
.way{fill:none;stroke:#2b4a86;stroke-width:2.6;stroke-linejoin:round;stroke-linecap:round}
.gap{fill:none;stroke:#5d646d;stroke-width:2;stroke-dasharray:7 6}
.arrow{fill:#22262b}.dot{fill:#2b4a86}
.fence{fill:#8a4f9e;fill-opacity:.07;stroke:#8a4f9e;stroke-width:1.6;stroke-dasharray:2 4;stroke-linecap:round}.fencetext{font-size:12px;fill:#6d3580}
.cross{stroke:#b07400;stroke-width:2;stroke-linecap:round;fill:none}
.stop{fill:#fff;stroke:#2b4a86;stroke-width:2}.stoptext{font-size:11px;font-weight:600;text-anchor:middle}
.start{fill:#1f6f54;stroke:#fff;stroke-width:2}.end{fill:#a3261c;stroke:#fff;stroke-width:2}
.label{font-size:13px;font-weight:600;paint-order:stroke;stroke:#fff;stroke-width:4px;stroke-linejoin:round}
.title{font-size:20px;font-weight:600}.small{font-size:12px;fill:#5d646d}.bar{stroke:#22262b;stroke-width:2;fill:none}.north{fill:#22262b}
`

// canvas writes SVG.
type canvas struct {
	w   *bufio.Writer
	err error
}

func (c *canvas) put(format string, args ...any) {
	if c.err == nil {
		_, c.err = fmt.Fprintf(c.w, format, args...)
	}
}

func escape(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text))
	return b.String()
}

// Draw writes the picture.
func (m *Map) Draw(w io.Writer, o Options) error {
	c := &canvas{w: bufio.NewWriter(w)}
	p := m.fit(o)
	title := o.Title
	if title == "" {
		title = "track"
	}
	c.put(`<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 %g %g" width="%g" height="%g" aria-labelledby="t d">`+"\n", width, height, width, height)
	c.put("<title id=\"t\">%s</title>\n<desc id=\"d\">%s</desc>\n<style>%s</style>\n", escape(title), escape(m.describe(&p)), style)
	c.put(`<rect class="paper" width="%g" height="%g"/><text class="title" x="%g" y="36">%s</text>`+"\n", width, height, frameLeft, escape(shorten(title, 78)))
	c.put(`<clipPath id="frame"><rect x="%g" y="%g" width="%g" height="%g" rx="6"/></clipPath>`+"\n", frameLeft, frameTop, frameWide, frameHigh)
	c.put(`<rect class="land" x="%g" y="%g" width="%g" height="%g" rx="6"/>`+"\n<g clip-path=\"url(#frame)\">\n", frameLeft, frameTop, frameWide, frameHigh)
	m.grid(c, &p)
	fences(c, &p, o.Fences)
	m.line(c, &p)
	outside := m.crossed(c, &p)
	m.ends(c, &p, o.Zone)
	m.drawStops(c, &p, o.Stops)
	c.put("</g>\n")
	north(c, &p)
	scaleBar(c, &p)
	m.legend(c, outside, len(o.Stops) > 0, len(o.Fences) > 0)
	c.put("</svg>\n")
	if c.err == nil {
		c.err = c.w.Flush()
	}
	return c.err
}

func shorten(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}

func (m *Map) fit(o Options) projection {
	return fit(func(yield func(geo.Point)) {
		for i := range m.pieces {
			for _, at := range m.pieces[i].points {
				yield(at)
			}
		}
		if m.any {
			return
		}
		for i := range o.Fences { // nothing was kept: show at least where it should have been
			if o.Fences[i].RadiusM > 0 {
				yield(o.Fences[i].Centre)
			}
		}
	}, frameLeft, frameTop, frameWide, frameHigh)
}

// describe tells what the picture shows, for those who cannot see it.
func (m *Map) describe(p *projection) string {
	if !m.any {
		return "No position that may be believed."
	}
	text := fmt.Sprintf("A track in %d pieces from %s to %s; the picture is %s wide, and north of its middle is up.", len(m.pieces), m.first.at, m.last.at, geo.FormatMetres(p.spanM))
	if m.boundM > 0 && !math.IsInf(m.boundM, 1) {
		text += fmt.Sprintf(" The line is drawn to within %s.", geo.FormatMetres(m.boundM))
	}
	if n := len(m.crosses) + m.lost; n > 0 {
		text += fmt.Sprintf(" Set apart: %d.", n)
	}
	return text
}

// path writes a line, leaving out points that fall on the same tenth of a pixel.
func (c *canvas) path(class string, p *projection, points []geo.Point) {
	c.put(`<path class="%s" d="`, class)
	var lastX, lastY float64
	for i, at := range points {
		x, y := p.pixel(at)
		x, y = clampPixel(x), clampPixel(y)
		if i > 0 && math.Abs(x-lastX) < 0.05 && math.Abs(y-lastY) < 0.05 && i < len(points)-1 {
			continue
		}
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		c.put("%s%.1f %.1f", letter, x, y)
		lastX, lastY = x, y
	}
	c.put(`"/>` + "\n")
}

// clampPixel keeps numbers small: what lies far outside is clipped anyway.
func clampPixel(x float64) float64 { return min(max(x, -1e5), 1e5) }

func (m *Map) line(c *canvas, p *projection) {
	for i := 1; i < len(m.pieces); i++ {
		a, b := m.pieces[i-1].points, m.pieces[i].points
		if len(a) > 0 && len(b) > 0 {
			c.path("gap", p, []geo.Point{a[len(a)-1], b[0]})
		}
	}
	for _, class := range [...]string{"under", "way"} {
		for i := range m.pieces {
			if len(m.pieces[i].points) > 1 {
				c.path(class, p, m.pieces[i].points)
			}
		}
	}
	for i := range m.pieces {
		if len(m.pieces[i].points) == 1 {
			x, y := p.pixel(m.pieces[i].points[0])
			c.put(`<circle class="dot" cx="%.1f" cy="%.1f" r="3"/>`+"\n", x, y)
		}
	}
	m.arrows(c, p)
}

// arrows show which way it went: one every 130 pixels of line.
func (m *Map) arrows(c *canvas, p *projection) {
	const every = 130.0
	since := every / 2
	for i := range m.pieces {
		points := m.pieces[i].points
		var lastX, lastY float64
		for k, at := range points {
			x, y := p.pixel(at)
			if k > 0 {
				d := math.Hypot(x-lastX, y-lastY)
				if since += d; since >= every && d > 0.5 {
					since = 0
					angle := math.Atan2(y-lastY, x-lastX) * 180 / math.Pi
					c.put(`<path class="arrow" transform="translate(%.1f %.1f) rotate(%.0f)" d="M6 0L-5 5L-2.5 0L-5 -5Z"/>`+"\n", (x+lastX)/2, (y+lastY)/2, angle)
				}
			}
			lastX, lastY = x, y
		}
	}
}

// crossed draws what was set apart, and returns how many lie outside.
func (m *Map) crossed(c *canvas, p *projection) (outside int) {
	outside = m.lost
	for i := range m.crosses {
		x, y := p.pixel(m.crosses[i].at)
		if !inFrame(x, y) {
			outside++
			continue
		}
		c.put(`<path class="cross" d="M%.1f %.1fl9 9m0 -9l-9 9"><title>%s</title></path>`+"\n", x-4.5, y-4.5, escape("set apart: "+m.crosses[i].why))
	}
	return outside
}

func inFrame(x, y float64) bool {
	return x >= frameLeft && x <= frameLeft+frameWide && y >= frameTop && y <= frameTop+frameHigh
}

// drawStops draws the stops with their numbers; those at one place share a mark, which
// stands beside that of the beginning or the end.
func (m *Map) drawStops(c *canvas, p *projection, stops []track.Stop) {
	type mark struct {
		x, y    float64
		numbers []int
		title   []string
	}
	var marks []mark
next:
	for i := range stops {
		x, y := p.pixel(geo.Point{LatDeg: stops[i].LatDeg, LonDeg: stops[i].LonDeg})
		title := fmt.Sprintf("stop %d: %s", i+1, time.Duration(stops[i].SpanS*float64(time.Second)).Round(time.Second))
		for k := range marks {
			if math.Hypot(marks[k].x-x, marks[k].y-y) < 16 {
				marks[k].numbers, marks[k].title = append(marks[k].numbers, i+1), append(marks[k].title, title)
				continue next
			}
		}
		if len(marks) < maxStops && inFrame(x, y) {
			marks = append(marks, mark{x, y, []int{i + 1}, []string{title}})
		}
	}
	for _, k := range marks {
		text := fmt.Sprint(k.numbers[0])
		if n := len(k.numbers); n == 2 {
			text += fmt.Sprintf(", %d", k.numbers[1])
		} else if n > 2 {
			text += fmt.Sprintf(" +%d", n-1)
		}
		half := 6 + 3.4*float64(len(text))
		for _, end := range [2]geo.Point{m.first.at, m.last.at} {
			if ex, ey := p.pixel(end); m.any && math.Hypot(ex-k.x, ey-k.y) < 14 {
				if k.x, k.y = ex-half-13, ey; k.x-half < frameLeft+2 {
					k.x = ex + half + 13
				}
			}
		}
		c.put(`<g><title>%s</title><rect class="stop" x="%.1f" y="%.1f" width="%.1f" height="18" rx="9"/><text class="stoptext" x="%.1f" y="%.1f">%s</text></g>`+"\n",
			escape(shorten(strings.Join(k.title, "; "), 400)), k.x-half, k.y-9, 2*half, k.x, k.y+4, text)
	}
}

// ends marks where it began and ended.
func (m *Map) ends(c *canvas, p *projection, zone *time.Location) {
	if !m.any {
		c.put(`<text class="label" x="%g" y="%g" text-anchor="middle">no position that may be believed</text>`+"\n", frameLeft+frameWide/2, frameTop+frameHigh/2)
		return
	}
	x1, y1 := p.pixel(m.first.at)
	x2, y2 := p.pixel(m.last.at)
	if m.first == m.last {
		c.put(`<circle class="start" cx="%.1f" cy="%.1f" r="7"/>`+"\n", x1, y1)
		label(c, x1, y1, -14, "the only sighting"+timeText(&m.first, zone))
		return
	}
	radius := 8.0
	if math.Hypot(x1-x2, y1-y2) < 8 {
		radius = 12 // to be seen behind the end
	}
	c.put(`<circle class="start" cx="%.1f" cy="%.1f" r="%g"/>`+"\n", x1, y1, radius)
	c.put(`<rect class="end" x="%.1f" y="%.1f" width="13" height="13"/>`+"\n", x2-6.5, y2-6.5)
	up1, up2 := m.leaves(p, true) >= 0, m.leaves(p, false) >= 0
	if math.Hypot(x1-x2, y1-y2) < 60 && up1 == up2 { // a round trip: one label on each side
		up2 = !up1
	}
	label(c, x1, y1, beside(up1), "start"+timeText(&m.first, zone))
	label(c, x2, y2, beside(up2), "end"+timeText(&m.last, zone))
}

// beside is how far below its place a label stands: on the other side of the line.
func beside(up bool) float64 {
	if up {
		return 26
	}
	return -14
}

// leaves is how far up the picture the line goes near its beginning or its end.
func (m *Map) leaves(p *projection, begin bool) (up float64) {
	const look = 60.0 // pixels of line
	at, step := m.first.at, 1
	piece := m.pieces[0].points
	i := 0
	if !begin {
		at, step = m.last.at, -1
		piece = m.pieces[len(m.pieces)-1].points
		i = len(piece) - 1
	}
	x, y := p.pixel(at)
	for ; i >= 0 && i < len(piece); i += step {
		px, py := p.pixel(piece[i])
		up = y - py
		if math.Hypot(px-x, py-y) > look {
			break
		}
	}
	return up
}

// label writes text near a place, turned inwards at the sides of the frame.
func label(c *canvas, x, y, dy float64, text string) {
	anchor := "middle"
	half := float64(len(text)) * 3.6
	switch {
	case x-half < frameLeft+4:
		anchor, x = "start", max(x-6, frameLeft+8)
	case x+half > frameLeft+frameWide-4:
		anchor, x = "end", min(x+6, frameLeft+frameWide-8)
	}
	y = min(max(y+dy, frameTop+18), frameTop+frameHigh-10)
	c.put(`<text class="label" x="%.1f" y="%.1f" text-anchor="%s">%s</text>`+"\n", x, y, anchor, escape(text))
}

func timeText(s *stand, zone *time.Location) string {
	if !s.dated {
		return ""
	}
	if zone == nil {
		zone = time.UTC
	}
	return " " + s.utc.In(zone).Format("2006-01-02 15:04 MST")
}
