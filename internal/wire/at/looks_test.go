package at

import (
	"strings"
	"testing"
)

// TestIsCommandLine: V.250 5.2.1 (prefix), 5.2.2 (spaces), 5.2.4 (A/), 5.3.1
// (basic commands), 5.4.1 (extended), 6.3.1 (dialling). The sentences are ours.
func TestIsCommandLine(t *testing.T) {
	for _, line := range []string{
		"AT", "at", "At", "A/", "a/", "A/ ", "ATZ", "ATE0", "ate0v1", "AT&F", `AT\Q3`, "ATS3=13", "ATI", "ATD", "ATH0",
		"ATD+12025550143;", "ATDT12025550143", "atdt12025550143", "atd*100#;", "ATDL", "atd>1;",
		"AT+CMGF=1", "at+csq", `AT+CMGS="+12025550143"`, "AT+", "AT*DEMO?", "AT^DEMO", "AT#DEMO=1", "AT$DEMO", "AT%DEMO",
		"AT +CSQ", "AT E0", "AT E0 V1", "at &F", "AT ", "AT  +CMGF = 1",
	} {
		if !IsCommandLine(line) {
			t.Errorf("%q: want a command line", line)
		}
	}
	for _, line := range []string{
		"", "A", "T", "OK", "+CSQ: 17,0", "A/B", "a / b", "trailer 07 at gate 3", "Attach the trailer", "ATTENTION",
		"at home", "at gate 3", "At 5 pm", "at the yard", "atdusk it left", "at a farm", "AT HOME", "at -5 degrees", "\rAT", " AT",
	} {
		if IsCommandLine(line) {
			t.Errorf("%q: want no command line", line)
		}
	}
}

// FuzzIsCommandLine: what stands behind a line's first space never makes a
// command of a word, and blanks at the end change nothing.
func FuzzIsCommandLine(f *testing.F) {
	for _, s := range []string{"AT", "AT+CMGF=1", "at home", "A/", "ATD 12025550143", "AT E0 V1", "at\x00", "aT \xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := IsCommandLine(s)
		if got && (len(s) < 2 || !strings.EqualFold(s[:2], "AT") && !strings.EqualFold(s[:2], "A/")) {
			t.Errorf("%q does not begin like a command", s)
		}
		if trimmed := strings.TrimRight(s, " "); len(trimmed) > 2 && IsCommandLine(trimmed) != got {
			t.Errorf("%q: blanks at the end change the answer", s)
		}
	})
}
