package trackmap

import (
	"fmt"
	"math"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
)

// grid draws parallels and meridians at whole minutes or seconds, about six each way.
func (m *Map) grid(c *canvas, p *projection) {
	if !m.any {
		return
	}
	// The degrees in the frame, looked up along its edges and in its middle.
	south, north := math.Inf(1), math.Inf(-1)
	west, east := math.Inf(1), math.Inf(-1)
	const looks = 24
	for i := range looks + 1 {
		for k := range looks + 1 {
			g := p.place(frameLeft+frameWide*float64(i)/looks, frameTop+frameHigh*float64(k)/looks)
			lon := geo.NormalLon(g.LonDeg - p.middle.LonDeg)
			south, north = min(south, g.LatDeg), max(north, g.LatDeg)
			west, east = min(west, lon), max(east, lon)
		}
	}
	latStep := gridStep((north - south) / 6)
	lonStep := gridStep((east - west) / 7)
	if east-west > 350 { // a pole, or all of the earth
		lonStep = 30
	}
	const most = 80 // lines each way, whatever the numbers
	n := 0
	for lat := math.Ceil(south/latStep) * latStep; lat <= north && n < most; lat += latStep {
		if math.Abs(lat) < 90-1e-9 {
			parallel(c, p, lat, west, east)
		}
		n++
	}
	n = 0
	first := math.Ceil((p.middle.LonDeg+west)/lonStep) * lonStep
	for lon := first; lon <= p.middle.LonDeg+east && n < most; lon += lonStep {
		meridian(c, p, lon, south, north)
		n++
	}
}

func parallel(c *canvas, p *projection, lat, west, east float64) {
	var points []geo.Point
	const pieces = 48
	for i := range pieces + 1 {
		points = append(points, geo.Point{LatDeg: lat, LonDeg: geo.NormalLon(p.middle.LonDeg + west + (east-west)*float64(i)/pieces)})
	}
	c.path("grid", p, points)
	// Its label stands where it meets the left side; round a pole, where it is lowest.
	x, y, ok := meets(p, points, func(x, _ float64) float64 { return x - frameLeft })
	if !ok && p.polar() {
		x, y = p.pixel(geo.Point{LatDeg: lat, LonDeg: p.middle.LonDeg})
		ok = inFrame(x, y)
	}
	if ok && y > frameTop+14 && y < frameTop+frameHigh-4 {
		c.put(`<text class="gridtext" x="%.1f" y="%.1f">%s</text>`+"\n", x+5, y-4, degreeText(lat, "N", "S"))
	}
}

func meridian(c *canvas, p *projection, lon, south, north float64) {
	var points []geo.Point
	const pieces = 32
	for i := range pieces + 1 {
		points = append(points, geo.Point{LatDeg: min(max(south+(north-south)*float64(i)/pieces, -90), 90), LonDeg: geo.NormalLon(lon)})
	}
	c.path("grid", p, points)
	x, y, ok := meets(p, points, func(_, y float64) float64 { return y - (frameTop + frameHigh) })
	if ok && x > frameLeft+60 && x < frameLeft+frameWide-70 {
		c.put(`<text class="gridtext" x="%.1f" y="%.1f">%s</text>`+"\n", x+4, y-6, degreeText(geo.NormalLon(lon), "E", "W"))
	}
}

// meets finds where a line crosses an edge: where side changes its sign.
func meets(p *projection, points []geo.Point, side func(x, y float64) float64) (x, y float64, ok bool) {
	var lastX, lastY, last float64
	for i, g := range points {
		px, py := p.pixel(g)
		s := side(px, py)
		if i > 0 && (s < 0) != (last < 0) {
			part := last / (last - s)
			return lastX + (px-lastX)*part, lastY + (py-lastY)*part, true
		}
		lastX, lastY, last = px, py, s
	}
	return 0, 0, false
}

// degreeText writes a line of the grid as people count: 51°42′30″ N.
func degreeText(deg float64, plus, minus string) string {
	letter := plus
	if deg < 0 {
		letter, deg = minus, -deg
	}
	seconds := int(math.Round(deg * 3600))
	text := fmt.Sprintf("%d°", seconds/3600)
	if seconds%3600 != 0 {
		text += fmt.Sprintf("%02d′", seconds/60%60)
	}
	if seconds%60 != 0 {
		text += fmt.Sprintf("%02d″", seconds%60)
	}
	if seconds == 0 || seconds == 180*3600 {
		return text
	}
	return text + " " + letter
}

