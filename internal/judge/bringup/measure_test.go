package bringup

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"firstfix/internal/judge/rules"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// A quantile of the sketch is a measured value, exactly while there are few and within
// the class width of 2 per cent when there are many (nearest-rank definition, as in
// common handbooks of statistics).
func TestSketchQuantiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 400).Draw(t, "n")
		var s sketch
		values := make([]float64, n)
		for i := range values {
			values[i] = math.Exp(rapid.Float64Range(-2, 12).Draw(t, "log ms"))
			s.add(values[i])
		}
		sort.Float64s(values)
		if s.min != values[0] || s.max != values[n-1] || s.n != n {
			t.Fatalf("min %v max %v n %d: want %v %v %d", s.min, s.max, s.n, values[0], values[n-1], n)
		}
		for _, q := range []float64{0, 0.25, 0.5, 0.95, 1} {
			want := values[max(int(math.Ceil(q*float64(n))), 1)-1]
			got := s.quantile(q)
			allowed := 0.0
			if n > keepExact {
				allowed = want*(classRatio-1) + classFloorMS
			}
			if math.Abs(got-want) > allowed {
				t.Fatalf("quantile %v of %d values is %v: want %v within %v", q, n, got, want, allowed)
			}
		}
		if len(s.classes) > classMax+1 || len(s.exact) > keepExact {
			t.Fatalf("the sketch grew to %d classes and %d values", len(s.classes), len(s.exact))
		}
	})
}

