package intake

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// same wants the quick reading of line, after before was read, to be the careful one.
func sameStamp(t interface{ Errorf(string, ...any) }, before, line string) {
	f := stampedFormat{shape: clockStamp}
	f.stamp(before)
	got, rest, ok := f.stamp(line)
	want, wantRest, wantOK := readClock(line)
	if ok != wantOK || ok && (got != want || rest != wantRest) {
		t.Errorf("after %q, %q is read as %+v %q %t, want %+v %q %t", before, line, got, rest, ok, want, wantRest, wantOK)
	}
}

// TestClockLayout: a line that looks like the one before is read as any other.
func TestClockLayout(t *testing.T) {
	dates := []string{"", "2026-03-04 ", "2026-03-04T", "04.03.2026 ", "3/4/26, ", "2026-3-4_"}
	clocks := []string{"10:15:30", "23:59:60", "9:15:30", "10:15:30.1", "10:15:30.123", "10:15:30,123456", "10:15:30:250", "10:15:30.1234567891", "24:00:00", "10:15:61"}
	ends := []string{" ", "Z ", "+01:00 ", "+0100", "", "  ", "\t", "-05:30|", ": ", "]", "] ", " ] ", ".", "5", " 5", "z", "+", ",", "-> "}
	rapid.Check(t, func(t *rapid.T) {
		line := func(name string) string {
			open := rapid.SampledFrom([]string{"", "", "[", "("}).Draw(t, name+" open")
			return open + rapid.SampledFrom(dates).Draw(t, name+" date") + rapid.SampledFrom(clocks).Draw(t, name+" clock") +
				rapid.SampledFrom(ends).Draw(t, name+" end") + rapid.SampledFrom([]string{"AT", "RX: OK", "", "$GP", " x"}).Draw(t, name+" rest")
		}
		sameStamp(t, line("first"), line("second"))
	})
	for i := range 60 { // the usual case, which is the quick one
		sameStamp(t, "2026-03-04 10:15:30.123 RX: OK", fmt.Sprintf("2026-03-04 11:%02d:%02d.%03d TX: AT", i, 59-i, i*7))
	}
}

func FuzzClockLayout(f *testing.F) {
	f.Add("2026-03-04 10:15:30.123 RX: OK", "2026-03-04 10:15:31.250 TX: AT")
	f.Add("[10:15:30] OK", "[10:15:31]OK")
	f.Add("2026-03-04T10:15:30+01:00 OK", "2026-03-04T10:15:30+01:00OK")
	f.Fuzz(func(t *testing.T, before, line string) { sameStamp(t, before, line) })
}

// TestMarkers: a mark that was seen before is read as any other.
func TestMarkers(t *testing.T) {
	marks := []string{" RX: ", " TX: ", "RX", " <- ", "->", ">", " > ", "[TX]", "- IN |", "TX ->", "tx:", "RXD ", "NONE "}
	rests := []string{"OK", "AT", "> ", " OK", "-> x", ": y", "", "$GP", "=1", "<", "RX: OK"}
	rapid.Check(t, func(t *rapid.T) {
		f := stampedFormat{words: rapid.Bool().Draw(t, "words")}
		for range 4 {
			line := rapid.SampledFrom(marks).Draw(t, "mark") + rapid.SampledFrom(rests).Draw(t, "rest")
			out, after, ok := f.marker(line)
			wantOut, wantAfter, wantOK := readMarker(line, f.words)
			if out != wantOut || after != wantAfter || ok != wantOK {
				t.Fatalf("%q: got %t %q %t, want %t %q %t", line, out, after, ok, wantOut, wantAfter, wantOK)
			}
		}
	})
}
