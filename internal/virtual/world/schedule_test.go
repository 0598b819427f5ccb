package world

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/when"

	"pgregory.net/rapid"
)

func seconds(s float64) when.Instant { return instant(s) }

// TestEvents: a fault waits for what the module does, once or each time.
func TestEvents(t *testing.T) {
	w := &World{Conditions: Default(), Faults: []Scheduled{
		{Fault: "no-card", Event: "registered", AtS: 10, UntilS: 20},
		{Fault: "no-sky", Event: "text-sent", Again: true, UntilS: 5},
	}}
	l := w.Begin(1)
	now := func(s float64) (card bool, view string) {
		c := l.At(seconds(s))
		return c.Card.Present, c.Sky.View
	}
	if card, _ := now(100); !card {
		t.Error("before its event the fault is on")
	}
	if got := l.NextChange(seconds(100)); got != when.Never {
		t.Errorf("before the event the next change is said to be at %v", got)
	}
	if !l.Happened("registered", seconds(200)) {
		t.Error("nothing is said to change with the event")
	}
	if l.Happened("call", seconds(201)) {
		t.Error("something is said to change with an event that nobody waits for")
	}
	for _, c := range []struct {
		at   float64
		card bool
	}{{205, true}, {210, false}, {219, false}, {220, true}, {500, true}} {
		if card, _ := now(c.at); card != c.card {
			t.Errorf("at %g s, 200 s being the event: card %v", c.at, card)
		}
	}
	l.Happened("registered", seconds(600)) // the second time does not count
	if card, _ := now(612); !card {
		t.Error("the second event began the clock anew")
	}
	for _, sent := range []float64{700, 800} {
		l.Happened("text-sent", seconds(sent))
		if _, view := now(sent + 4); view != "indoor" {
			t.Errorf("4 s after a text at %g s the sky is %s", sent, view)
		}
		if _, view := now(sent + 5); view != "open" {
			t.Errorf("5 s after a text at %g s the sky is %s", sent, view)
		}
	}
}

// route goes from the yard 12 km to the north-east and stays there.
var route = []RoutePoint{
	{AtS: 10, LatDeg: 52.6, LonDeg: 9.2, AltitudeM: 40},
	{AtS: 20, LatDeg: 52.6, LonDeg: 9.2, AltitudeM: 40},
	{AtS: 620, LatDeg: 52.7, LonDeg: 9.3, AltitudeM: 70},
	{AtS: 700, LatDeg: 52.7, LonDeg: 9.3, AltitudeM: 70},
}

// TestRoute: it stands, goes steadily along the shortest way, and stands.
func TestRoute(t *testing.T) {
	w := &World{Conditions: Default(), Route: route}
	l := w.Begin(1)
	for _, s := range []float64{0, 10, 15, 19.9} {
		if p := l.Where(seconds(s)); p.LatDeg != 52.6 || p.SpeedKMH != 0 || p.GeoidM != Default().Place.GeoidM {
			t.Errorf("at %g s it is at %+v", s, p)
		}
	}
	// Halfway in time is halfway on the geodesic; the whole is 13.0 km (checked
	// against the inverse of an independent library by earth/geo's own tests).
	length, _, _ := geo.Inverse(route[1].point(), route[2].point())
	half := l.Where(seconds(320))
	done := geo.DistanceM(route[1].point(), geo.Point{LatDeg: half.LatDeg, LonDeg: half.LonDeg})
	if math.Abs(done-length/2) > 0.01 || math.Abs(half.AltitudeM-55) > 1e-9 || math.Abs(half.SpeedKMH-length/600*3.6) > 1e-9 {
		t.Errorf("halfway it is at %+v, %.3f of %.3f m", half, done, length)
	}
	if half.CourseDeg < 30 || half.CourseDeg > 33 { // 0.1 degree north, 0.1 east at 52.65: atan(cos 52.65) = 31.2
		t.Errorf("it goes to %.1f degrees", half.CourseDeg)
	}
	for _, s := range []float64{620, 650, 700, 1e6} {
		if p := l.Where(seconds(s)); p.LatDeg != 52.7 || p.SpeedKMH != 0 {
			t.Errorf("at %g s it is at %+v", s, p)
		}
	}
	if got := l.NextChange(0); got != when.Never {
		t.Errorf("a route alone changes the conditions at %v", got)
	}
}

