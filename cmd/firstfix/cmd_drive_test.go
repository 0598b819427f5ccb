package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/edge/pump"
	"firstfix/internal/script/procedure"
	"firstfix/internal/when"
	"firstfix/internal/wire/sheet"
)

// driven runs the command and returns what it reports.
func driven(t *testing.T, wantStatus int, args ...string) driveJSON {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(append([]string{"drive", "--json"}, args...), &streams{Out: &out, Err: &errs}); status != wantStatus {
		t.Fatalf("drive %q: status %d, want %d: %s\n%s", args, status, wantStatus, errs.String(), out.String())
	}
	var j driveJSON
	if err := json.Unmarshal(out.Bytes(), &j); err != nil {
		t.Fatalf("drive %q: %v", args, err)
	}
	return j
}

func stepNames(j driveJSON) string {
	var names []string
	for _, s := range j.Steps {
		names = append(names, s.Step+" "+s.Outcome)
	}
	return strings.Join(names, "; ")
}

// TestReadyProcedures holds each on worlds where it must end well and on worlds
// where it must not. What a world does is its own story (firstfix world show).
func TestReadyProcedures(t *testing.T) {
	for _, c := range []struct {
		procedure, world string
		status           int
		passes           string // in the steps, in this order of words
		spent            int
	}{
		{"wake", "healthy", 0, "revision ok", 0},
		{"wake", "no-card", 0, "revision ok", 0}, // a module answers without a card
		{"card-and-network", "healthy", 0, "registered ok", 0},
		{"card-and-network", "no-card", 1, "card failed", 0},
		{"card-and-network", "never-registers", 1, "registered not yet", 0},
		{"card-and-network", "registration-denied", 1, "registered not yet", 0},
		{"first-fix", "healthy", 0, "fix ok", 0},
		{"first-fix", "indoor-sky", 1, "fix not yet", 0},
		{"text-with-delivery-report", "healthy", 0, "report ok", 1},
		{"text-with-delivery-report", "no-service-centre", 1, "tell failed; usual parameters ok", 1},
		{"report-loop", "healthy", 0, "tell ok", 3},
		{"report-loop", "indoor-sky", 0, "tell the last refused; tell that there is none ok", 3},
		{"report-loop", "flapping", 0, "tell ok", 3},
		{"recovery-ladder", "healthy", 0, "1 ask ok; network ok", 0},
		{"recovery-ladder", "never-registers", 1, "4 radio off ok; 4 radio on ok; network after the radio not yet; 5 restart", 0},
		{"store-housekeeping", "store-full", 0, "delete what was read ok; after ok", 0},
	} {
		t.Run(c.procedure+" "+c.world, func(t *testing.T) {
			j := driven(t, c.status, c.procedure, "--world", c.world)
			if got := stepNames(j); !strings.Contains(got, c.passes) || j.Spent != c.spent {
				t.Errorf("spent %d, want %d; steps %s; want %s", j.Spent, c.spent, got, c.passes)
			}
		})
	}
}

// TestLadderLeavesTextEntry: an earlier controller died between the prompt and
// its text. Until ESC (TS 27.005, 3.5.1) whatever is sent is text.
func TestLadderLeavesTextEntry(t *testing.T) {
	w, err := loadWorld("healthy")
	if err != nil {
		t.Fatal(err)
	}
	m, wire := standIn(w, 1, 9600)
	now := when.Instant(0)
	left := false
	for _, said := range []string{"AT\r", "AT\r", "AT+CMGF=1\r", "AT+CMGS=\"+12025550107\"\r"} {
		now = now.Add(15e9)
		out := m.Tick(now, nil)
		out = m.Feed(now, []byte(said), out)
		now = now.Add(2e9)
		out = m.Tick(now, out)
		left = strings.HasSuffix(string(out), "> ")
	}
	if !left {
		t.Fatal("the module is not in text entry")
	}
	p, _ := procedure.Ready("recovery-ladder")
	demo, _ := sheet.Builtin("demo")
	ladder, err := procedure.New(p, procedure.Options{Sheet: demo})
	if err != nil {
		t.Fatal(err)
	}
	ladder.Tick(now, nil)
	if _, err := pump.Simulate(t.Context(), pump.Limits{}, ladder, m, wire, nil); err != nil {
		t.Fatal(err)
	}
	log := ladder.Log()
	if !ladder.Satisfied() || len(log) < 2 || log[1].Step != "2 leave text entry" || log[1].Outcome != procedure.OK {
		t.Errorf("the ladder did not help: %+v", log)
	}
}

// TestDriveOnPTY holds a procedure on a line that looks like a serial port, at
// real speed; nothing leaves without --spend.
func TestDriveOnPTY(t *testing.T) {
	ready, _ := startStandin(t, quickWorld, standinOptions{})
	j := driven(t, 0, "wake", "--port", ready.Line)
	if j.Simulated || !strings.Contains(stepNames(j), "model ok") {
		t.Errorf("%+v", j)
	}
	file := filepath.Join(t.TempDir(), "tell.yaml")
	if err := os.WriteFile(file, []byte("procedure: tell\nbudget: {texts: 1}\nsteps: [{send: 'AT+CMGS=\"{number}\"', text: hello}]\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	j = driven(t, statusCannot, file, "--port", ready.Line, "--number", "+12025550143")
	if j.Spent != 0 || !strings.Contains(j.Why, "0 allowed for this run") {
		t.Errorf("a text was not refused: %+v", j)
	}
}

// TestDriveShowsNoSecret: numbers, identities, texts and the PIN.
func TestDriveShowsNoSecret(t *testing.T) {
	var out bytes.Buffer
	for _, args := range [][]string{
		{"drive", "store-housekeeping", "--world", "store-full"}, {"drive", "text-with-delivery-report"},
		{"drive", "card-and-network", "--world", "pin-wanted", "--pin", "4711"},
		{"drive", "text-with-delivery-report", "--dry-run"}, {"drive", "card-and-network", "--dry-run", "--pin", "4711"},
	} {
		run(args, &streams{Out: &out, Err: io.Discard})
	}
	for _, secret := range []string{"2025550", "4711"} {
		if strings.Contains(out.String(), secret) {
			t.Errorf("%s is shown:\n%s", secret, out.String())
		}
	}
}
