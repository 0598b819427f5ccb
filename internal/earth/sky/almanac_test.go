package sky

import (
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestRollovers: the week of ten bits began again on these days (announced by the United
// States' Coast Guard; 2038 and 2137 follow by arithmetic), earlier in UTC by the leap seconds
// of the time: 13 in 1999, 18 in 2019.
func TestRollovers(t *testing.T) {
	for _, r := range []struct {
		week int
		gps  string // the date by GPS time
		utc  string
	}{
		{0, "1980-01-06", "1980-01-06T00:00:00Z"},
		{1024, "1999-08-22", "1999-08-21T23:59:47Z"},
		{2048, "2019-04-07", "2019-04-06T23:59:42Z"},
		{3072, "2038-11-21", "2038-11-20T23:59:42Z"},
		{8192, "2137-01-06", "2137-01-05T23:59:42Z"}, // thirteen bits
	} {
		got := FromGPSTime(r.week, 0)
		if got.Format(time.RFC3339) != r.utc {
			t.Errorf("week %d began %s UTC, want %s", r.week, got.Format(time.RFC3339), r.utc)
		}
		if day := got.Add(time.Duration(LeapSeconds(got)) * time.Second).Format("2006-01-02"); day != r.gps {
			t.Errorf("week %d began on %s, want %s", r.week, day, r.gps)
		}
		before := got.Add(-time.Second)
		if week, ofWeek := GPSTime(before); r.week > 0 && (week != r.week-1 || ofWeek != (weekS-1)*time.Second) {
			t.Errorf("a second before week %d: week %d, %v", r.week, week, ofWeek)
		}
		if week, ofWeek := GPSTime(got); week != r.week || ofWeek != 0 {
			t.Errorf("the beginning of week %d: week %d, %v", r.week, week, ofWeek)
		}
	}
}

func TestGPSTimeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		week := rapid.IntRange(0, 8191).Draw(t, "week")
		ofWeek := time.Duration(rapid.Int64Range(0, int64(weekS*time.Second)-1).Draw(t, "of week"))
		gotWeek, gotOfWeek := GPSTime(FromGPSTime(week, ofWeek))
		if gotWeek != week || (gotOfWeek-ofWeek).Abs() > time.Second { // within a leap second no UTC names the instant
			t.Fatalf("%d %v came back as %d %v", week, ofWeek, gotWeek, gotOfWeek)
		}
		if full := FullWeek(week%RoundWeeks, FromGPSTime(week, ofWeek)); full != week {
			t.Fatalf("week %d was taken to be %d on its own day", week, full)
		}
	})
}

// TestFullWeekNearRollover: on the days around a rollover a message may tell either round.
func TestFullWeekNearRollover(t *testing.T) {
	at := time.Date(2019, 4, 8, 0, 0, 0, 0, time.UTC)
	for short, want := range map[int]int{1023: 2047, 0: 2048, 1: 2049, 511: 2559, 513: 1537} {
		if got := FullWeek(short, at); got != want {
			t.Errorf("week %d on %v is %d, want %d", short, at, got, want)
		}
	}
	if got := FullWeek(1023, gpsEpoch); got != 1023 {
		t.Errorf("before GPS began: %d", got)
	}
}

// TestYUMA reads records as the United States' Coast Guard publishes them.
func TestYUMA(t *testing.T) {
	at := time.Date(2016, 3, 31, 0, 0, 0, 0, time.UTC)
	c := readTestAlmanac(t, "2016-week-866.yuma", at)
	if len(c.Satellites) != 8 {
		t.Fatalf("%d satellites, want 8", len(c.Satellites))
	}
	// Week 866 of the second round is 1890; 589824 s into it is 6 days 19 h 50 min 24 s, 17 leap seconds earlier in UTC.
	if want := "2016-04-02T19:50:07Z"; c.Applies.Format(time.RFC3339) != want {
		t.Errorf("applies at %s, want %s", c.Applies.Format(time.RFC3339), want)
	}
	for _, s := range c.Satellites {
		o := &s.Orbit
		// What the standard says of every satellite: inclination 55 +- 3 degrees (one of them is at its
		// edge), eccentricity up to 0.02, half a sidereal day of 43082 s.
		if i := o.InclinationRad * 180 / math.Pi; i < 51 || i > 58 || o.Eccentricity > 0.02 || math.Abs(o.PeriodS()-43082) > 20 || !s.Healthy {
			t.Errorf("%s: inclination %.1f, eccentricity %.4f, period %.0f s, healthy %v", s.Name, i, o.Eccentricity, o.PeriodS(), s.Healthy)
		}
	}
}

// TestSEM: the same almanac in the other format (made from it by a script, angles in
// semicircles and inclination from 0.30 on) gives the same orbits.
func TestSEM(t *testing.T) {
	at := time.Date(2016, 3, 31, 0, 0, 0, 0, time.UTC)
	a, b := readTestAlmanac(t, "2016-week-866.yuma", at), readTestAlmanac(t, "2016-week-866.sem", at)
	if len(a.Satellites) != len(b.Satellites) || !a.Applies.Equal(b.Applies) {
		t.Fatalf("%d and %d satellites, at %v and %v", len(a.Satellites), len(b.Satellites), a.Applies, b.Applies)
	}
	for n := range a.Satellites {
		if a.Satellites[n].PRN != b.Satellites[n].PRN || apart(a.Position(n, at), b.Position(n, at)) > 0.01 {
			t.Errorf("%s and %s are apart", a.Satellites[n].Name, b.Satellites[n].Name)
		}
	}
}

