package trackmap

import (
	"math"

	"firstfix/internal/earth/geo"
)

// projection lays the ground flat: distance and direction from the middle are true.
type projection struct {
	middle geo.Point
	scale  float64 // pixels in a metre
	ox, oy float64 // where the middle is in the picture
	spanM  float64
}

// flat is a place in metres, east and north of the middle.
func (p *projection) flat(at geo.Point) (east, north float64) {
	d, azimuth, _ := geo.Inverse(p.middle, at)
	s, c := math.Sincos(azimuth * math.Pi / 180)
	return d * s, d * c
}

// pixel is a place in the picture.
func (p *projection) pixel(at geo.Point) (x, y float64) {
	e, n := p.flat(at)
	return p.ox + e*p.scale, p.oy - n*p.scale
}

// place is the way back.
func (p *projection) place(x, y float64) geo.Point {
	e, n := (x-p.ox)/p.scale, (p.oy-y)/p.scale
	to, _ := geo.Direct(p.middle, math.Atan2(e, n)*180/math.Pi, math.Hypot(e, n))
	return to
}

// polar says that a pole lies in the picture or near it.
func (p *projection) polar() bool {
	return geo.DistanceM(p.middle, geo.Point{LatDeg: math.Copysign(90, p.middle.LatDeg)}) < p.spanM
}

// leastSpanM keeps a picture of one place from showing millimetres.
const leastSpanM = 60.0

// fit chooses the middle and the scale such that all points lie in a frame.
func fit(all func(yield func(geo.Point)), left, top, width, height float64) projection {
	// The middle: that of the mean direction in space, then that of the flat box around it.
	var x, y, z, n float64
	all(func(g geo.Point) {
		e := geo.ToECEF(g, 0)
		x, y, z, n = x+e.X, y+e.Y, z+e.Z, n+1
	})
	var p projection
	if n == 0 {
		p.scale, p.ox, p.oy = 1, left+width/2, top+height/2
		return p
	}
	p.middle, _ = geo.FromECEF(geo.ECEF{X: x / n, Y: y / n, Z: z / n})
	if !p.middle.Valid() || math.IsNaN(p.middle.LatDeg) { // opposite points: any of them will do
		all(func(g geo.Point) { p.middle = g })
	}
	var west, east, south, north float64
	for range 2 {
		west, south = math.Inf(1), math.Inf(1)
		east, north = math.Inf(-1), math.Inf(-1)
		all(func(g geo.Point) {
			e, n := p.flat(g)
			west, east, south, north = min(west, e), max(east, e), min(south, n), max(north, n)
		})
		e, n := (west+east)/2, (south+north)/2
		p.middle, _ = geo.Direct(p.middle, math.Atan2(e, n)*180/math.Pi, math.Hypot(e, n))
	}
	west, east, south, north = 0, 0, 0, 0
	all(func(g geo.Point) {
		e, n := p.flat(g)
		west, east, south, north = min(west, e), max(east, e), min(south, n), max(north, n)
	})
	const edge = 1.12 // of room around
	wide := max(2*edge*max(east, -west), leastSpanM)
	high := max(2*edge*max(north, -south), leastSpanM*height/width)
	p.scale = min(width/wide, height/high)
	p.spanM = width / p.scale
	p.ox, p.oy = left+width/2, top+height/2
	return p
}

// nice is the largest of 1, 2 and 5 times a power of ten that is not above x.
func nice(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, k := range [...]float64{5, 2} {
		if k*power <= x {
			return k * power
		}
	}
	return power
}

// niceDegrees are the steps of a grid of degrees: whole seconds and minutes, as people count.
var niceDegrees = []float64{1.0 / 3600, 2.0 / 3600, 5.0 / 3600, 10.0 / 3600, 15.0 / 3600, 30.0 / 3600, 1.0 / 60, 2.0 / 60, 5.0 / 60, 10.0 / 60, 15.0 / 60, 30.0 / 60, 1, 2, 5, 10, 15, 30}

func gridStep(least float64) float64 {
	for _, s := range niceDegrees {
		if s >= least {
			return s
		}
	}
	return niceDegrees[len(niceDegrees)-1]
}