// TestNearAPlace: a fault is on only near the gravel pit, halfway.
func TestNearAPlace(t *testing.T) {
	pit := (&World{Conditions: Default(), Route: route}).Begin(1).Where(seconds(320))
	w := &World{Conditions: Default(), Route: route, Faults: []Scheduled{{Fault: "never-registers", NearLatDeg: pit.LatDeg, NearLonDeg: pit.LonDeg, WithinM: 1000}}}
	l := w.Begin(1)
	var on []when.Instant
	for at := when.Instant(0); at < seconds(900); {
		if l.At(at).Coverage.Registration == "none" {
			on = append(on, at)
		}
		next := l.NextChange(at)
		if next <= at {
			t.Fatalf("at %v the next change is at %v", at, next)
		}
		at = next
	}
	// 1000 m either side at 21.7 m/s is 92 s in all.
	if len(on) == 0 || on[0] < seconds(270) || on[0] > seconds(280) || on[len(on)-1] < seconds(360) || on[len(on)-1] > seconds(370) {
		t.Errorf("on from %v", on)
	}
}

// TestCells: the strongest cell counts, by 35 dB for ten times the distance.
func TestCells(t *testing.T) {
	start, end := route[0].point(), route[2].point()
	w := &World{Conditions: Default(), Route: route, Cells: []Cell{
		{LatDeg: start.LatDeg, LonDeg: start.LonDeg, AtOneKMdBm: -75, ReachM: 5000, AreaCode: "0001", CellID: "0000000A"},
		{LatDeg: end.LatDeg, LonDeg: end.LonDeg, AtOneKMdBm: -80, ReachM: 4000, AreaCode: "0002", CellID: "0000000B", Registration: "roaming"},
	}}
	l := w.Begin(1)
	for _, c := range []struct {
		at           float64
		cell         string
		registration string
		dBm          float64
	}{
		{0, "0000000A", "home", math.Round(-75 + 35*math.Log10(20))}, // 50 m, the least
		{320, "0000A1F2", "none", silentDBm},                         // 6.5 km from both: no cell reaches
		{700, "0000000B", "roaming", math.Round(-80 + 35*math.Log10(20))},
	} {
		got := l.At(seconds(c.at)).Coverage
		if got.CellID != c.cell || got.Registration != c.registration || got.RSSIdBm != c.dBm {
			t.Errorf("at %g s: %s, %s, %g dBm; want %s, %s, %g", c.at, got.CellID, got.Registration, got.RSSIdBm, c.cell, c.registration, c.dBm)
		}
	}
	// 2 km from the first mast: 35 x log 2 = 10.5 dB less than at 1 km.
	for at := seconds(20); at < seconds(620); at += when.Second {
		p := l.Where(at)
		if d := geo.DistanceM(start, geo.Point{LatDeg: p.LatDeg, LonDeg: p.LonDeg}); math.Abs(d-2000) < 12 {
			if got := l.At(at).Coverage.RSSIdBm; math.Abs(got-(-85.5)) > 1 {
				t.Errorf("at 2 km the level is %g dBm", got)
			}
		}
	}
}

// TestMovingFault: it grows in steps, and each step is announced.
func TestMovingFault(t *testing.T) {
	w := &World{Conditions: Default(), Faults: []Scheduled{{Fault: "supply-drift", AtS: 100}}}
	l := w.Begin(1)
	if v := l.At(seconds(100)).Supply.VoltageV; v != 3.9 {
		t.Errorf("it begins at %g V", v)
	}
	if next := l.NextChange(seconds(130)); next != seconds(160) {
		t.Errorf("the first step is announced for %v", next)
	}
	if v := l.At(seconds(100 + 3600)).Supply.VoltageV; math.Abs(v-3.4) > 1e-9 { // half a volt an hour
		t.Errorf("after an hour it is %g V", v)
	}
}

