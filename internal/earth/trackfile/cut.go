package trackfile

import "firstfix/internal/earth/geo"

// A cut is where a line crosses the 180th meridian: RFC 7946, 3.1.9, wants lines cut there
// so that neither part crosses it.
type cut struct {
	lat    float64
	before float64 // 180 or -180: the side on which the line arrives; it goes on at -before
}

// cutAt says whether the short way from a to b crosses the 180th meridian, and where: the
// line is straight in longitude and latitude (3.1.1).
func cutAt(a, b geo.Point) (c cut, ok bool) {
	if d := b.LonDeg - a.LonDeg; d >= -180 && d <= 180 {
		return c, false
	}
	c.before = 180
	if a.LonDeg < 0 {
		c.before = -180
	}
	toEdge := c.before - a.LonDeg
	whole := toEdge + b.LonDeg + c.before
	if whole == 0 {
		c.lat = a.LatDeg
		return c, true
	}
	c.lat = a.LatDeg + (b.LatDeg-a.LatDeg)*toEdge/whole
	return c, true
}
