package rulebook

import (
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
)

// whole is a rule with nothing missing.
func whole(name string, severity finding.Severity, watch func(p *Pass)) *Rule {
	return &Rule{Name: name, Title: "something is wrong", Severity: severity, Cites: []string{"V.250, 5.6"},
		Doc: "What should happen here.", Silent: "When it does not matter.", Remedy: "Do it the right way.", Watch: watch}
}

// records makes a dialogue of lines: ">AT\r" is the controller's, "<OK" the
// module's, "=note" an event; one a second.
func records(lines ...string) []capture.Record {
	var out []capture.Record
	for i, l := range lines {
		r := capture.Record{Number: i + 1, SourceLine: i + 10, At: when.Instant(i) * when.Second}
		switch l[0] {
		case '>':
			r.From, r.Bytes = capture.Controller, l[1:]
		case '<':
			r.From, r.Bytes = capture.Module, "\r\n"+l[1:]+"\r\n"
		default:
			r.Event = l[1:]
		}
		out = append(out, r)
	}
	return out
}

func review(rules []*Rule, o Options, lines ...string) []finding.Finding {
	j := NewJudge(rules, capture.Info{TimesKnown: true}, o)
	for _, r := range records(lines...) {
		j.Feed(r)
	}
	j.End()
	return j.Findings()
}

func TestPlacesAreLimitedAndCounted(t *testing.T) {
	each := whole("each", finding.Note, func(p *Pass) {
		p.OnAnswered(func(x *dialogue.Exchange) { p.Report("again", p.See(x.Command, "here")) })
	})
	talk := []string{">AT\r", "<OK", ">AT\r", "<OK", ">AT\r", "<OK", ">AT\r", "<OK", ">AT\r", "<OK"}
	found := review([]*Rule{each}, Options{PlacesPerRule: 2}, talk...)
	if len(found) != 2 || found[0].More != 0 || found[1].More != 3 {
		t.Errorf("%d findings, more %d; want 2 places and 3 more at the last", len(found), found[len(found)-1].More)
	}
	if all := review([]*Rule{each}, Options{}, talk...); len(all) != 5 {
		t.Errorf("without a limit %d findings, want 5", len(all))
	}
}

func TestGravestFirstThenInOrder(t *testing.T) {
	at := func(name string, severity finding.Severity, record int) *Rule {
		return whole(name, severity, func(p *Pass) {
			p.OnAnswered(func(x *dialogue.Exchange) {
				if x.Command.Record == record {
					p.Report("wrong", p.See(x.Command, "here"))
				}
			})
		})
	}
	rules := []*Rule{at("noteb", finding.Note, 1), at("errorlate", finding.Error, 5), at("warning", finding.Warning, 3), at("errorearly", finding.Error, 1), at("notea", finding.Note, 1)}
	var got []string
	for _, f := range review(rules, Options{}, ">AT\r", "<OK", ">AT\r", "<OK", ">AT\r", "<OK") {
		got = append(got, f.Rule)
	}
	if want := []string{"errorearly", "errorlate", "warning", "notea", "noteb"}; !slices.Equal(got, want) {
		t.Errorf("order %v, want %v", got, want)
	}
}

func TestEvidenceSaysWhereAndHidesSecrets(t *testing.T) {
	pin := whole("pin", finding.Note, func(p *Pass) {
		p.OnCommand("+CPIN", func(x *dialogue.Exchange, _ *at.Command) { p.Report("a PIN", p.See(x.Command, "here")) })
	})
	found := review([]*Rule{pin}, Options{}, ">AT\r", "<OK", ">AT+CPIN=\"2468\"\r", "<OK")
	if len(found) != 1 {
		t.Fatalf("%d findings, want 1", len(found))
	}
	e := found[0].Evidence[0]
	if e.Record != 3 || e.SourceLine != 12 || e.At != 2*when.Second || e.From != "controller" || e.Note != "here" {
		t.Errorf("evidence %+v", e)
	}
	if strings.Contains(e.Text, "2468") || !strings.HasPrefix(e.Text, "AT+CPIN=") {
		t.Errorf("evidence text %q, want the command with its PIN hidden", e.Text)
	}
}

