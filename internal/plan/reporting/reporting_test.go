package reporting

import (
	"math"
	"math/rand/v2"
	"testing"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/plan/tariff"

	"pgregory.net/rapid"
)

var yard = geo.Point{LatDeg: 52.6184, LonDeg: 9.2735}

// at is a place so many metres from the yard.
func at(e, n float64) geo.Point {
	p, _ := geo.FromENU(yard, 0, e, n, 0)
	return p
}

func explore(t testing.TB, delayS float64, points []Point, policies ...Policy) []Outcome {
	t.Helper()
	x, err := NewExplorer(policies, delayS)
	if err != nil {
		t.Fatal(err)
	}
	for i := range points {
		x.Add(&points[i])
	}
	return x.Outcomes()
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.4f, want %.4f within %.4f", what, got, want, within)
	}
}

// straight drives north at a steady speed, a point each second.
func straight(mps float64, seconds int) (out []Point) {
	for s := range seconds + 1 {
		out = append(out, Point{AtS: float64(s), Place: at(0, mps*float64(s)), SpeedMPS: maybe.Known(mps), CourseDeg: maybe.Known(0.0)})
	}
	return out
}

// TestStraight: at a steady speed v a report every T seconds leaves an error that grows from 0 to
// vT: vT/2 on the mean, vT at worst; every D metres D/2 and D. With a delay d the error runs from
// vd to v(T+d).
func TestStraight(t *testing.T) {
	const v, span = 20.0, 6000
	points := straight(v, span)
	o := explore(t, 0, points, Policy{EveryS: 60}, Policy{EveryM: 490}, Policy{EveryS: 60, EveryM: 490}, Policy{TurnDeg: 45})
	near(t, "messages by time", float64(o[0].Messages), 1+span/60, 0)
	near(t, "mean by time", o[0].MeanM, v*60/2, 1)
	near(t, "worst by time", o[0].WorstM, v*60, 1)
	near(t, "95 of 100 by time", o[0].P95M, 0.95*v*60, 0.13*v*60)
	near(t, "mean age", o[0].MeanAgeS, 30, 0.1)
	near(t, "worst age", o[0].WorstAgeS, 60, 0.1)
	near(t, "per day", o[0].PerDay(), 101*86400.0/span, 1e-6)
	near(t, "messages by way", float64(o[1].Messages), 1+v*span/500, 1) // sighted each 20 m, so 490 m are reported at 500
	near(t, "mean by way", o[1].MeanM, 250, 1)
	near(t, "worst by way", o[1].WorstM, 500, 1)
	near(t, "both", o[2].WorstM, 500, 1)
	if o[3].Messages != 1 || o[3].WorstM < v*span*0.999 {
		t.Errorf("a straight road has no turn: %+v", o[3])
	}
	m, _ := o[0].MovingMeanM.Get()
	near(t, "while moving", m, o[0].MeanM, 1e-9)
	for _, d := range []float64{7, 7.5, 45} {
		late := explore(t, d, points, Policy{EveryS: 60})[0]
		near(t, "mean with delay", late.MeanM, v*(30+d), v*1.5)
		near(t, "worst with delay", late.WorstM, v*(60+d), v*1.1)
		near(t, "age with delay", late.MeanAgeS, 30+d, 1)
	}
	// A delay far longer than the reports are apart still counts every one of them.
	if late := explore(t, 600, points, Policy{EveryS: 30})[0]; late.Overrun == 0 || late.Messages != 201 {
		t.Errorf("%+v", late)
	}
}

