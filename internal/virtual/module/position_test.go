package module

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// firstFix returns how long the engine of a module takes to its first fix.
func firstFix(m *Module, from when.Instant, limit time.Duration) (time.Duration, bool) {
	for t := from; t < from.Add(limit); t += when.Second {
		m.Tick(t, nil)
		m.receiver.advance(m.life, m.now)
		if m.receiver.fix.valid {
			return t.Sub(from), true
		}
	}
	return limit, false
}

// TestTimeToFirstFix: subframes 1 to 3 take 18 s at least, and 36 s at most
// when each must be met whole (IS-GPS-200 clause 20.3: 6 s a subframe, 30 s a
// frame); before that comes the search. With the ephemeris still valid only the
// search is left; after 4 h it is read again.
func TestTimeToFirstFix(t *testing.T) {
	var cold, hot, warm []float64
	for seed := range uint64(60) {
		m := newModule(t, "healthy", seed)
		m.Tick(3*when.Second+when.Instant(seed)*when.Second/2, nil)
		start := m.now
		m.receiver.switchOn(start, false)
		took, ok := firstFix(m, start, 5*time.Minute)
		if !ok {
			t.Fatalf("seed %d: no fix in five minutes under an open sky", seed)
		}
		cold = append(cold, took.Seconds())

		m.Tick(start.Add(20*time.Minute), nil) // long enough for the almanac
		m.receiver.advance(m.life, m.now)
		m.receiver.switchOff()
		start = start.Add(50 * time.Minute)
		m.Tick(start, nil)
		m.receiver.switchOn(start, false)
		took, _ = firstFix(m, start, time.Minute)
		hot = append(hot, took.Seconds())

		m.receiver.switchOff()
		start = start.Add(6 * time.Hour)
		m.Tick(start, nil)
		m.receiver.switchOn(start, false)
		took, _ = firstFix(m, start, 5*time.Minute)
		warm = append(warm, took.Seconds())
	}
	for _, c := range []struct {
		kind                       string
		s                          []float64
		least, median, longest, hi float64
	}{
		{"cold", cold, 18, 24, 38, 60},
		{"warm", warm, 18, 20, 36, 45},
		{"hot", hot, 0, 0, 3, 8},
	} {
		slices.Sort(c.s)
		median := c.s[len(c.s)/2]
		if c.s[0] < c.least || median < c.median || median > c.longest || c.s[len(c.s)-1] > c.hi {
			t.Errorf("%s starts took %.0f to %.0f s, median %.0f; want %g to %g, median %g to %g", c.kind, c.s[0], c.s[len(c.s)-1], median, c.least, c.hi, c.median, c.longest)
		}
		t.Logf("%s: %.0f to %.0f s, median %.0f", c.kind, c.s[0], c.s[len(c.s)-1], median)
	}
}

// TestColdCommand: +DEMOCOLD makes the engine begin from nothing.
func TestColdCommand(t *testing.T) {
	b := switchOn(t, "healthy")
	b.must("ATE0;+DEMOGNSS=1", "\r\nOK\r\n")
	b.wait(2 * time.Minute)
	if got := b.ask("AT+DEMOPOS?", time.Second); !strings.HasPrefix(got, "\r\n+DEMOPOS: 1,040326,1017") {
		t.Fatalf("after two minutes: %q", got)
	}
	b.must("AT+DEMOCOLD", "\r\nOK\r\n")
	b.wait(5 * time.Second)
	b.must("AT+DEMOPOS?", "\r\n+DEMOPOS: 0,,,,,,,,,0\r\n\r\nOK\r\n")
	b.wait(time.Minute)
	if got := b.ask("AT+DEMOPOS?", time.Second); !strings.HasPrefix(got, "\r\n+DEMOPOS: 1,") {
		t.Errorf("a minute later: %q", got)
	}
	b.must("AT+DEMOGNSS=0", "\r\nOK\r\n")
	b.must("AT+DEMOPOS?", "\r\n+DEMOPOS: 0,,,,,,,,,\r\n\r\nOK\r\n")
}

