package report

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/maybe"
	"firstfix/internal/when"
	"firstfix/internal/wire/sms"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Two messages, "<b>hi" to a number reserved for fiction, and one that ends in its text: each
// octet by TS 23.040 9.2.2.2 and 9.2.2.1, worked by hand.
const (
	submit = "0011000B912120550541F30000A7053CB10F9D06"
	cut    = "00040B912120550541F30000623040015100400AE832"
)

var update = flag.Bool("update", false, "rewrite the golden files; read the difference")

// full is a verdict with something in every place, including what must be escaped.
func full() *verdict.Verdict {
	saw := finding.Evidence{Record: 42, SourceLine: 57, At: 12*when.Second + 345*when.Millisecond, From: "module", Text: "$GPGSV,1,1,00*79", Note: "no satellite in view"}
	text := finding.Evidence{Record: 44, SourceLine: 61, At: 13 * when.Second, From: "controller", Text: "<b>hello</b>\x1a"}
	measure := verdict.Measurement{Name: "antenna-sockets", Answers: []verdict.Answer{{Name: "swapped", Means: "they were swapped"}, {Name: "right", Means: "they were right"}}, Unit: "dBm", Do: "Swap the two antenna plugs and repeat the check.", Tells: "Signal and satellites come back: they were swapped.", Minutes: 2, Tools: "none", Caution: "Do it with the supply off."}
	return &verdict.Verdict{
		Version: 1, Kind: "review", Input: "trailer-07.txt", Began: "2026-03-04T10:15:00Z", TimesKnown: true,
		Assumed:  []string{"Directions were inferred: lines that begin with AT are the controller's."},
		Headline: "The two antennas are probably swapped: the signal is weak and no satellite is heard.",
		Counts:   verdict.Counts{Records: 44, Bytes: 1234, Exchanges: 12, Finished: 11, Failed: 1, Overtaken: 1, Sentences: 20, Epochs: 5, Messages: 1, Garbled: 1, Stray: 1},
		Chain: []verdict.Link{
			{Name: "line", Title: "Line", State: verdict.Holds, Says: "9600 baud, every command answered."},
			{Name: "network", Title: "Network", State: verdict.Weak, Says: "Registered, but at -107 dBm.", Evidence: []finding.Evidence{saw}},
			{Name: "sky", Title: "Sky", State: verdict.Broken, Says: "No satellite heard in 120 s.", Evidence: []finding.Evidence{saw}},
			{Name: "fix", Title: "Fix", State: verdict.NotReached, Says: "the sky link is broken"},
			{Name: "report", Title: "Report", State: verdict.NotShown, Says: "nothing was sent"},
		},
		Findings: []finding.Finding{
			{Rule: "smsprompt", Severity: finding.Error, Title: "message text sent before the prompt", Message: "text sent 20 ms after AT+CMGS, before any prompt", Cites: []string{"3GPP TS 27.005, 3.5.1"}, Remedy: "Wait for \"> \".", Evidence: []finding.Evidence{text, saw}, More: 3},
			{Rule: "noheard", Severity: finding.Warning, Title: "no satellites heard", Message: "none in 120 s", Cites: []string{"common practice, no source"}, Remedy: "Look at the antenna.", Evidence: []finding.Evidence{saw}},
		},
		Causes: []verdict.Cause{
			{Name: "antennas-swapped", Title: "The two antennas are swapped", Probability: 0.86, Because: []string{"weak signal and no satellite at once"}, Against: []string{"the module still registered"}, Remedy: "Swap the plugs.", Next: &measure},
			{Name: "no-sky", Title: "No view of the sky", Probability: 0.08},
		},
		Next:     &measure,
		Together: &verdict.Together{Causes: []string{"antennas-swapped", "no-sky"}, Probability: 0.55},
		Observed: []verdict.Observation{{Name: "lamp", Answer: "slow", Means: "the network lamp blinks slowly: it is registered"}},
		Timings: []verdict.Timing{
			{Command: "+CSQ", Count: 10, MinMS: maybe.Known(8.0), MedianMS: maybe.Known(12.0), P95MS: maybe.Known(30.0), MaxMS: maybe.Known(41.0), RecommendedWait: maybe.Known(5000.0), Reason: "the usual limit"},
			{Command: "+CMGS", Count: 1, Unanswered: 1, GaveUp: 1, GaveUpMinMS: maybe.Known(900.0), GaveUpMaxMS: maybe.Known(900.0), RecommendedWait: maybe.Known(60000.0), TooShort: true, Reason: "never answered here"},
		},
		Against: &verdict.Comparison{Good: "good.log", TimesKnown: true, Says: "It parts from good.log at line 57: AT+CSCA?: empty; in the good one: a number is set.",
			First:       &verdict.Difference{Kind: "answer", Says: "AT+CSCA?: empty; in the good one: a number is set", Here: []finding.Evidence{saw}, There: []finding.Evidence{text}},
			Differences: []verdict.Difference{{Kind: "answer", Says: "AT+CSCA?: empty; in the good one: a number is set", Here: []finding.Evidence{saw}, There: []finding.Evidence{text}}, {Kind: "missing", Says: "AT+CMGF= is not said here"}},
			More:        2,
			Settings:    []verdict.SettingDifference{{Name: "+CMGF", Here: "0", There: "1", Evidence: []finding.Evidence{saw}}, {Name: "+CSMP", There: "17,167,0,0"}},
			Timing:      []verdict.TimingDifference{{What: "the answer to +CMGS", HereMS: 12000, ThereMS: 2500}}},
		Cautions: []string{"A text is not a guaranteed alarm."},
		PDUs: []verdict.PDU{
			{Record: 50, SourceLine: 70, At: 14 * when.Second, From: "controller", Kind: "SUBMIT", Rules: []string{"smsprompt"}, Fields: sms.Anatomy(submit, sms.ToNetwork)},
			{Record: 52, SourceLine: 73, At: 15 * when.Second, From: "module", Kind: "DELIVER", Rules: []string{"bitflips"}, Fields: HideFields(sms.Anatomy(cut, sms.FromNetwork), func(*sms.Field) string { return "hidden" }), Fault: "sms: octet 22 (TP-UD)"},
			{Record: 54, At: 16 * when.Second, From: "controller", Kind: "SUBMIT", Fields: sms.Anatomy(submit, sms.ToNetwork)},
		},
		MorePDUs: 5,
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s differs; if that is meant, go test ./internal/report -update (-want +got):\n%s", file, diff)
	}
}