// TestCircle: on a round course the error is the chord: 2R sin(vT/2R) at worst; and with a report at
// every quarter turn there are four for a lap.
func TestCircle(t *testing.T) {
	const radius, v, laps = 400.0, 10.0, 5
	lap := 2 * math.Pi * radius / v
	var points []Point
	for s := 0.0; s <= laps*lap; s++ {
		a := v * s / radius
		points = append(points, Point{AtS: s, Place: at(radius*math.Cos(a), radius*math.Sin(a)), SpeedMPS: maybe.Known(v), CourseDeg: maybe.Known(math.Mod(720-a*180/math.Pi+360*laps, 360))})
	}
	o := explore(t, 0, points, Policy{EveryS: 60}, Policy{TurnDeg: 90}, Policy{EveryS: lap / 2})
	near(t, "chord", o[0].WorstM, 2*radius*math.Sin(v*60/(2*radius)), 2)
	near(t, "reports by turn", float64(o[1].Messages), 1+4*laps, 1)
	near(t, "chord of a quarter", o[1].WorstM, radius*math.Sqrt2, 12)
	near(t, "across", o[2].WorstM, 2*radius, 2)
	// The mean distance from a point of a circle to the half that follows: the integral of 2R sin(x/2) from 0 to pi, over pi: 4R/pi.
	near(t, "mean across", o[2].MeanM, 4*radius/math.Pi, 3)
	// Without a course from the receiver the heading comes from the way itself.
	for i := range points {
		points[i].CourseDeg = maybe.Value[float64]{}
	}
	near(t, "reports by turn, from the way", float64(explore(t, 0, points, Policy{TurnDeg: 90})[0].Messages), 1+4*laps, 2)
}

// tour drives a block of streets with a stop in the middle: 4 km, six turns, ten minutes of standing.
func tour() (points []Point) {
	const v = 10.0
	r := rand.New(rand.NewPCG(3, 5))
	e, n, s := 0.0, 0.0, 0.0
	add := func(speed, course float64) {
		points = append(points, Point{AtS: s, Place: at(e+r.NormFloat64(), n+r.NormFloat64()), SpeedMPS: maybe.Known(speed), CourseDeg: maybe.Known(course)})
		s++
	}
	leg := func(course, metres float64) {
		sin, cos := math.Sincos(course * math.Pi / 180)
		for range int(metres / v) {
			e, n = e+v*sin, n+v*cos
			add(v, course)
		}
	}
	leg(0, 800)
	leg(90, 500)
	leg(0, 700)
	for range 600 {
		add(0, 0)
	}
	leg(270, 500)
	leg(180, 700)
	leg(90, 300)
	leg(180, 500)
	return points
}

// TestTour: one report for each turn, for the stop and for the start.
func TestTour(t *testing.T) {
	points := tour()
	for i := range points {
		points[i].Crossed = i == 50 || i == 900
	}
	o := explore(t, 0, points, Policy{TurnDeg: 60}, Policy{Stop: true}, Policy{Fence: true}, Policy{Stop: true, Fence: true, TurnDeg: 60}, Policy{EveryM: 300}, Policy{EveryS: 60}, Policy{EveryS: 60, EveryM: 300})
	if o[0].Messages != 1+6 || o[1].Messages != 1+2 || o[2].Messages != 1+2 {
		t.Errorf("%d by turns, %d by stops, %d by fences", o[0].Messages, o[1].Messages, o[2].Messages)
	}
	if o[3].Messages <= o[0].Messages || o[3].MeanM >= o[0].MeanM {
		t.Errorf("%+v", o[3])
	}
	// Standing costs messages by time, none by way.
	if standing := o[0].SpanS - o[0].MovingS; standing < 400 || standing > 620 {
		t.Errorf("it stood for %.0f s", standing)
	}
	if o[4].WorstM > 315 || o[6].WorstM > 315 || o[4].Messages > 18 || o[5].Messages < 16 {
		t.Errorf("%+v %+v", o[4], o[5])
	}
}

// TestLeast: what happens too soon is told later, not lost.
func TestLeast(t *testing.T) {
	points := straight(10, 300)
	points[5].Crossed = true
	o := explore(t, 0, points, Policy{Fence: true, LeastS: 30}, Policy{EveryM: 10, LeastS: 60}, Policy{Fence: true})
	if o[0].Messages != 2 || o[1].Messages != 1+5 || o[2].Messages != 2 {
		t.Errorf("%d %d %d", o[0].Messages, o[1].Messages, o[2].Messages)
	}
	near(t, "told 30 s after the first", o[0].WorstM, 300*10-300, 11)
}

