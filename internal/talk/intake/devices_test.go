package intake

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// read takes all records and returns why the recording seems mixed.
func mixedSigns(t testing.TB, name, text string) []string {
	t.Helper()
	s, err := Open(strings.NewReader(text), name, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := s.Next(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	info := s.Info()
	for _, m := range info.Mixed {
		if !strings.Contains(strings.Join(info.Assumed, "\n"), m) {
			t.Errorf("%q is not among what was assumed", m)
		}
	}
	return info.Mixed
}

func lines(t *testing.T, file string) []string {
	t.Helper()
	b, err := os.ReadFile("../../../examples/" + file)
	if err != nil {
		t.Fatal(err)
	}
	return strings.SplitAfter(strings.TrimSuffix(string(b), "\n"), "\n")
}

// interleave puts n lines of a, then m of b, and so on.
func interleave(a []string, n int, b []string, m int) string {
	var out strings.Builder
	for len(a) > 0 || len(b) > 0 {
		k := min(n, len(a))
		out.WriteString(strings.Join(a[:k], ""))
		a = a[k:]
		k = min(m, len(b))
		out.WriteString(strings.Join(b[:k], ""))
		b = b[k:]
	}
	return out.String()
}

// TestTwoReceivers interleaves two recordings of examples/ in several ways; each
// alone, and one behind the other, is of one receiver at a time.
func TestTwoReceivers(t *testing.T) {
	roof, yard := lines(t, "trailer-16-under-the-roof.nmea"), lines(t, "trailer-18-old-date.nmea")
	for _, cut := range [][2]int{{1, 1}, {3, 4}, {5, 2}, {12, 4}} {
		name := fmt.Sprintf("%d by %d", cut[0], cut[1])
		got := mixedSigns(t, "mixed.nmea", interleave(roof, cut[0], yard, cut[1]))
		if len(got) != 1 || !strings.Contains(got[0], "2 rows that take turns") || !strings.Contains(got[0], "09:30:") {
			t.Errorf("%s: got %q", name, got)
		}
	}
	for name, text := range map[string]string{
		"roof": strings.Join(roof, ""), "yard": strings.Join(yard, ""), "one behind the other": strings.Join(roof, "") + strings.Join(yard, ""),
	} {
		if got := mixedSigns(t, "one.nmea", text); len(got) > 0 {
			t.Errorf("%s: got %q", name, got)
		}
	}
}

func TestTwoIdentities(t *testing.T) {
	for _, c := range []struct {
		text  string
		mixed bool
	}{
		// The numbers have the shape of TS 23.003 6.2.1 with its check digit; they are no device's.
		{"AT+CGSN\n350000000000006\nOK\nAT+CGSN\n350000000000014\nOK\n", true},
		{"AT+CGSN=1\n+CGSN: \"350000000000006\"\nOK\nAT+GSN\n350000000000014\nOK\n", true},
		{"AT+CGSN=0\n+CGSN: \"350000000000006\"\nOK\nAT+GSN\n350000000000014\nOK\n", false}, // a serial number
		{"AT+CGSN\n+CGSN: \"350000000000006\"\nOK\nAT+GSN\n350000000000014\nOK\n", true},
		{"AT+CGSN\n350000000000006\nOK\nAT+CGSN\n350000000000006\nOK\n", false},
		{"AT+CGSN\n350000000000006\nOK\nAT+CIMI\n001010123456788\nOK\n", false}, // a subscriber's number that happens to pass the check
	} {
		got := mixedSigns(t, "window.txt", c.text)
		if (len(got) > 0) != c.mixed {
			t.Errorf("%q: got %q", c.text, got)
		}
	}
}

// TestOneReceiver: a receiver that starts anew, sets its clock, passes midnight,
// drops sentences or sends its kinds in another order is one receiver.
func TestOneReceiver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := rapid.IntRange(0, 86399).Draw(t, "start")
		var text strings.Builder
		jumps := 0
		for range rapid.IntRange(20, 200).Draw(t, "seconds") {
			switch rapid.IntRange(0, 40).Draw(t, "what") {
			case 0:
				if jumps < 3 { // a clock that is set
					now += rapid.IntRange(-3000, 3000).Draw(t, "jump") + 86400
					jumps++
				}
			case 1:
				now += rapid.IntRange(1, 25).Draw(t, "gap")
			}
			now = (now + 1) % 86400
			lag := rapid.IntRange(0, 1).Draw(t, "lag")
			for i, kind := range []string{"RMC", "GGA"} {
				s := (now - lag*i + 86400) % 86400
				clock := fmt.Sprintf("%02d%02d%02d.00", s/3600, s/60%60, s%60)
				if kind == "RMC" {
					fmt.Fprintf(&text, "$GPRMC,%s,A,5218.44120,N,00837.22900,E,0.0,,040326,,,A*00\n", clock)
				} else {
					fmt.Fprintf(&text, "$GPGGA,%s,5218.44120,N,00837.22900,E,1,08,1.1,61.3,M,45.2,M,,*00\n", clock)
				}
			}
		}
		s, err := Open(strings.NewReader(text.String()), "one.nmea", Options{})
		if err != nil {
			t.Fatal(err)
		}
		for {
			if _, err := s.Next(); err != nil {
				break
			}
		}
		if m := s.Info().Mixed; len(m) > 0 {
			t.Fatalf("%q", m)
		}
	})
}
