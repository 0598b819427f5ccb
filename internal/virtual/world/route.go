package world

import (
	"sort"

	"firstfix/internal/earth/geo"
	"firstfix/internal/when"
)

// RoutePoint is where the module is at a time. Between two points it goes
// straight and at a steady speed; two points at one place are a stay.
type RoutePoint struct {
	AtS       float64 `yaml:"at_s"`
	LatDeg    float64 `yaml:"lat_deg"`
	LonDeg    float64 `yaml:"lon_deg"`
	AltitudeM float64 `yaml:"altitude_m"`
}

func (p RoutePoint) point() geo.Point { return geo.Point{LatDeg: p.LatDeg, LonDeg: p.LonDeg} }

// Whereabouts is where the module is and how it moves.
type Whereabouts struct {
	Place
	SpeedKMH  float64
	CourseDeg float64 // from north; means something only while it moves
}

// leg is one part of a route.
type leg struct {
	from, to   when.Instant
	start      geo.Point
	azimuthDeg float64
	lengthM    float64
	altitudeM  float64
	climbM     float64
}

// legsOf prepares a route: the length and direction of each part.
func legsOf(points []RoutePoint) []leg {
	legs := make([]leg, 0, max(len(points)-1, 0))
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		l := leg{from: instant(a.AtS), to: instant(b.AtS), start: a.point(), altitudeM: a.AltitudeM, climbM: b.AltitudeM - a.AltitudeM}
		l.lengthM, l.azimuthDeg, _ = geo.Inverse(a.point(), b.point())
		legs = append(legs, l)
	}
	return legs
}

// legAt is the index of the part of the route that holds at now.
func (l *Life) legAt(now when.Instant) int {
	return sort.Search(len(l.legs), func(i int) bool { return l.legs[i].to > now })
}

// Where is the module's whereabouts at now.
func (l *Life) Where(now when.Instant) Whereabouts {
	place, route := l.world.Place, l.world.Route
	if len(route) == 0 {
		return Whereabouts{Place: place}
	}
	at := func(p geo.Point, altitudeM float64) Whereabouts {
		place.LatDeg, place.LonDeg, place.AltitudeM = p.LatDeg, p.LonDeg, altitudeM
		return Whereabouts{Place: place}
	}
	i := l.legAt(now)
	switch first, last := route[0], route[len(route)-1]; {
	case now <= instant(first.AtS):
		return at(first.point(), first.AltitudeM)
	case i == len(l.legs):
		return at(last.point(), last.AltitudeM)
	}
	leg := &l.legs[i]
	share := float64(now-leg.from) / float64(leg.to-leg.from)
	altitudeM := leg.altitudeM + share*leg.climbM
	if leg.lengthM == 0 {
		return at(leg.start, altitudeM)
	}
	p, azimuth := geo.Direct(leg.start, leg.azimuthDeg, share*leg.lengthM)
	w := at(p, altitudeM)
	if azimuth < 0 {
		azimuth += 360
	}
	w.SpeedKMH, w.CourseDeg = leg.lengthM/(leg.to-leg.from).Seconds()*3.6, azimuth
	return w
}

// restsUntil says whether the module stands still at now, and until when.
func (l *Life) restsUntil(now when.Instant) (rests bool, until when.Instant) {
	if len(l.legs) == 0 {
		return true, when.Never
	}
	if now < l.legs[0].from {
		return true, l.legs[0].from
	}
	i := l.legAt(now)
	switch {
	case i == len(l.legs):
		return true, when.Never
	case l.legs[i].lengthM == 0:
		return true, l.legs[i].to
	}
	return false, 0
}