// TestEventsReachTheirHandlers holds one dialogue and writes down who was called.
func TestEventsReachTheirHandlers(t *testing.T) {
	var log []string
	note := func(s string) { log = append(log, s) }
	all := whole("all", finding.Note, func(p *Pass) {
		p.OnAsked(func(x *dialogue.Exchange) { note("asked " + x.Command.Text) })
		p.OnCommand("+CSQ", func(_ *dialogue.Exchange, c *at.Command) { note("command " + c.Name) })
		p.OnResult("+CMGF", func(_ *dialogue.Exchange, c *at.Command) { note("result " + Name(c)) })
		p.OnInfo("+CSQ", func(_ *dialogue.Exchange, _ dialogue.Line, a at.Answer) { note("info " + a.Params[0].Text) })
		p.OnReport("+CMTI", func(_, _ dialogue.Line, a at.Answer) { note("report " + a.Params[1].Text) })
		p.OnUnsolicited(func(l, b dialogue.Line, _ at.Answer) { note("unasked " + l.Text + b.Text) })
		p.OnPrompted(func(*dialogue.Exchange) { note("prompt") })
		p.OnTexted(func(x *dialogue.Exchange) { note("text " + x.Text.Text) })
		p.OnSentence(func(_ dialogue.Line, s *nmea.Sentence) { note("sentence " + s.Type) })
		p.OnStray(func(l dialogue.Line) { note("stray " + l.Text) })
		p.OnNoted(func(_ dialogue.Line, n string) { note("noted " + n) })
		p.OnEnd(func() { note("end") })
	})
	review([]*Rule{all}, Options{},
		">AT+CSQ;+CMGF=1\r", "<+CSQ: 17,0\r\n\r\nOK", "<+CMTI: \"SM\",4", "=speed 9600",
		"<$GPRMC,101530.00,V,,,,,,,040326,,,N*74", ">AT+CMGS=\"+447700900123\"\r", "<> ", ">hello\x1a", "<+CMGS: 4\r\n\r\nOK", ">what?\r")
	want := []string{
		"asked AT+CSQ;+CMGF=1", "command +CSQ", "result AT+CMGF=1", "info 17",
		`unasked +CMTI: "SM",4`, "report 4", "noted speed 9600", "sentence RMC",
		`asked AT+CMGS="+447700900123"`, "prompt", "text hello", "stray what?", "end",
	}
	if !slices.Equal(log, want) {
		t.Errorf("called:\n%s\nwant:\n%s", strings.Join(log, "\n"), strings.Join(want, "\n"))
	}
}

func TestListenersSeeAndReportNothing(t *testing.T) {
	j := NewJudge(nil, capture.Info{}, Options{})
	count := 0
	j.Listen(func(p *Pass) { p.OnAnswered(func(*dialogue.Exchange) { count++ }) })
	for _, r := range records(">AT\r", "<OK") {
		j.Feed(r)
	}
	j.End()
	if count != 1 || len(j.Findings()) != 0 {
		t.Errorf("heard %d answers and found %d, want 1 and 0", count, len(j.Findings()))
	}
}

// Open says what was open when a command was sent, also when one record asks
// and answers; after a restart nobody can tell.
func TestOpen(t *testing.T) {
	var open []int
	rule := whole("open", finding.Note, func(p *Pass) {
		p.OnAsked(func(*dialogue.Exchange) { open = append(open, len(p.Open())) })
	})
	review([]*Rule{rule}, Options{}, ">AT+CGATT=1\r", ">AT+CSQ\r", "<OK", "<+CSQ: 17,0\r\n\r\nOK", ">AT+CSQ\r", "<+CSQ: 17,0\r\n\r\nOK",
		">AT+CGATT=1\r", "<DEMO READY", ">AT+CSQ\r")
	if want := []int{0, 1, 0, 0, 0}; !slices.Equal(open, want) {
		t.Errorf("open %v, want %v", open, want)
	}
}

func TestBannersReachTheWitness(t *testing.T) {
	j := NewJudge(nil, capture.Info{}, Options{Banners: []string{"^DEMOSTART"}})
	for _, r := range records(">AT\r", "<OK", "<^DEMOSTART", ">AT\r", "<OK") {
		j.Feed(r)
	}
	if _, ok := j.Known().LastRestart(); !ok {
		t.Error("the line of the sheet was not taken for a start")
	}
}

func TestValidate(t *testing.T) {
	good := whole("good", finding.Warning, func(*Pass) {})
	if err := Validate(good); err != nil {
		t.Errorf("a whole rule: %v", err)
	}
	for _, c := range []struct {
		break_ func(r *Rule)
		want   string
	}{
		{func(r *Rule) { r.Name = "Good" }, "name"},
		{func(r *Rule) { r.Name = "" }, "name"},
		{func(r *Rule) { r.Title = "Something" }, "small letter"},
		{func(r *Rule) { r.Title = "something." }, "full stop"},
		{func(r *Rule) { r.Title = strings.Repeat("x", longestTitle+1) }, "bytes"},
		{func(r *Rule) { r.Severity = 0 }, "severity"},
		{func(r *Rule) { r.Doc = "" }, "doc"},
		{func(r *Rule) { r.Silent = "never" }, "silent"},
		{func(r *Rule) { r.Remedy = "" }, "remedy"},
		{func(r *Rule) { r.Cites = nil }, "cites"},
		{func(r *Rule) { r.Cites = []string{"V.250"} }, "clause"},
		{func(r *Rule) { r.Watch = nil }, "watch"},
	} {
		r := *good
		c.break_(&r)
		if err := Validate(&r); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want a word about %q", r.Title, err, c.want)
		}
	}
	pin := *good
	pin.Title = "PIN wanted"
	if err := Validate(&pin); err != nil {
		t.Errorf("an abbreviation may begin a title: %v", err)
	}
}