// TestPositionWorlds: who gets a fix, and what the engine hears.
func TestPositionWorlds(t *testing.T) {
	for _, c := range []struct {
		world  string
		fix    bool
		engine string
		// Satellites heard, least and most.
		least, most int
	}{
		{"healthy", true, "1", 6, 14},
		{"weak-signal", true, "1", 6, 14},
		{"indoor-sky", false, "1", 0, 5},
		{"antennas-swapped", false, "1", 0, 3},
		{"engine-silent", false, "0", 0, 0},
	} {
		for seed := range uint64(10) {
			b := &bench{t: t, m: newModule(t, c.world, seed)}
			b.wait(3 * time.Second)
			b.must("ATE0;+DEMOGNSS=1", "ATE0;+DEMOGNSS=1\r\r\nOK\r\n"[len("ATE0;+DEMOGNSS=1\r"):])
			b.wait(10 * time.Minute)
			b.must("AT+DEMOGNSS?", "\r\n+DEMOGNSS: "+c.engine+"\r\n\r\nOK\r\n")
			got := b.ask("AT+DEMOPOS?", time.Second)
			if strings.Contains(got, "+DEMOPOS: 1,") != c.fix {
				t.Errorf("%s, seed %d: %q; want a fix: %v", c.world, seed, got, c.fix)
			}
			heard := 0
			for i := range b.m.receiver.channels {
				if ch := &b.m.receiver.channels[i]; ch.visible && ch.tracked {
					heard++
				}
			}
			if heard < c.least || heard > c.most {
				t.Errorf("%s, seed %d: %d satellites heard; want %d to %d", c.world, seed, heard, c.least, c.most)
			}
		}
	}
}

// TestPositionErrors: the scatter about the true place is what DOP and range
// error say: DRMS = HDOP x UERE (definition of HDOP), UERE 5.17 m (a handbook's
// budget for one frequency, see receiver.go). Drift takes half an hour, so the
// places are from many lives.
func TestPositionErrors(t *testing.T) {
	sum, expected, n := 0.0, 0.0, 0
	var place world.Place
	for seed := range uint64(150) {
		m := newModule(t, "healthy", seed)
		m.Tick(3*when.Second, nil)
		m.receiver.switchOn(m.now, false)
		m.Tick(2*3600*when.Second, nil)
		m.receiver.advance(m.life, m.now)
		f := &m.receiver.fix
		if !f.valid {
			t.Fatalf("seed %d: no fix after two hours", seed)
		}
		place = m.conditions().Place
		d := geo.DistanceM(f.point, geo.Point{LatDeg: place.LatDeg, LonDeg: place.LonDeg})
		sum += d * d
		expected += f.hdop * f.hdop * 5.17 * 5.17
		n++
	}
	// The ratio of the two sums is a chi-square of about 300 degrees of freedom
	// over its mean: its deviation is 0.08.
	if ratio := sum / expected; ratio < 0.7 || ratio > 1.35 {
		t.Errorf("mean square error is %.2f of what HDOP and UERE say (%d lives)", ratio, n)
	}
}

// TestPositionDrifts: from one second to the next the position hardly moves,
// over an hour it does; that is what a standing receiver's track looks like.
func TestPositionDrifts(t *testing.T) {
	m := newModule(t, "healthy", 5)
	m.Tick(3*when.Second, nil)
	m.receiver.switchOn(m.now, false)
	var last geo.Point
	longest, far := 0.0, 0.0
	var first geo.Point
	for s := 120; s < 3720; s++ {
		m.Tick(when.Instant(s)*when.Second, nil)
		m.receiver.advance(m.life, m.now)
		p := m.receiver.fix.point
		if s == 120 {
			first = p
		} else {
			longest = max(longest, geo.DistanceM(last, p))
		}
		far = max(far, geo.DistanceM(first, p))
		last = p
	}
	if far < 1 || far > 60 {
		t.Errorf("in an hour it wandered %.1f m; want metres", far)
	}
	if longest > 15 {
		t.Errorf("it jumped %.1f m within a second", longest)
	}
}