// TestArrivals: what comes is the same whether it is asked for in one go or bit
// by bit, and the times that are announced are when something comes.
func TestArrivals(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		every := float64(rapid.IntRange(0, 40).Draw(rt, "every_s"))
		times := Times{AtS: float64(rapid.IntRange(0, 30).Draw(rt, "at_s")), EveryS: every, Count: rapid.IntRange(0, 4).Draw(rt, "count")}
		if every > 0 {
			times.JitterS = rapid.Float64Range(0, every).Draw(rt, "jitter_s")
		}
		w := &World{Conditions: Default(), Incoming: Incoming{Texts: []IncomingText{{Times: times, From: "A", Text: "x"}}},
			Faults: []Scheduled{{Fault: "flood", AtS: 3, EveryS: 50, ForS: 1, JitterS: 20}, {Fault: "calls-repeat", AtS: float64(rapid.IntRange(0, 99).Draw(rt, "call"))}}}
		whole, _ := w.Begin(7).Arrivals(-1, seconds(200), nil)
		l := w.Begin(7)
		var parts []Arrival
		last := when.Instant(-1)
		for at := when.Instant(0); at <= seconds(200); {
			var next when.Instant
			parts, next = l.Arrivals(last, at, parts)
			if next <= at {
				rt.Fatalf("asked at %v it wants to be asked again at %v", at, next)
			}
			last, at = at, next
		}
		sortArrivals(parts) // a flood's later texts are listed with its first
		if !slices.Equal(whole, parts) {
			rt.Fatalf("in one go %d, bit by bit %d:\n%v\n%v", len(whole), len(parts), whole, parts)
		}
		if len(whole) < 4*25 {
			rt.Fatalf("only %d arrivals", len(whole))
		}
	})
}

// TestHorizonProfile: straight between the values that are given, all round.
func TestHorizonProfile(t *testing.T) {
	s := Sky{HorizonDeg: []float64{0, 20, 40, 20}} // north, east, south, west
	for _, c := range []struct{ azimuth, want float64 }{{0, 0}, {45, 10}, {90, 20}, {180, 40}, {225, 30}, {270, 20}, {315, 10}, {359.9999, 0}} {
		if got := s.horizonAt(c.azimuth); math.Abs(got-c.want) > 0.01 {
			t.Errorf("towards %g degrees it stands at %g, want %g", c.azimuth, got, c.want)
		}
	}
	w := &World{Conditions: Default(), Start: mustTime(t)}
	free := len(strongSatellites(w))
	w.Sky.HorizonDeg = []float64{45}
	if valley := len(strongSatellites(w)); valley >= free || valley == 0 {
		t.Errorf("in a valley %d satellites are strong, outside %d", valley, free)
	}
}

func strongSatellites(w *World) (strong []int) {
	for _, s := range w.Begin(1).Sky(0, nil) {
		if s.CN0dBHz > 30 {
			strong = append(strong, s.Number)
		}
	}
	return strong
}

// TestGoing names what is on.
func TestGoing(t *testing.T) {
	w := &World{Conditions: Default(), Faults: []Scheduled{{Fault: "no-card", AtS: 5}, {Fault: "no-sky", UntilS: 6}}}
	l := w.Begin(1)
	for at, want := range map[float64]string{1: "no-sky", 5.5: "no-card no-sky", 7: "no-card"} {
		if got := strings.Join(l.Going(seconds(at)), " "); got != want {
			t.Errorf("at %g s: %q, want %q", at, got, want)
		}
	}
}

// TestFaultsGoTogether: any two at once leave conditions that still validate,
// apart from a supply that cannot carry the module, and both have their effect.
func TestFaultsGoTogether(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		pick := rapid.SampledFrom(Faults)
		w := &World{Name: "x", Title: "x", Truth: "none", Start: time.Unix(1772619300, 0), Conditions: Default()}
		for range 4 {
			w.Faults = append(w.Faults, Scheduled{Fault: pick.Draw(rt, "fault").Name})
		}
		if p := w.Validate(); len(p) > 0 {
			rt.Fatal(p)
		}
		lived := *w
		lived.Conditions = *w.Begin(3).At(seconds(3600))
		for _, p := range lived.Validate() {
			if p.Key != "supply.voltage_v" {
				rt.Error(p)
			}
		}
	})
}