// The timing table on a dialogue whose figures can be counted along by hand.
func TestTimings(t *testing.T) {
	var records []capture.Record
	at := func(ms int, from capture.Direction, text string) {
		records = append(records, capture.Record{Number: len(records) + 1, At: when.Instant(ms) * when.Millisecond, From: from, Bytes: text})
	}
	for i := range 40 { // 20, 21 … 59 ms
		at(i*1000, capture.Controller, "AT+CSQ\r")
		at(i*1000+20+i, capture.Module, "\r\n+CSQ: 20,0\r\n\r\nOK\r\n")
	}
	at(50_000, capture.Controller, "AT+CMGS=\"+447700900123\"\r")
	at(50_050, capture.Module, "\r\n> ")
	at(50_200, capture.Controller, "trailer 07\x1a")
	at(53_200, capture.Module, "\r\n+CMGS: 1\r\n\r\nOK\r\n")
	at(60_000, capture.Controller, "AT+COPS=?\r")
	at(65_000, capture.Controller, "AT+COPS=?\r")
	at(75_000, capture.Controller, "AT\r")
	at(76_000, capture.Controller, "AT\r")
	v, err := Review(&memory{records, capture.Info{TimesKnown: true}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, x := range v.Timings {
		fmt.Fprintf(&b, "%s %d/%d min %v median %v p95 %v max %v gave up %d: %v to %v, too short %v, wait %v: %s\n", x.Command, x.Count, x.Unanswered,
			x.MinMS, x.MedianMS, x.P95MS, x.MaxMS, x.GaveUp, x.GaveUpMinMS, x.GaveUpMaxMS, x.TooShort, x.RecommendedWait, x.Reason)
	}
	// +CSQ: median is the 20th of 40 values, 39 ms; the 95 % value the 38th, 57 ms. Three
	// times the slow end is under a second, so the floor of a second stands. +CMGS is timed
	// from the end of its text: 3 s, and the usual limit stays, for the network decides. The
	// search was given up after 5 and after 10 s, of 180; AT alone is repeated to wake a module.
	want := `+CMGS 1/0 min 3000 median 3000 p95 3000 max 3000 gave up 0: not known to not known, too short false, wait 60000: usual limit (3GPP TS 24.011 10.1: TR1M 35 to 45 s, and repeats; 60 s common practice); 1 answer measured, the slowest 3 s
+CSQ 40/0 min 20 median 39 p95 57 max 59 gave up 0: not known to not known, too short false, wait 1000: 3 x the slow end of 40 answers measured; usual limit 5 s (common practice, no source)
+COPS=? 2/2 min not known median not known p95 not known max not known gave up 2: 5000 to 10000, too short true, wait 180000: usual limit (common practice, no source: the network has the last word); nothing was measured
AT 2/2 min not known median not known p95 not known max not known gave up 0: not known to not known, too short false, wait 5000: usual limit (common practice, no source); nothing was measured
`
	if b.String() != want {
		t.Errorf("timings:\n%s\nwant\n%s", b.String(), want)
	}
}

// The expected information of a measurement, against sums done by hand. Two equal causes:
// a test that always tells them apart brings one bit, one that never does brings none.
func TestExpectedGain(t *testing.T) {
	two := []answer{share(0.5).is("yes", "yes"), share(0.5).is("no", "no")}
	perfect, useless, half := measure("perfect", 1, "a", "a", two...), measure("useless", 1, "b", "b", two...), measure("half", 1, "c", "c", two...)
	a := &Cause{Name: "a", Tests: []test{perfect.gives(1), useless.gives(0.5), half.gives(0.5)}}
	b := &Cause{Name: "b", Tests: []test{perfect.gives(0), useless.gives(0.5), half.gives(1)}}
	hypotheses := []hypothesis{{[]*Cause{a}, 0.5}, {[]*Cause{b}, 0.5}}
	for _, test := range []struct {
		m    *measurement
		want float64
	}{
		{perfect, 1}, {useless, 0},
		// Positive 3/4 of the time; then 1/3 to 2/3 (0.9183 bit), else certain: 1 - 0.75 x 0.9183 = 0.3113.
		{half, 0.3113},
	} {
		if got := expectedGain(hypotheses, test.m); math.Abs(got-test.want) > 0.0001 {
			t.Errorf("%s brings %.4f bit: want %.4f", test.m.Do, got, test.want)
		}
	}
	r := ranking{hypotheses: hypotheses, causes: []weighed{{cause: a, probability: 0.5}, {cause: b, probability: 0.5}}}
	f := &Facts{}
	if next := f.nextBest(&r, nil); next == nil || next.Do != "a" {
		t.Errorf("next is %+v: want a", next)
	}
	// The same test taking an hour loses against a fair one of a minute, and one that was made or skipped is not asked again.
	perfect.Minutes = 60
	if next := f.nextBest(&r, nil); next == nil || next.Do != "c" {
		t.Errorf("next is %+v: want c", next)
	}
	f.Saw = []Observation{{"half", "yes"}}
	if next := f.nextBest(&r, []string{"perfect"}); next == nil || next.Do != "b" {
		t.Errorf("next is %+v: want b", next)
	}
}

// Of three answers the last has what is left, and all of them tell two causes apart: log2(2) = 1 bit.
func TestManyAnswers(t *testing.T) {
	m := measure("m", 1, "do", "tells", share(0.2).is("x", "x"), share(0.3).is("y", "y"), share(0.5).is("z", "z"))
	a, b := &Cause{Name: "a", Tests: []test{m.gives(1, 0)}}, &Cause{Name: "b", Tests: []test{m.gives(0, 1)}}
	if got := expectedGain([]hypothesis{{[]*Cause{a}, 0.5}, {[]*Cause{b}, 0.5}}, m); math.Abs(got-1) > 1e-9 {
		t.Errorf("%v bit: want 1", got)
	}
	for i, want := range []float64{0.2, 0.3, 0.5} {
		if got := m.chance(nil, i); got != want {
			t.Errorf("answer %d comes with %v where nothing is known: want %v", i, got, want)
		}
	}
	if got := m.chance([]*Cause{a, b}, 0); got != 0.5 {
		t.Errorf("two causes share the say: %v, want 0.5", got)
	}
}

// weights are done by hand. Base 0.1. A shows it with 0.8, B with 0.5, C holds it back to 0.02.
// Noisy or of A and B: 1 - 0.9 x (0.2/0.9) x (0.5/0.9) = 1 - 0.1111 = 0.8889. A with C: 0.8 x 0.2 = 0.16.
func TestTogether(t *testing.T) {
	s := &symptom{says: "it is there", not: "it is not", base: 0.1}
	a, b, c := &Cause{Signs: []sign{{s, 0.8}}}, &Cause{Signs: []sign{{s, 0.5}}}, &Cause{Signs: []sign{{s, 0.02}}}
	for _, test := range []struct {
		causes []*Cause
		want   float64
	}{
		{nil, 0.1}, {[]*Cause{a}, 0.8}, {[]*Cause{b}, 0.5}, {[]*Cause{c}, 0.02}, {[]*Cause{a, b}, 0.8889}, {[]*Cause{a, c}, 0.16}, {[]*Cause{{}, b}, 0.5},
	} {
		it := item{symptom: s, yes: true}
		if got := it.factor(test.causes) * 0.1; math.Abs(got-test.want) > 0.0001 {
			t.Errorf("%d causes show it with %.4f: want %.4f", len(test.causes), got, test.want)
		}
		it.yes = false
		if got := it.factor(test.causes) * 0.9; math.Abs(got-(1-test.want)) > 0.0001 {
			t.Errorf("%d causes do not show it with %.4f: want %.4f", len(test.causes), got, 1-test.want)
		}
	}
}

// Two unrelated things seen: the sum over all hypotheses against a sum done by hand.
// A (prior 0.2) shows s, B (0.1) shows t, each with 0.9 against a base of 0.09, so ten times.
// Weights: A 0.2 x 10, B 0.1 x 10, both 0.2 x 0.1 x priorTwo x 100, else priorOther; the tens
// are damped: 10^0.9 = 7.943, 100^0.9 = 63.10. Sum: 1.5887 + 0.7943 + 0.4417 + 0.1 = 2.9247.
func TestWeigh(t *testing.T) {
	s, u := &symptom{says: "s", base: 0.09}, &symptom{says: "t", base: 0.09}
	a, b := &Cause{Name: "a", Prior: 0.2, Signs: []sign{{s, 0.9}}}, &Cause{Name: "b", Prior: 0.1, Signs: []sign{{u, 0.9}}}
	r := weigh([]item{{symptom: s, yes: true, says: "s"}, {symptom: u, yes: true, says: "t"}}, []*Cause{a, b})
	for i, want := range []struct {
		cause *Cause
		p     float64
	}{{a, (1.5887 + 0.4417) / 2.9247}, {b, (0.7943 + 0.4417) / 2.9247}, {nil, 0.1 / 2.9247}} {
		if got := r.causes[i]; got.cause != want.cause || math.Abs(got.probability-want.p) > 0.001 {
			t.Errorf("place %d: %v with %.4f: want %v with %.4f", i, got.cause, got.probability, want.cause, want.p)
		}
	}
	// What nothing makes likelier is something else, and says so.
	r = weigh([]item{{symptom: &symptom{says: "odd", base: 0.1}, yes: true, says: "odd"}}, []*Cause{a, b})
	if len(r.causes) != 1 || r.causes[0].cause != nil || r.causes[0].probability != 1 || r.causes[0].because[0] != "odd" {
		t.Errorf("%+v: want something else alone", r.causes)
	}
}

func TestWording(t *testing.T) {
	for _, test := range []struct {
		p    float64
		want string
	}{{0.97, "almost certainly"}, {0.9, "almost certainly"}, {0.7, "probably"}, {0.3, "perhaps"}, {0.1, "unlikely"}} {
		if got := Wording(test.p); got != test.want {
			t.Errorf("Wording(%v) = %q: want %q", test.p, got, test.want)
		}
	}
}

// Data coding by the groups of 23.038 clause 4: which leave plain letters plain.
func TestPlainCoding(t *testing.T) {
	for _, test := range []struct {
		dcs  int
		want bool
	}{
		{0x00, true}, {0x04, false}, {0x08, false}, {0x10, true}, {0x18, false}, {0x44, false},
		{0xf0, true}, {0xf4, false}, {0xf1, true}, {0xf5, false}, {0xc8, true}, {0xd8, true}, {0xe8, false},
	} {
		var f TextFacts
		f.Coding = maybe.Known(test.dcs)
		if plain, known := f.Plain(); !known || plain != test.want {
			t.Errorf("coding %#02x: plain %v, known %v: want %v", test.dcs, plain, known, test.want)
		}
	}
}

// BenchmarkReview runs all rules, facts and timings over a day's kind of dialogue:
// sentences at 1 Hz, a question every ten seconds, a text every ten minutes.
//
// Enough: 100 MB/s, for a day of a line at 115200 baud (1 GB) in 10 s on one core.
func BenchmarkReview(b *testing.B) {
	records, size := day(20_000)
	b.SetBytes(size)
	b.ReportAllocs()
	for b.Loop() {
		v, err := Review(&memory{records, capture.Info{TimesKnown: true, DirectionsKnown: true, Baud: 115200}}, Options{Rules: rules.All})
		if err != nil || v.Counts.ValidFixes == 0 {
			b.Fatal(err, v.Counts)
		}
	}
}

// BenchmarkFacts is the same without rules: what the chain, the causes and the timings cost.
func BenchmarkFacts(b *testing.B) {
	records, size := day(20_000)
	b.SetBytes(size)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Review(&memory{records, capture.Info{TimesKnown: true, DirectionsKnown: true, Baud: 115200}}, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// day makes seconds of a tracker's line.
func day(seconds int) (records []capture.Record, size int64) {
	p := &puppet{streamOn: 1}
	rest := []string{
		"$GPVTG,084.4,T,,M,000.0,N,000.0,K,A*05\r\n", "$GPGSA,A,3,04,05,13,23,,,,,,,,,1.8,0.9,1.5*34\r\n",
		"$GLGSV,2,1,05,65,25,040,31,66,70,120,38,75,15,210,29,76,45,280,35*6C\r\n", "$GLGSV,2,2,05,82,33,330,33*5A\r\n",
	}
	add := func(at when.Instant, from capture.Direction, text string) {
		records = append(records, capture.Record{Number: len(records) + 1, At: at, From: from, Bytes: text})
		size += int64(len(text))
	}
	for s := range seconds {
		at := when.Instant(s) * when.Second
		for _, line := range strings.SplitAfter(p.sentences(at), "\n") {
			if line != "" {
				add(at, capture.Module, line)
			}
		}
		for _, line := range rest { // what a receiver usually says besides
			add(at, capture.Module, line)
		}
		switch {
		case s%600 == 5:
			add(at+100*when.Millisecond, capture.Controller, "AT+CMGS=\"+447700900123\"\r")
			add(at+150*when.Millisecond, capture.Module, "\r\n> ")
			add(at+300*when.Millisecond, capture.Controller, "trailer 07 geo:52.61840,9.27350\x1a")
			add(at+900*when.Millisecond, capture.Module, "\r\n+CMGS: 1\r\n\r\nOK\r\n")
		case s%10 == 0:
			add(at+100*when.Millisecond, capture.Controller, "AT+CSQ\r")
			add(at.Add(120*time.Millisecond), capture.Module, "\r\n+CSQ: 20,0\r\n\r\nOK\r\n")
		}
	}
	return records, size
}