func TestText(t *testing.T) {
	var b bytes.Buffer
	if err := Text(&b, full(), TextOptions{}); err != nil {
		t.Fatal(err)
	}
	golden(t, "full.txt", b.Bytes())
	if strings.Contains(b.String(), "\x1b[") {
		t.Error("colour was written though nobody asked for it")
	}
	for n, line := range strings.Split(b.String(), "\n") {
		if strings.TrimRight(line, " ") != line {
			t.Errorf("line %d ends in blanks: %q", n+1, line)
		}
	}
}

// TestColourAddsNothingButColour: without its escapes the coloured report is the plain one.
func TestColourAddsNothingButColour(t *testing.T) {
	var plain, coloured bytes.Buffer
	if err := Text(&plain, full(), TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if err := Text(&coloured, full(), TextOptions{Colour: true}); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(plain.String(), stripEscapes(coloured.String())); diff != "" {
		t.Errorf("the coloured report says something else (-plain +coloured):\n%s", diff)
	}
	if plain.String() == coloured.String() {
		t.Error("no colour although it was asked for")
	}
}

func stripEscapes(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == 0x1b {
			for i < len(s) && s[i] != 'm' {
				i++
			}
			continue
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func TestHTML(t *testing.T) {
	var b bytes.Buffer
	if err := HTML(&b, full()); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	golden(t, "full.html", b.Bytes())
	if strings.Contains(page, "<b>hello</b>") {
		t.Error("text from the line reached the page as markup")
	}
	for _, bad := range []string{"<script", "http://", "https://", "src=", "ZgotmplZ"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page contains %q; it must be self-contained and inert", bad)
		}
	}
}

// TestHTMLOfNothing: a verdict with nothing in it still makes a page that says so.
func TestHTMLOfNothing(t *testing.T) {
	var b bytes.Buffer
	if err := HTML(&b, &verdict.Verdict{Version: 1, Kind: "review", Input: "empty", Headline: "Nothing was understood."}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "No rule found anything wrong.") {
		t.Error("the page does not say that nothing was found")
	}
}

func TestJSONFitsItsSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("../../docs/formats/review.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	untimed := full()
	untimed.TimesKnown, untimed.Began = false, ""
	for name, v := range map[string]*verdict.Verdict{
		"full":    full(),
		"untimed": untimed,
		"empty":   {Version: 1, Kind: "check", Input: "x", Headline: "y"},
	} {
		var b bytes.Buffer
		if err := JSON(&b, v); err != nil {
			t.Fatal(err)
		}
		if name == "full" {
			golden(t, "full.json", b.Bytes())
		}
		instance, err := jsonschema.UnmarshalJSON(&b)
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(instance); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestNotKnownIsNull: a time that is not known is null, never 0.
func TestNotKnownIsNull(t *testing.T) {
	v := full()
	v.TimesKnown = false
	var b bytes.Buffer
	if err := JSON(&b, v); err != nil {
		t.Fatal(err)
	}
	var out struct {
		Findings []struct{ Evidence []struct{ T *float64 } }
	}
	if err := json.Unmarshal(b.Bytes(), &out); err != nil {
		t.Fatal(err)
	}
	if out.Findings[0].Evidence[0].T != nil {
		t.Errorf("t is %v; want null", *out.Findings[0].Evidence[0].T)
	}
}

func TestVisible(t *testing.T) {
	for in, want := range map[string]string{
		"AT\r":         "AT␍",
		"hello\x1a":    "hello␚",
		"\xff\x00A":    "‹FF›␀A",
		"Zürich":       "Zürich",
		"plain":        "plain",
		"\x7f":         "␡",
		"a\x1b[31mred": "a␛[31mred", // an escape sequence in a log must not reach the terminal
		// A right-to-left override can make a line read as another.
		"\u202eevil": "‹U+202E›evil",
	} {
		if got := Visible(in); got != want {
			t.Errorf("Visible(%q) = %q, want %q", in, got, want)
		}
	}
}