// TestGaps: what is not known counts for nobody, and standing still has no error.
func TestGaps(t *testing.T) {
	points := straight(10, 600)
	for i := 300; i < len(points); i++ {
		points[i].AtS += 5000
	}
	points[300].Gap = true
	o := explore(t, 0, points, Policy{EveryS: 60})[0]
	near(t, "span", o.SpanS, 599, 1e-6)
	near(t, "mean", o.MeanM, 300, 5)
	near(t, "worst", o.WorstM, 600, 11)
	still := make([]Point, 1000)
	for i := range still {
		still[i] = Point{AtS: float64(i), Place: yard}
	}
	o = explore(t, 0, still, Policy{EveryM: 100})[0]
	if o.Messages != 1 || o.MeanM != 0 || o.WorstM != 0 || o.MovingS > standAfterS+1 {
		t.Errorf("%+v", o)
	}
	if one := explore(t, 0, still[:1], Policy{EveryM: 100})[0]; one.Messages != 1 || one.MeanM != 0 || one.PerDay() != 0 || one.MovingMeanM.IsKnown() {
		t.Errorf("%+v", one)
	}
}

// TestAgainstTheDefinition: for reports by time, worked out again the plain way: the error at each
// point against the last report that has arrived, summed by trapezoids.
func TestAgainstTheDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		every := rapid.Float64Range(5, 200).Draw(t, "every")
		seed := rapid.Uint64().Draw(t, "seed")
		r := rand.New(rand.NewPCG(seed, 2))
		lonBase := rapid.SampledFrom([]float64{9, 179.999, -179.999}).Draw(t, "lon")
		var points []Point
		s, p := 0.0, geo.Point{LatDeg: 120*r.Float64() - 60, LonDeg: lonBase}
		for range 300 {
			points = append(points, Point{AtS: s, Place: p})
			s += 1 + math.Floor(9*r.Float64())
			p = geo.Point{LatDeg: p.LatDeg + 1e-3*r.NormFloat64(), LonDeg: geo.NormalLon(p.LonDeg + 1e-3*r.NormFloat64())}
		}
		x, _ := NewExplorer([]Policy{{EveryS: every}}, 0)
		for i := range points {
			x.Add(&points[i])
		}
		got := x.Outcomes()[0]
		last, lastS, count, sum, worst := points[0].Place, 0.0, 1, 0.0, 0.0
		for i := 1; i < len(points); i++ {
			before, after := geo.DistanceM(last, points[i-1].Place), geo.DistanceM(last, points[i].Place)
			sum += (before + after) / 2 * (points[i].AtS - points[i-1].AtS)
			worst = max(worst, after)
			if points[i].AtS-lastS >= every {
				last, lastS = points[i].Place, points[i].AtS
				count++
			}
		}
		mean := sum / points[len(points)-1].AtS
		if got.Messages != count || math.Abs(got.MeanM-mean) > 0.002*mean || math.Abs(got.WorstM-worst) > 0.003*worst {
			t.Fatalf("%d messages, mean %.3f, worst %.3f; want %d, %.3f, %.3f", got.Messages, got.MeanM, got.WorstM, count, mean, worst)
		}
		if got.MeanM > got.WorstM || got.P95M > got.WorstM {
			t.Fatalf("%+v", got)
		}
	})
}

// TestFar: across a continent distances are on the ellipsoid.
func TestFar(t *testing.T) {
	a, b := geo.Point{LatDeg: 52, LonDeg: 9}, geo.Point{LatDeg: 40, LonDeg: -4}
	o := explore(t, 0, []Point{{AtS: 0, Place: a}, {AtS: 3600, Place: b}}, Policy{EveryM: 1e6})[0]
	near(t, "worst", o.WorstM, geo.DistanceM(a, b), 1e-6)
}

