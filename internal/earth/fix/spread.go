package fix

import (
	"math"
	"slices"

	"firstfix/internal/earth/geo"
)

// Spread is how far positions of one place lie from its centre, on the ground, in the
// flat frame that touches the ellipsoid there: good for some kilometres around.
//
// The names and what they mean for a round normal distribution of deviation s in each axis, by
// handbooks: CEP 50 % inside, 1.1774 s; DRMS 63.2 %, 1.4142 s; R95 95 %, 2.4477 s; twice
// the DRMS 98.2 %, 2.8284 s.
type Spread struct {
	Count   int
	Centre  geo.Point
	CEP50M  float64 // half of the positions are nearer
	R95M    float64 // 95 of 100 are nearer
	DRMSM   float64 // root of the mean square of the distances
	EastM   float64 // standard deviation
	NorthM  float64 // standard deviation
	LargeM  float64 // the largest distance
	OffsetM float64 // of the mean of the positions from Centre; 0 when Centre is the mean
}

// Measure returns the spread of positions around their mean; false for none. It works
// over the 180th meridian and at the poles.
func Measure(points []geo.Point) (Spread, bool) {
	if len(points) == 0 {
		return Spread{}, false
	}
	return About(mean(points), points)
}

// About returns the spread of positions around a place that is known; false for none.
func About(centre geo.Point, points []geo.Point) (Spread, bool) {
	n := float64(len(points))
	if n == 0 {
		return Spread{}, false
	}
	s := Spread{Count: len(points), Centre: centre}
	distances := make([]float64, len(points))
	var sumE, sumN, squareE, squareN float64
	for i, p := range points {
		e, n, _ := geo.ENU(centre, 0, p, 0)
		distances[i] = math.Hypot(e, n)
		sumE, sumN = sumE+e, sumN+n
		squareE, squareN = squareE+e*e, squareN+n*n
	}
	slices.Sort(distances)
	meanE, meanN := sumE/n, sumN/n
	s.CEP50M, s.R95M = share(distances, 0.5), share(distances, 0.95)
	s.DRMSM = math.Sqrt((squareE + squareN) / n)
	s.EastM = math.Sqrt(max(0, squareE/n-meanE*meanE))
	s.NorthM = math.Sqrt(max(0, squareN/n-meanN*meanN))
	s.LargeM = distances[len(distances)-1]
	s.OffsetM = math.Hypot(meanE, meanN)
	return s, true
}

// mean is the mean position: in the frame at the first one, then once more in the frame
// at what came out, which takes the bend of the earth away.
func mean(points []geo.Point) geo.Point {
	centre := points[0]
	for range 2 {
		var east, north float64
		for _, p := range points {
			e, n, _ := geo.ENU(centre, 0, p, 0)
			east, north = east+e, north+n
		}
		n := float64(len(points))
		centre, _ = geo.FromENU(centre, 0, east/n, north/n, 0)
	}
	return centre
}

// share is the value that so large a share of sorted values does not exceed, between
// neighbours by a straight line.
func share(sorted []float64, part float64) float64 {
	at := part * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
