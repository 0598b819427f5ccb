package track

import (
	"fmt"
	"math"

	"firstfix/internal/earth/geo"
)

// area answers how far a point is from the line of a fence: negative inside.
type area interface{ signedM(p geo.Point) float64 }

// maxVertices bounds a fence: a county's border has some ten thousand.
const maxVertices = 100_000

func (f *Fence) area() (area, error) {
	bad := func(format string, args ...any) (area, error) {
		return nil, fmt.Errorf("track: fence %q: %s", f.Name, fmt.Sprintf(format, args...))
	}
	if f.RadiusM != 0 {
		switch {
		case !f.Centre.Valid():
			return bad("its middle is no place on earth")
		case !(f.RadiusM > 0 && f.RadiusM < maxRadiusM):
			return bad("a radius of %g m: want more than 0 and less than %g", f.RadiusM, maxRadiusM)
		case len(f.Polygons) > 0:
			return bad("it is both a circle and a polygon")
		}
		return circle{f.Centre, f.RadiusM}, nil
	}
	var out polygons
	count := 0
	for _, rings := range f.Polygons {
		var outline []ring
		for i, points := range rings {
			if count += len(points); count > maxVertices {
				return bad("more than %d corners", maxVertices)
			}
			r, err := ringOf(points)
			if err != nil {
				return bad("ring %d: %v", i+1, err)
			}
			outline = append(outline, r)
		}
		if len(outline) > 0 {
			out = append(out, outline)
		}
	}
	if len(out) == 0 {
		return bad("neither a circle nor a polygon")
	}
	return out, nil
}

// maxRadiusM: a quarter of the way round the earth; a larger fence is better told by what
// lies outside it.
const maxRadiusM = 10_000e3

type circle struct {
	centre  geo.Point
	radiusM float64
}

func (c circle) signedM(p geo.Point) float64 { return geo.DistanceM(c.centre, p) - c.radiusM }

// polygons are outer rings, each with its holes.
type polygons [][]ring

// ring is a closed line; its longitudes run on over the 180th meridian, from that of the
// first corner, and are in corners as written after that.
type ring struct {
	corners      []geo.Point
	lowLon, high float64
}

func ringOf(points []geo.Point) (r ring, err error) {
	if n := len(points); n > 1 && points[0] == points[n-1] {
		points = points[:n-1]
	}
	if len(points) < 3 {
		return r, fmt.Errorf("%d corners: want at least three", len(points))
	}
	lon := points[0].LonDeg
	r.lowLon, r.high = lon, lon
	r.corners = make([]geo.Point, len(points))
	for i, p := range points {
		if !p.Valid() {
			return r, fmt.Errorf("corner %d is no place on earth", i+1)
		}
		lon += geo.NormalLon(p.LonDeg - geo.NormalLon(lon))
		r.corners[i] = geo.Point{LatDeg: p.LatDeg, LonDeg: lon}
		r.lowLon, r.high = min(r.lowLon, lon), max(r.high, lon)
	}
	if back := lon + geo.NormalLon(points[0].LonDeg-geo.NormalLon(lon)); math.Abs(back-points[0].LonDeg) > 180 {
		return r, fmt.Errorf("it goes round a pole: cut it as RFC 7946, 3.1.9 says")
	}
	return r, nil
}

// lonFor returns the longitude of p on the ring's own count: the turn that brings it
// nearest to the ring's middle.
func (r *ring) lonFor(p geo.Point) float64 {
	middle := (r.lowLon + r.high) / 2
	return middle + math.Remainder(p.LonDeg-middle, 360)
}

// holds says whether a point is inside: a ray to the east crosses the ring an odd number of times.
func (r *ring) holds(p geo.Point) bool {
	lon, inside := r.lonFor(p), false
	if lon < r.lowLon || lon > r.high {
		return false
	}
	a := r.corners[len(r.corners)-1]
	for _, b := range r.corners {
		if (a.LatDeg > p.LatDeg) != (b.LatDeg > p.LatDeg) &&
			lon < a.LonDeg+(p.LatDeg-a.LatDeg)/(b.LatDeg-a.LatDeg)*(b.LonDeg-a.LonDeg) {
			inside = !inside
		}
		a = b
	}
	return inside
}

// nearest returns the place on the ring that is nearest in the frame of p, and the square
// of its distance there.
func (r *ring) nearest(p geo.Point, land *plane) (at geo.Point, square float64) {
	lon := r.lonFor(p)
	flat := func(q geo.Point) (e, n float64) {
		return (q.LonDeg - lon) * land.lonM, (q.LatDeg - p.LatDeg) * land.latM
	}
	square = math.Inf(1)
	a := r.corners[len(r.corners)-1]
	ae, an := flat(a)
	for _, b := range r.corners {
		be, bn := flat(b)
		de, dn := be-ae, bn-an
		part := 0.0
		if d2 := de*de + dn*dn; d2 > 0 {
			part = min(max(-(ae*de+an*dn)/d2, 0), 1)
		}
		e, n := ae+part*de, an+part*dn
		if d2 := e*e + n*n; d2 < square {
			square = d2
			at = geo.Point{LatDeg: a.LatDeg + part*(b.LatDeg-a.LatDeg), LonDeg: geo.NormalLon(a.LonDeg + part*(b.LonDeg-a.LonDeg))}
		}
		a, ae, an = b, be, bn
	}
	return at, square
}

// signedM: which place of the line is nearest is asked in the flat frame at p, which is
// right for a line nearby; how far it is, on the ellipsoid.
func (g polygons) signedM(p geo.Point) float64 {
	land := planeAt(p)
	inside, best, nearest := false, math.Inf(1), geo.Point{}
	for _, rings := range g {
		in := false
		for i := range rings {
			if held := rings[i].holds(p); i == 0 {
				in = held
			} else if held {
				in = false
			}
			if at, square := rings[i].nearest(p, &land); square < best {
				best, nearest = square, at
			}
		}
		inside = inside || in
	}
	d := geo.DistanceM(p, nearest)
	if inside {
		return -d
	}
	return d
}
