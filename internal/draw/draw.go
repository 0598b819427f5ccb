// Package draw makes pictures of figures as SVG: a sky, and charts of points and lines.
//
// # What it promises
//
// The same figures give the same bytes. A picture stands by itself: it loads nothing, has a
// title that a reader's voice can speak, and keeps its words apart where there is room.
//
// # What it leaves to others
//
// What the figures mean, and in which order they come. Maps of tracks are drawn by their own
// package.
//
// # Where to start
//
// Read [Sky] and [Chart].
package draw

import (
	"html"
	"math"
	"strconv"
	"strings"
)

// A Tone is what a colour stands for.
type Tone string

// The tones. They are told apart by lightness too, for those who do not see colours.
const (
	Ink   Tone = "#22262b"
	Soft  Tone = "#5d646d"
	Rule  Tone = "#d9d5c8"
	Paper Tone = "#fbfaf6"
	Idle  Tone = "#a9adb3"
	Good  Tone = "#1f6f54"
	Weak  Tone = "#b07400"
	Bad   Tone = "#a3261c"
	Blue  Tone = "#2b4a86"
	Plum  Tone = "#8a4f9e"
	Panel Tone = "#ffffff"
	Shade Tone = "#e9e6dc"
)

// page collects an SVG.
type page struct{ b strings.Builder }

func (p *page) open(width, height float64, title, description string) {
	p.raw(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 `, num(width), " ", num(height), `" width="`, num(width), `" height="`, num(height),
		`" role="img" font-family="system-ui, 'DejaVu Sans', sans-serif">`, "\n")
	p.raw("<title>", html.EscapeString(title), "</title>\n")
	if description != "" {
		p.raw("<desc>", html.EscapeString(description), "</desc>\n")
	}
	p.raw(`<rect width="`, num(width), `" height="`, num(height), `" fill="`, string(Paper), `"/>`, "\n")
}

func (p *page) close() string {
	p.raw("</svg>\n")
	return p.b.String()
}

func (p *page) raw(parts ...string) {
	for _, s := range parts {
		p.b.WriteString(s)
	}
}

// num writes a length with at most one decimal: what no eye sees is not written.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

type textStyle struct {
	size   float64
	tone   Tone
	anchor string // "start", "middle", "end"
	bold   bool
	halo   bool // a rim of paper, to be read on lines
}

func (p *page) text(x, y float64, s textStyle, words string) {
	p.raw(`<text x="`, num(x), `" y="`, num(y), `" font-size="`, num(s.size), `" fill="`, string(s.tone), `"`)
	if s.anchor != "" && s.anchor != "start" {
		p.raw(` text-anchor="`, s.anchor, `"`)
	}
	if s.bold {
		p.raw(` font-weight="650"`)
	}
	if s.halo {
		p.raw(` stroke="`, string(Paper), `" stroke-width="3" paint-order="stroke" stroke-linejoin="round"`)
	}
	p.raw(">", html.EscapeString(words), "</text>\n")
}

func (p *page) line(x1, y1, x2, y2 float64, tone Tone, width float64, dashed bool) {
	p.raw(`<path d="M`, num(x1), " ", num(y1), "L", num(x2), " ", num(y2), `" stroke="`, string(tone), `" stroke-width="`, num(width), `"`)
	if dashed {
		p.raw(` stroke-dasharray="4 4"`)
	}
	p.raw(` fill="none"/>`, "\n")
}

func (p *page) dot(x, y, r float64, fill Tone, alpha float64) {
	p.raw(`<circle cx="`, num(x), `" cy="`, num(y), `" r="`, num(r), `" fill="`, string(fill), `"`)
	if alpha < 1 {
		p.raw(` fill-opacity="`, strconv.FormatFloat(alpha, 'f', 2, 64), `"`)
	}
	p.raw("/>\n")
}

func (p *page) hollow(x, y, r float64, tone Tone) {
	p.raw(`<circle cx="`, num(x), `" cy="`, num(y), `" r="`, num(r), `" fill="`, string(Panel), `" stroke="`, string(tone), `" stroke-width="2"/>`, "\n")
}

// heading writes the title, and what stands below it in at most two lines.
func (p *page) heading(width float64, title, below string) {
	p.text(24, 34, textStyle{size: 18, tone: Ink, bold: true}, title)
	y := 56.0
	for _, line := range wrap(below, width-48, 13) {
		p.text(24, y, textStyle{size: 13, tone: Soft}, line)
		y += 17
	}
}

// maxBelow is how many lines there is room for under a title.
const maxBelow = 2

func wrap(words string, width, size float64) (lines []string) {
	line := ""
	for _, w := range strings.Fields(words) {
		if line != "" && wide(line+" "+w, size) > width && len(lines) < maxBelow-1 {
			lines, line = append(lines, line), w
			continue
		}
		line = strings.TrimSpace(line + " " + w)
	}
	return append(lines, line)
}

// wide is about how many pixels words take: the mean letter of the usual fonts is a little over
// half as wide as high.
func wide(words string, size float64) float64 {
	n := 0.0
	for _, r := range words {
		switch {
		case strings.ContainsRune("ilj.,:;|'!()[] ", r):
			n += 0.36
		case r >= 'A' && r <= 'Z' || r == 'm' || r == 'w' || r == '%':
			n += 0.74
		default:
			n += 0.58
		}
	}
	return n * size
}

// legendItem is a sign and its meaning.
type legendItem struct {
	tone   Tone
	name   string
	dashed bool
	shape  shape
	alpha  float64 // of a patch
}

// shape is how a sign looks.
type shape int

const (
	stroke shape = iota
	fullDot
	hollowDot
	patch
)

// legend writes signs in a row from x on and returns where the row ends. Beyond limit it breaks the row.
func (p *page) legend(x, y, limit float64, items []legendItem) (bottom float64) {
	left := x
	for _, it := range items {
		if w := 22 + wide(it.name, 12) + 18; x+w > limit && x > left {
			x, y = left, y+18
		}
		switch it.shape {
		case fullDot:
			p.dot(x+8, y-4, 5, it.tone, 1)
		case hollowDot:
			p.hollow(x+8, y-4, 5, it.tone)
		case patch:
			p.raw(`<rect x="`, num(x), `" y="`, num(y-10), `" width="16" height="12" fill="`, string(it.tone), `" fill-opacity="`, strconv.FormatFloat(it.alpha, 'f', 2, 64), `" stroke="`, string(it.tone), `" stroke-opacity="0.4"/>`, "\n")
		default:
			p.line(x, y-4, x+16, y-4, it.tone, 2.5, it.dashed)
		}
		p.text(x+22, y, textStyle{size: 12, tone: Soft}, it.name)
		x += 22 + wide(it.name, 12) + 18
	}
	return y
}

// steps returns pleasant marks from low to high: 1, 2 or 5 times a power of ten apart, at most n.
func steps(low, high float64, n int) (at []float64, decimals int) {
	if !(high > low) || n < 1 {
		return []float64{low}, 0
	}
	raw := (high - low) / float64(n)
	power := math.Floor(math.Log10(raw))
	unit := math.Pow(10, power)
	step := 10 * unit
	for _, f := range []float64{1, 2, 5} {
		if f*unit >= raw*(1-1e-9) {
			step = f * unit
			break
		}
	}
	decimals = max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	for k := math.Ceil(low/step - 1e-9); k*step <= high+step*1e-9; k++ {
		at = append(at, k*step)
	}
	return at, decimals
}