// fences draws the fences with their names.
func fences(c *canvas, p *projection, list []track.Fence) {
	for i := range list {
		f := &list[i]
		var top geo.Point
		if f.RadiusM > 0 {
			var points []geo.Point
			for k := range circleEdge + 1 {
				g, _ := geo.Direct(f.Centre, 360*float64(k)/circleEdge, f.RadiusM)
				points = append(points, g)
			}
			c.path("fence", p, points)
			top = points[0]
		}
		for _, rings := range f.Polygons {
			for n, ring := range rings {
				if len(ring) == 0 {
					continue
				}
				c.path("fence", p, append(ring[:len(ring):len(ring)], ring[0]))
				for k, g := range ring {
					if n == 0 && (k == 0 || g.LatDeg > top.LatDeg) {
						top = g
					}
				}
			}
		}
		if x, y := p.pixel(top); inFrame(x, y) {
			c.put(`<text class="fencetext" x="%.1f" y="%.1f" text-anchor="middle">%s</text>`+"\n", x, max(y-6, frameTop+14), escape(shorten(f.Name, 30)))
		}
	}
}

// north draws an arrow: in the middle of the picture up is true north. With a pole in the
// picture there is no such direction.
func north(c *canvas, p *projection) {
	if p.polar() {
		return
	}
	x, y := frameLeft+frameWide-28, frameTop+44
	c.put(`<g transform="translate(%g %g)"><path class="north" d="M0 -24L9 8L0 2L-9 8Z"/><text x="0" y="24" text-anchor="middle" font-size="13" font-weight="700">N</text></g>`+"\n", x, y)
}

// scaleBar draws a round length, at most a quarter of the picture wide.
func scaleBar(c *canvas, p *projection) {
	length := nice(frameWide / 4 / p.scale)
	wide := length * p.scale
	x, y := frameLeft, legendTop+10
	c.put(`<path class="bar" d="M%g %gv8h%.1fv-8m%.1f 8v-5"/><text class="small" x="%g" y="%g">0</text><text class="small" x="%.1f" y="%g" text-anchor="middle">%s</text>`+"\n",
		x, y, wide, -wide/2, x-2, y+24, x+wide, y+24, barText(length))
}

func barText(m float64) string {
	if m >= 1000 {
		return fmt.Sprintf("%g km", m/1000)
	}
	return fmt.Sprintf("%g m", m)
}

// legend says what the signs mean, of those that are on the picture.
func (m *Map) legend(c *canvas, outside int, stops, fences bool) {
	x, y := frameLeft+300.0, legendTop+14
	entry := func(sign, text string) {
		if x+60+7*float64(len([]rune(text))) > width {
			x, y = frameLeft+300, y+24
		}
		c.put(`<g transform="translate(%.1f %.1f)">%s<text class="small" x="34" y="4">%s</text></g>`+"\n", x, y, sign, escape(text))
		x += 54 + 6.4*float64(len([]rune(text)))
	}
	if m.points > len(m.pieces) { // some piece is more than a point
		entry(`<path class="way" d="M0 0h26"/>`, "way")
	}
	if len(m.pieces) > 1 {
		entry(`<path class="gap" d="M0 0h26"/>`, "gap: straight line")
	}
	if stops {
		entry(`<rect class="stop" x="4" y="-8" width="18" height="16" rx="8"/>`, "stop")
	}
	if fences {
		entry(`<path class="fence" d="M2 -7h22v14h-22z"/>`, "fence")
	}
	if inside := len(m.crosses) + m.lost - outside; inside > 0 {
		entry(`<path class="cross" d="M8.500 -4.500l9 9m0 -9l-9 9"/>`, "set apart, no position")
	}
	y += 26
	x = frameLeft + 300
	note := func(text string) {
		c.put(`<text class="small" x="%g" y="%.1f">%s</text>`+"\n", x, y, escape(text))
		y += 17
	}
	if outside > 0 {
		note(fmt.Sprintf("%d set apart are not drawn: outside the picture, or too many", outside))
	}
	if m.merged > 0 {
		note(fmt.Sprintf("%d gaps are not drawn: too many", m.merged))
	}
	if m.boundM >= 1 && !math.IsInf(m.boundM, 1) {
		note("the line is drawn to within " + geo.FormatMetres(m.boundM))
	}
}