// TestPareto compares with the definition, on random outcomes.
func TestPareto(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Outcome
		for range rapid.IntRange(1, 40).Draw(t, "count") {
			all = append(all, Outcome{Policy: Policy{EveryS: 60, Stop: rapid.Bool().Draw(t, "stop")}, Messages: rapid.IntRange(1, 6).Draw(t, "messages"), MeanM: float64(rapid.IntRange(1, 6).Draw(t, "mean")), WorstM: float64(rapid.IntRange(1, 6).Draw(t, "worst"))})
		}
		chosen := Pareto(all)
		is := map[int]bool{}
		for n, i := range chosen {
			is[i] = true
			if n > 0 && all[chosen[n-1]].Messages > all[i].Messages {
				t.Fatalf("not in order: %v", chosen)
			}
		}
		for i := range all {
			beaten, twin := false, false
			for k := range all {
				beaten = beaten || better(&all[k], &all[i])
				twin = twin || k != i && is[k] && equal(&all[k], &all[i])
			}
			if is[i] && beaten || !beaten && !is[i] && !twin {
				t.Fatalf("%+v: chosen %v, beaten %v, has a twin %v", all[i], is[i], beaten, twin)
			}
		}
		front := Front(all, chosen, func(o *Outcome) float64 { return o.MeanM })
		for n := 1; n < len(front); n++ {
			if all[front[n]].MeanM >= all[front[n-1]].MeanM || all[front[n]].Messages <= all[front[n-1]].Messages {
				t.Fatalf("front %v", front)
			}
		}
	})
}

func TestCheapest(t *testing.T) {
	all := []Outcome{{Messages: 10, MeanM: 100, WorstM: 900, SpanS: 86400}, {Messages: 20, MeanM: 50, WorstM: 400, SpanS: 86400}, {Messages: 40, MeanM: 45, WorstM: 200, SpanS: 86400}}
	for _, test := range []struct {
		wish Wish
		want int
		ok   bool
	}{{Wish{WorstM: 500}, 1, true}, {Wish{MeanM: 100}, 0, true}, {Wish{MeanM: 46}, 2, true}, {Wish{WorstM: 100}, 0, false}, {Wish{PerDay: 25}, 1, true}, {Wish{PerDay: 5}, 0, false}, {Wish{WorstM: 500, PerDay: 15}, 0, false}} {
		if got, ok := Cheapest(all, test.wish); ok != test.ok || ok && got != test.want {
			t.Errorf("%+v: %d %v", test.wish, got, ok)
		}
	}
}

// TestBill: a report every hour for a day is 25 in 24 h with the first, 775 in a month of 31 days; at
// 0.09 for a part and two parts each that is 139.50.
func TestBill(t *testing.T) {
	o := Outcome{Messages: 25, SpanS: 86400}
	if o.PerMonth() != 775 {
		t.Fatalf("%d a month", o.PerMonth())
	}
	price, _ := tariff.ParseMoney("0.09")
	flat := tariff.Flat(price, "EUR")
	bill, err := o.Bill(&flat, 2)
	if err != nil || bill.Total.String() != "139.50" {
		t.Errorf("%s %v", bill.Total, err)
	}
	busy := Outcome{Messages: 86400, SpanS: 86400}
	if _, err := busy.Bill(&flat, 1); err == nil {
		t.Error("2.7 million texts a month have a price")
	}
}

// TestBins: every error lies in its bin, which is at most an eighth wide.
func TestBins(t *testing.T) {
	for v := 0.01; v < 3e7; v *= 1.003 {
		bin := binOf(v)
		low := 0.0
		if bin > 0 {
			low = binEnd(bin - 1)
		}
		if v < low || v >= binEnd(bin) || bin > 0 && binEnd(bin) > 1.126*low {
			t.Fatalf("%v m is in bin %d, %v to %v", v, bin, low, binEnd(bin))
		}
	}
	if binOf(math.Inf(1)) != errorBins-1 || binOf(0) != 0 {
		t.Error("ends")
	}
}

func TestLimits(t *testing.T) {
	if _, err := NewExplorer(nil, 0); err == nil {
		t.Error("no policy")
	}
	if _, err := NewExplorer(make([]Policy, maxPolicies+1), 0); err == nil {
		t.Error("too many policies")
	}
	for _, d := range []float64{-1, math.NaN(), 1e9} {
		if _, err := NewExplorer(Grid(false), d); err == nil {
			t.Errorf("a delay of %v", d)
		}
	}
}

// Enough: 50 ns for a policy at a point, without allocation: a day of seconds with the whole grid in a second.
func BenchmarkExplore(b *testing.B) {
	points := tour()
	grid := Grid(true)
	x, err := NewExplorer(grid, 4)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	at, i := 0.0, 0
	for b.Loop() {
		p := points[i%len(points)]
		p.AtS = at
		x.Add(&p)
		at++
		i++
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(grid)), "ns/policy")
}
