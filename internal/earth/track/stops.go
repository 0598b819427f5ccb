package track

import (
	"time"

	"firstfix/internal/earth/geo"
)

// stopFinder finds where a device stood: it stayed within a radius of one place for long
// enough. It holds the sightings since the device may have come to rest, at most one for
// each second.
type stopFinder struct {
	radiusM float64
	least   time.Duration

	land   plane // the frame in which the sightings of the window are compared
	window []rest
	onWay  float64 // so far, without gaps; the sightings remember it
	onWayS float64
	silent float64 // seconds in gaps so far
	gapsM  float64

	standing bool
	seen     int     // sightings so far
	count    int     // in the mean
	centreE  float64 // mean of the sightings, in the frame
	centreN  float64
	begin    rest
	inside   rest // the last one that was inside
	outside  []rest
}

// rest is one sighting, with what the way had come to.
type rest struct {
	sample
	eastM, northM float64
	wayM, wayS    float64
	silentS, gapM float64
	number        int
}

// foundStop is a stop with what it takes from the other figures.
type foundStop struct {
	result  Stop
	wanderM float64 // way between its sightings
	heardS  float64
	silentM float64 // way over gaps in it
}

const (
	// A device has left when it is half as far again from the middle, twice in a row: one
	// reflection ends no stop. Our choice.
	leaveFactor = 1.5
	leaveCount  = 2

	// windowStep thins the window: between two of its sightings lies a second.
	windowStep = time.Second

	// maxWindow bounds the window; least divided by windowStep is less for any stop that
	// a person would ask for. A longer one is thinned to its younger half.
	maxWindow = 8192

	// maxPlaneM is how far from its origin the frame is used.
	maxPlaneM = 20e3
)

func (f *stopFinder) first(s *sample) {
	f.land = planeAt(s.point)
	f.window = append(f.window[:0], f.rest(s))
}

func (f *stopFinder) rest(s *sample) rest {
	r := rest{sample: *s, wayM: f.onWay, wayS: f.onWayS, silentS: f.silent, gapM: f.gapsM, number: f.seen}
	r.eastM, r.northM = f.land.at(s.point)
	return r
}

// add takes the next sighting, with the way from the one before it.
func (f *stopFinder) add(s *sample, way, seconds float64, gap bool) *foundStop {
	f.seen++
	if gap {
		f.silent, f.gapsM = f.silent+seconds, f.gapsM+way
	} else {
		f.onWay, f.onWayS = f.onWay+way, f.onWayS+seconds
	}
	if !s.moment.Known {
		return nil
	}
	r := f.rest(s)
	if f.standing {
		return f.stand(r)
	}
	if r.eastM*r.eastM+r.northM*r.northM > maxPlaneM*maxPlaneM {
		f.rebase(&r)
	}
	f.approach(r)
	return nil
}

// rebase lays the frame through the new sighting.
func (f *stopFinder) rebase(r *rest) {
	f.land = planeAt(r.point)
	r.eastM, r.northM = 0, 0
	for i := range f.window {
		f.window[i].eastM, f.window[i].northM = f.land.at(f.window[i].point)
	}
}

// approach keeps the window such that all in it lie within the radius of its first.
func (f *stopFinder) approach(r rest) {
	from := 0
	for from < len(f.window) && !f.holds(from, &r) {
		from++
	}
	if from > 0 {
		f.window = f.window[:copy(f.window, f.window[from:])]
	}
	if n := len(f.window); n < 2 || r.moment.Sub(f.window[n-1].moment) >= windowStep {
		if n >= maxWindow {
			f.window = f.window[:copy(f.window, f.window[n/2:])]
		}
		f.window = append(f.window, r)
	}
	if r.moment.Sub(f.window[0].moment) >= f.least && len(f.window) > 1 {
		f.arrive(r)
	}
}

// holds says that the new sighting and all behind the one at from lie within the radius of it.
func (f *stopFinder) holds(from int, r *rest) bool {
	c := &f.window[from]
	if !near(c.eastM, c.northM, r, f.radiusM) {
		return false
	}
	if from == 0 {
		return true // the others were held against it when they came
	}
	for i := from + 1; i < len(f.window); i++ {
		if !near(c.eastM, c.northM, &f.window[i], f.radiusM) {
			return false
		}
	}
	return true
}

func near(eastM, northM float64, r *rest, radiusM float64) bool {
	e, n := r.eastM-eastM, r.northM-northM
	return e*e+n*n <= radiusM*radiusM
}

// arrive begins a stop with what is in the window.
func (f *stopFinder) arrive(r rest) {
	f.standing, f.count = true, 0
	f.centreE, f.centreN = 0, 0
	f.begin, f.inside = f.window[0], r
	for i := range f.window {
		f.mean(&f.window[i])
	}
	f.window, f.outside = f.window[:0], f.outside[:0]
}

func (f *stopFinder) mean(r *rest) {
	f.count++
	f.centreE += (r.eastM - f.centreE) / float64(f.count)
	f.centreN += (r.northM - f.centreN) / float64(f.count)
}

// stand takes a sighting while the device stands.
func (f *stopFinder) stand(r rest) *foundStop {
	if near(f.centreE, f.centreN, &r, f.radiusM*leaveFactor) {
		f.mean(&r)
		f.inside = r
		f.outside = f.outside[:0]
		return nil
	}
	if f.outside = append(f.outside, r); len(f.outside) < leaveCount {
		return nil
	}
	left := f.leave()
	rest := f.outside
	f.land = planeAt(rest[0].point)
	for i := range rest {
		rest[i].eastM, rest[i].northM = f.land.at(rest[i].point)
		f.approach(rest[i])
	}
	f.outside = f.outside[:0]
	return left
}

// leave ends the stop with the last sighting inside it.
func (f *stopFinder) leave() *foundStop {
	f.standing = false
	a, b := &f.begin, &f.inside
	latM, lonM := f.land.latM, f.land.lonM
	return &foundStop{
		result: Stop{
			From: *a.stand(), To: *b.stand(), SpanS: b.moment.Sub(a.moment).Seconds(), SilentS: b.silentS - a.silentS, Count: b.number - a.number + 1,
			LatDeg: f.land.origin.LatDeg + f.centreN/latM, LonDeg: geo.NormalLon(f.land.origin.LonDeg + f.centreE/lonM),
		},
		wanderM: b.wayM - a.wayM, heardS: b.wayS - a.wayS, silentM: b.gapM - a.gapM,
	}
}

// end returns the stop in which the track ends; nil for none.
func (f *stopFinder) end() *foundStop {
	if !f.standing {
		return nil
	}
	return f.leave()
}