func TestSpan(t *testing.T) {
	for _, c := range []struct {
		d    time.Duration
		want string
	}{
		{0, "0 ms"}, {20 * time.Millisecond, "20 ms"}, {time.Second, "1 s"}, {2700 * time.Millisecond, "2.7 s"},
		{90 * time.Second, "90 s"}, {99960 * time.Millisecond, "1 min 40 s"}, {200 * time.Second, "3 min 20 s"}, {time.Hour, "1 h"},
		{5*time.Hour + 2*time.Minute, "5 h 2 min"}, {51 * time.Hour, "2 days 3 h"}, {-time.Second, "-1 s"},
	} {
		if got := Span(c.d); got != c.want {
			t.Errorf("Span(%v) = %q, want %q", c.d, got, c.want)
		}
	}
	if got := Count(129600); got != "129,600" {
		t.Errorf("Count: %s", got)
	}
	if got := Count(-1234567); got != "-1,234,567" {
		t.Errorf("Count: %s", got)
	}
}

func TestNamesHideSecretsAndNumbers(t *testing.T) {
	for line, want := range map[string]string{
		"AT+CMGF=1": "AT+CMGF=1", "AT+CPIN=2468": "AT+CPIN", `AT+CMGS="+447700900123"`: "AT+CMGS", "AT+COPS=?": "AT+COPS=?",
		"ATE0": "ATE0", "AT+CSQ": "AT+CSQ", "AT+CREG?": "AT+CREG?", "AT+CMEE=2;+CSQ": "AT+CSQ", "AT": "AT", "A/": "A/",
		"AT+CGAUTH=1,1": "AT+CGAUTH", "AT+CSMP=17,167,0,0": "AT+CSMP=17,167,0,0", "ATD07700900123;": "ATD",
	} {
		if got := LineName(&dialogue.Exchange{Parsed: at.ParseLine(line)}); got != want {
			t.Errorf("%s is named %s, want %s", line, got, want)
		}
	}
}

// The codes and their verbose words are those of 27.007 9.2.1 and 27.005 3.2.5.
func TestFailures(t *testing.T) {
	for line, want := range map[string]int{
		"+CME ERROR: 10": 10, "+CME ERROR: SIM not inserted": 10, "+CMS ERROR: 330": 330, "+CME ERROR: what a day": -1, "ERROR": -1,
	} {
		r, _ := at.ParseResult(line)
		if got := Code(r); got != want {
			t.Errorf("%s has code %d, want %d", line, got, want)
		}
	}
	r, _ := at.ParseResult("+CMS ERROR: 330")
	if !IsCMS(r, 322, 330) || IsCME(r, 330) || !strings.HasPrefix(Failure(r), "+CMS ERROR: 330 (") {
		t.Errorf("330: %v %v %q", IsCMS(r, 330), IsCME(r, 330), Failure(r))
	}
}

func TestTransmits(t *testing.T) {
	for line, want := range map[string]bool{
		`AT+CMGS="+447700900123"`: true, "AT+CMGS=?": false, "AT+COPS=0": true, "AT+COPS=3,2": false, "AT+COPS?": false, "AT+COPS=?": false,
		"AT+CFUN=1": true, "AT+CFUN=4": false, "AT+CGATT=1": true, "AT+CGATT=0": false, "ATD07700900123;": true, "AT+CSQ": false,
	} {
		l := at.ParseLine(line)
		if got := Transmits(&l.Commands[0]); got != want {
			t.Errorf("%s transmits: %v, want %v", line, got, want)
		}
	}
}

func TestHoldsCommand(t *testing.T) {
	for text, want := range map[string]bool{
		"alarm\rAT+CMGS=\"+447700900123\"": true, "alarmAT+CSQ\r": true, "alarm\rAT\r": true, "alarm\rATE0\r": true,
		"TRAILER\rAT THE MILL": false, "AT+5 MIN": false, "look at+me": false, "STAT+OK": false, "AT": false, "BAT+CHG 5": false,
		"ALARMAT+CMGS=\"+447700900123\"": true,
	} {
		if got := HoldsCommand(text); got != want {
			t.Errorf("%q holds a command: %v, want %v", text, got, want)
		}
	}
}

func TestLimits(t *testing.T) {
	// +CMGS must outlast timer TR1M, 35 to 45 s: 3GPP TS 24.011 10.1.
	if got := Limit(at.ParseLine(`AT+CMGS="+447700900123"`)); got < 45*time.Second {
		t.Errorf("+CMGS is given %v, the network may take 45 s", got)
	}
	if long, short := Limit(at.ParseLine("AT+COPS=?")), Limit(at.ParseLine("AT+CSQ")); long <= short {
		t.Errorf("a search is given %v, a question %v", long, short)
	}
}