// TestSentences: every sentence is spelt right and fits NMEA 0183's 82
// characters with its line end; all of one second say the same.
func TestSentences(t *testing.T) {
	for _, name := range []string{"healthy", "indoor-sky"} {
		b := switchOn(t, name)
		b.ask("ATE0;+DEMOGNSS=1;+DEMONMEA=1", 2*time.Second)
		b.out = nil
		b.wait(3 * time.Minute)
		var s nmea.Sentence
		var rmc nmea.RMC
		inView, fixes, epochs := 0, 0, 0
		for _, line := range strings.Split(strings.TrimSuffix(string(b.out), "\r\n"), "\r\n") {
			if err := nmea.Scan(line, &s); err != nil || !s.SumOK() || len(line) > 80 {
				t.Fatalf("%s: %q: %v", name, line, err)
			}
			var err error
			switch s.Type {
			case "RMC":
				rmc, err = nmea.DecodeRMC(&s)
				inView = 0
				epochs++
				if rmc.Valid.Or(false) {
					fixes++
				}
			case "GGA":
				var gga nmea.GGA
				gga, err = nmea.DecodeGGA(&s)
				if (gga.Quality.Or(0) > 0) != rmc.Valid.Or(false) || gga.Lat != rmc.Lat || gga.Lon != rmc.Lon || gga.Time != rmc.Time {
					t.Errorf("%s: GGA and RMC differ: %q", name, line)
				}
			case "GLL":
				var gll nmea.GLL
				gll, err = nmea.DecodeGLL(&s)
				if gll.Lat != rmc.Lat || gll.Lon != rmc.Lon || gll.Time != rmc.Time || gll.Valid != rmc.Valid {
					t.Errorf("%s: GLL and RMC differ: %q", name, line)
				}
			case "GSA":
				var gsa nmea.GSA
				gsa, err = nmea.DecodeGSA(&s)
				if (len(gsa.IDs()) >= 4) != rmc.Valid.Or(false) {
					t.Errorf("%s: GSA and RMC differ: %q", name, line)
				}
			case "GSV":
				var gsv nmea.GSV
				gsv, err = nmea.DecodeGSV(&s)
				inView += len(gsv.Seen())
				if total := gsv.InView.Or(-1); gsv.Number.Or(0) == gsv.Total.Or(0) && inView != total {
					t.Errorf("%s: %d satellites listed, %d said: %q", name, inView, total, line)
				}
			case "VTG":
				_, err = nmea.DecodeVTG(&s)
			default:
				t.Errorf("%s: what is %q?", name, line)
			}
			if err != nil {
				t.Errorf("%s: %q: %v", name, line, err)
			}
		}
		if epochs != 180 {
			t.Errorf("%s: %d epochs in three minutes", name, epochs)
		}
		if name == "healthy" && fixes < 100 || name != "healthy" && fixes > 0 {
			t.Errorf("%s: %d fixes", name, fixes)
		}
	}
}

// TestStandardLocation: 27.007 clause 8.50, +CMOLR and its +CMOLRN lines.
func TestStandardLocation(t *testing.T) {
	b := switchOn(t, "healthy")
	b.must("ATE0", "\r\nOK\r\n")
	b.must(`AT+CMOLR=1,0,0,0,0,0,0,0,0,120,120,1,0,"$GPRMC,$GPGGA"`, "\r\nOK\r\n")
	b.out = nil
	b.wait(2 * time.Minute)
	lines := strings.Split(strings.Trim(string(b.out), "\r\n"), "\r\n\r\n")
	if len(lines) != 2 || !strings.HasPrefix(lines[0], `+CMOLRN: "$GPRMC,1015`) || !strings.HasPrefix(lines[1], `+CMOLRN: "$GPGGA,1015`) || !strings.Contains(lines[0], ",A,5237.1") {
		t.Errorf("got %q", lines)
	}
	b.must("AT+CMOLR?", "\r\n+CMOLR: 0\r\n\r\nOK\r\n")

	none := switchOn(t, "indoor-sky")
	none.must("ATE0", "\r\nOK\r\n")
	none.must("AT+CMOLR=1,0,0,0,0,0,0,0,0,30", "\r\nOK\r\n")
	none.out = nil
	none.wait(time.Minute)
	if got := string(none.out); got != "\r\n+CMOLRE: 1\r\n" {
		t.Errorf("under a roof came %q", got)
	}
}

// TestStepsDoNotMatterMuch: a settled receiver that is asked seldom moves in
// long steps. Its scatter must be the same.
func TestStepsDoNotMatterMuch(t *testing.T) {
	spread := func(every when.Instant) float64 {
		sum, n := 0.0, 0
		for seed := range uint64(60) {
			m := newModule(t, "healthy", seed)
			m.Tick(3*when.Second, nil)
			m.receiver.switchOn(m.now, false)
			for at := 60 * when.Second; at <= 3600*when.Second; at += every {
				m.Tick(at, nil)
				m.receiver.advance(m.life, m.now)
			}
			p := m.conditions().Place
			d := geo.DistanceM(m.receiver.fix.point, geo.Point{LatDeg: p.LatDeg, LonDeg: p.LonDeg})
			sum, n = sum+d*d, n+1
		}
		return math.Sqrt(sum / float64(n))
	}
	often, seldom := spread(5*when.Second), spread(600*when.Second)
	if often/seldom < 0.7 || often/seldom > 1.4 {
		t.Errorf("asked often the error is %.2f m, asked seldom %.2f m", often, seldom)
	}
}