// TestDamagedAlmanacs: what is whole is read, what is not is told with its line.
func TestDamagedAlmanacs(t *testing.T) {
	yuma := readFile(t, "2016-week-866.yuma")
	sem := readFile(t, "2016-week-866.sem")
	for _, test := range []struct {
		name, text string
		entries    int
		problems   []string
	}{
		{"empty", "", 0, []string{`line 1 of the almanac, "": want a YUMA file`}},
		{"prose", "hello\nthere\n", 0, []string{`line 1 of the almanac, "hello": want a YUMA file`}},
		{"no root", strings.Replace(yuma, "SQRT(A)  (m 1/2):           5153.602051\n", "", 1), 7, []string{"line 2 of the almanac, \"a record without SQRT(A)\""}},
		{"not a number", strings.Replace(yuma, "0.9637857480", "0.96x", 1), 7, []string{"want a number for Orbital Inclination", "a record without Orbital Inclination"}},
		{"cut", yuma[:len(yuma)-200], 7, []string{"a record without"}},
		{"too round", strings.Replace(yuma, "5153.602051", "51.602051", 1), 7, []string{"root of the semi-major axis 51.602051\": want 2530 to 8192"}},
		{"not finite", strings.Replace(yuma, "5153.602051", "NaN", 1), 7, []string{"root of the semi-major axis NaN"}},
		{"twice", yuma + "\n" + yuma, 8, []string{"line 122 of the almanac, \"PRN 1 again\": want each satellite once; the first is on line 2"}},
		{"Windows lines", strings.ReplaceAll(yuma, "\n", "\r\n"), 8, nil},
		{"unhealthy", strings.Replace(yuma, "Health:                     000", "Health:                     063", 1), 8, nil},
		{"sem cut", sem[:len(sem)-48], 7, []string{"a record of 10 numbers", "8  WEEK866.ALM\": want 7 records"}},
		{"sem with a word", strings.Replace(sem, " 5.15", " five", 1), 7, []string{"want a number", "7 records"}},
	} {
		a, problems, err := ReadAlmanac(strings.NewReader(test.text))
		if err != nil || len(a.Entries) != test.entries {
			t.Errorf("%s: %d entries, want %d (%v)", test.name, len(a.Entries), test.entries, err)
		}
		var all []string
		for i := range problems {
			all = append(all, problems[i].Error())
		}
		text := strings.Join(all, "\n")
		for _, want := range test.problems {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no %q in\n%s", test.name, want, text)
			}
		}
		if len(test.problems) == 0 && len(problems) > 0 {
			t.Errorf("%s: %s", test.name, text)
		}
	}
}

// TestOldAlmanac: an almanac far from its day is used, but not in silence; nor is a week silently chosen.
func TestOldAlmanac(t *testing.T) {
	a, _, _ := ReadAlmanac(strings.NewReader(readFile(t, "2016-week-866.yuma")))
	_, assumed := a.Constellation(time.Date(2016, 9, 1, 0, 0, 0, 0, time.UTC))
	if text := strings.Join(assumed, " "); !strings.Contains(text, "taken to be week 1890") || !strings.Contains(text, "151 days away") {
		t.Error(text)
	}
	a.Entries = a.Entries[:1]
	a.Entries[0].Week = 1890
	if _, assumed = a.Constellation(time.Date(2016, 4, 1, 0, 0, 0, 0, time.UTC)); len(assumed) > 0 {
		t.Error(assumed)
	}
}

func readFile(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// FuzzReadAlmanac: whatever the bytes, orbits that come out can be flown, and
// each record is either an entry or a problem.
func FuzzReadAlmanac(f *testing.F) {
	yuma, sem := readFile(f, "2016-week-866.yuma"), readFile(f, "2016-week-866.sem")
	f.Add(yuma[:700])
	f.Add(sem[:400])
	f.Add("1 x\n1 1\n\n" + strings.Repeat("1 ", 14))
	f.Add("ID: 1e300\nHealth: -0\nweek: 1023.5\n")
	f.Fuzz(func(t *testing.T, text string) {
		a, problems, err := ReadAlmanac(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Entries) == 0 && len(problems) == 0 && a.Format != "SEM" {
			t.Fatal("nothing was read and nothing said")
		}
		at := time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC)
		c, _ := a.Constellation(at)
		for n := range c.Satellites {
			p := c.Position(n, at)
			r := math.Sqrt(p.X*p.X + p.Y*p.Y + p.Z*p.Z)
			if !(r > 3e6 && r < 1.1e8) {
				t.Fatalf("%+v flies at %v m", c.Satellites[n], r)
			}
		}
	})
}
