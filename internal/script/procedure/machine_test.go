package procedure

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"firstfix/internal/maybe"
	"firstfix/internal/when"
	"firstfix/internal/wire/sheet"
)

// said is something the module says after a delay.
type said struct {
	afterMS int
	text    string
}

// module is a scripted module: it answers what it is sent, in order of the first fitting entry.
type module struct {
	answers map[string][]said // by what was sent
	queue   []struct {
		at   when.Instant
		text string
	}
	transcript []string
}

func (f *module) sent(now when.Instant, b []byte) {
	text := string(b)
	f.transcript = append(f.transcript, fmt.Sprintf("%s > %s", now, strings.Trim(fmt.Sprintf("%q", text), `"`)))
	for _, a := range f.answers[text] {
		f.queue = append(f.queue, struct {
			at   when.Instant
			text string
		}{now.Add(ms(a.afterMS)), a.text})
	}
}

// run drives a machine against the module in simulated time. Cut gives the module's
// bytes one by one, tickMS ticks more often than was asked for.
func (f *module) run(t testing.TB, m *Machine, cut bool, tickMS int) string {
	t.Helper()
	now := when.Instant(0)
	nextTick := when.Instant(0)
	for moves := 0; !m.Done(); moves++ {
		if moves > 1_000_000 {
			t.Fatal("the run does not end")
		}
		at, _ := m.Deadline()
		if tickMS > 0 {
			at = min(at, nextTick)
		}
		if len(f.queue) > 0 && f.queue[0].at <= at {
			now = f.queue[0].at
			text := f.queue[0].text
			f.queue = f.queue[1:]
			if !cut {
				if out := m.Feed(now, []byte(text), nil); len(out) > 0 {
					f.sent(now, out)
				}
				continue
			}
			for i := range len(text) {
				if out := m.Feed(now, []byte(text[i:i+1]), nil); len(out) > 0 {
					f.sent(now, out)
				}
			}
			continue
		}
		now = max(now, at)
		if tickMS > 0 && now >= nextTick {
			nextTick = now.Add(ms(tickMS))
		}
		if out := m.Tick(now, nil); len(out) > 0 {
			f.sent(now, out)
		}
	}
	var b strings.Builder
	for _, l := range f.transcript {
		fmt.Fprintln(&b, l)
	}
	for _, r := range m.Log() {
		fmt.Fprintf(&b, "%s: %s after %.0f ms, tries %d", r.Step, r.Outcome, r.TookMS(), r.Tries)
		if r.Why != "" {
			fmt.Fprintf(&b, " (%s)", r.Why)
		}
		if len(r.Info) > 0 {
			fmt.Fprintf(&b, " %q", r.Info)
		}
		fmt.Fprintln(&b)
	}
	return b.String()
}

// Each case is a small procedure, a scripted module, and the whole dialogue that
// follows, written by hand from V.250 and 27.005.
var dialogues = []struct {
	name    string
	steps   []Step
	budget  Budget
	options Options
	answers map[string][]said
	want    string
}{
	{
		name:  "the next command waits for the final result and 100 ms (V.250 5.5)",
		steps: []Step{{Send: "AT+CSQ"}, {Send: "AT+CREG?"}},
		answers: map[string][]said{
			"AT+CSQ\r":   {{30, "\r\n+CSQ: 17,0\r\n"}, {400, "\r\nOK\r\n"}},
			"AT+CREG?\r": {{20, "AT+CREG?\r\r\n+CREG: 0,1\r\n\r\nOK\r\n"}},
		},
		want: `
0.000 > AT+CSQ\r
0.500 > AT+CREG?\r
step 1: ok after 400 ms, tries 1 ["+CSQ: 17,0"]
step 2: ok after 20 ms, tries 1 ["+CREG: 0,1"]
`,
	},
	{
		name:   "the text waits for the prompt (27.005 3.5.1)",
		steps:  []Step{{Name: "send", Send: `AT+CMGS="{number}"`, Text: "OK", Await: &Await{Line: "+CMTI", MaxWaitMS: 9000}}},
		budget: Budget{Texts: 1}, options: Options{Spend: 1, Values: map[string]string{"number": "+12025550143"}},
		answers: map[string][]said{
			"AT+CMGS=\"+12025550143\"\r": {{5, "AT+CMGS=\"+12025550143\"\r"}, {250, "\r\n> "}},
			// Echo is on: the text comes back too, and it reads OK without being a result.
			"OK\x1a": {{5, "OK\x1a\r\n"}, {3000, "\r\n+CMGS: 12\r\n\r\nOK\r\n"}, {5000, "\r\n+CMTI: \"SM\",3\r\n"}},
		},
		want: `
0.000 > AT+CMGS=\"+12025550143\"\r
0.350 > OK\x1a
send: ok after 5350 ms, tries 1 ["+CMGS: 12" "+CMTI: \"SM\",3"]
`,
	},
	{
		name:   "no prompt: text entry is left with ESC, the text is not sent",
		steps:  []Step{{Send: `AT+CMGS="+12025550143"`, Text: "trailer 07", On: On{NoAnswer: "continue"}}, {Send: "AT"}},
		budget: Budget{Texts: 1}, options: Options{Free: true},
		answers: map[string][]said{"AT\r": {{10, "\r\nOK\r\n"}}},
		want: `
0.000 > AT+CMGS=\"+12025550143\"\r
5.000 > \x1b
5.200 > AT\r
step 1: no answer after 5100 ms, tries 1 (no prompt within 5s)
step 2: ok after 10 ms, tries 1
`,
	},
	{
		name:   "an error in place of the prompt",
		steps:  []Step{{Send: `AT+CMGS="+12025550143"`, Text: "trailer 07"}},
		budget: Budget{Texts: 1}, options: Options{Free: true},
		answers: map[string][]said{"AT+CMGS=\"+12025550143\"\r": {{10, "\r\n+CMS ERROR: 310\r\n"}}},
		want: `
0.000 > AT+CMGS=\"+12025550143\"\r
step 1: failed after 10 ms, tries 1 (+CMS ERROR: 310)
`,
	},
	{
		name:   "the prompt is proved and nothing is sent",
		steps:  []Step{{Send: `AT+CMGW`, Cancel: true}},
		budget: Budget{}, options: Options{},
		answers: map[string][]said{"AT+CMGW\r": {{10, "\r\n> "}}, "\x1b": {{20, "\r\nOK\r\n"}}},
		want: `
0.000 > AT+CMGW\r
0.110 > \x1b
step 1: ok after 130 ms, tries 1
`,
	},
	{
		name:    "tries with growing pauses",
		steps:   []Step{{Send: "AT", MaxWaitMS: 1000, Tries: 4, BackoffMS: 500, MaxBackoffMS: 1500}},
		answers: map[string][]said{},
		want: `
0.000 > AT\r
1.500 > AT\r
3.500 > AT\r
6.000 > AT\r
step 1: no answer after 1000 ms, tries 4 (no final result within 1s)
`,
	},
	{
		name: "polled until the value is there, then a branch",
		steps: []Step{
			{Name: "poll", Send: "AT+CREG?", Until: &Until{Answer: "+CREG", Param: 2, OneOf: []string{"1", "5"}}, Tries: 2, BackoffMS: 1000, On: On{NotYet: "goto other"}},
			{Name: "unreached", Send: "AT+CSQ"},
			{Name: "other", Send: "AT+CEREG?", Until: &Until{Answer: "+CEREG", Param: 2, OneOf: []string{"1", "5"}}, On: On{OK: "done"}},
			{Name: "unreached too", Send: "AT+CSQ"},
		},
		answers: map[string][]said{
			// A report of its own (one value) is not the answer (two values): 27.007 7.2.
			"AT+CREG?\r":  {{10, "\r\n+CREG: 0,2\r\n\r\n+CREG: 1\r\n\r\nOK\r\n"}},
			"AT+CEREG?\r": {{10, "\r\n+CEREG: 0,5\r\n\r\nOK\r\n"}},
		},
		want: `
0.000 > AT+CREG?\r
1.010 > AT+CREG?\r
1.120 > AT+CEREG?\r
poll: not yet after 10 ms, tries 2 (+CREG value 2 is not 1 or 5) ["+CREG: 0,2" "+CREG: 1"]
other: ok after 10 ms, tries 1 ["+CEREG: 0,5"]
`,
	},
	{
		name: "a value is kept and used",
		steps: []Step{
			{Send: "AT+CMGL=\"ALL\"", Capture: []Capture{{Name: "index", Answer: "+CMGL", Param: 1}}},
			{Send: "AT+CMGR={index}"},
		},
		answers: map[string][]said{
			// The body of a message may read OK: 27.005 3.4.2 gives header and body a line each.
			"AT+CMGL=\"ALL\"\r": {{10, "\r\n+CMGL: 7,\"REC READ\",\"+12025550143\",,\"26/03/04,10:15:30+00\"\r\nOK\r\n\r\nOK\r\n"}},
			"AT+CMGR=7\r":       {{10, "\r\nERROR\r\n"}},
		},
		want: `
0.000 > AT+CMGL=\"ALL\"\r
0.110 > AT+CMGR=7\r
step 1: ok after 10 ms, tries 1 ["+CMGL: 7,\"REC READ\",\"+12025550143\",,\"26/03/04,10:15:30+00\"" "OK"]
step 2: failed after 10 ms, tries 1 (ERROR)
`,
	},
	{
		name: "things that come unasked",
		steps: []Step{
			{Name: "banner", Await: &Await{Line: "DEMO READY", MaxWaitMS: 5000}},
			{Name: "stream", Duty: "position.stream", Await: &Await{Sentence: "RMC"}},
			{Name: "text", Await: &Await{Line: "+CMT", MaxWaitMS: 3000}, On: On{NoAnswer: "continue"}},
			{Name: "quiet", Duty: "position.stream-off", Await: &Await{QuietMS: 700, MaxWaitMS: 5000}},
		},
		answers: map[string][]said{
			"": {},
			"AT+DEMONMEA=1\r": {{10, "\r\nOK\r\n"}, {300, "$GPGSV,1,1,00*79\r\n"}, {310, "$GPRMC,,V,,,,,,,,,,N*53\r\n"},
				{1000, "\r\n+CMT: \"+12025550143\",,\"26/03/04,10:15:30+00\"\r\nwhere is trailer 07\r\n"}},
			"AT+DEMONMEA=0\r": {{10, "\r\nOK\r\n"}, {500, "$GPGSV,1,1,00*79\r\n"}},
		},
		options: Options{},
		want: `
2.100 > AT+DEMONMEA=1\r
3.200 > AT+DEMONMEA=0\r
banner: ok after 2000 ms, tries 1 ["DEMO READY"]
stream: ok after 310 ms, tries 1 ["$GPRMC,,V,,,,,,,,,,N*53"]
text: ok after 590 ms, tries 1 ["+CMT: \"+12025550143\",,\"26/03/04,10:15:30+00\"" "where is trailer 07"]
quiet: ok after 1200 ms, tries 1
`,
	},
	{
		name: "what was left open is left: text entry by ESC (27.005 3.5.1), data by +++ in silence",
		steps: []Step{
			{Send: "AT", Escape: EscapeText, MaxWaitMS: 500, On: On{NoAnswer: "continue"}},
			{Send: "AT", Escape: EscapeData, MaxWaitMS: 500},
		},
		answers: map[string][]said{"+++": {{600, "\r\nOK\r\n"}}, "\x1b\r": {{20, "\r\nOK\r\n"}}},
		want: `
0.000 > \x1b\r
0.200 > AT\r
2.000 > +++
3.200 > AT\r
step 1: no answer after 500 ms, tries 1 (no final result within 500ms)
step 2: no answer after 500 ms, tries 1 (no final result within 500ms)
`,
	},
	{
		name:   "the time for the whole is used up",
		steps:  []Step{{Send: "AT", MaxWaitMS: 400, On: On{NoAnswer: "goto step 1"}}},
		budget: Budget{MaxTotalMS: 1200},
		want: `
0.000 > AT\r
0.500 > AT\r
1.000 > AT\r
step 1: no answer after 400 ms, tries 1 (no final result within 400ms)
step 1: no answer after 400 ms, tries 1 (no final result within 400ms)
step 1: stopped after 200 ms, tries 1 (the time for the whole procedure, 1.2s, is used up)
`,
	},
	{
		name:  "digits are results only where words never were (ATV0, V.250 6.2.6)",
		steps: []Step{{Send: "ATV0"}, {Send: "ATV1"}, {Send: "AT+X"}},
		answers: map[string][]said{
			"ATV0\r": {{10, "0\r"}},
			"ATV1\r": {{10, "\r\nOK\r\n"}},
			"AT+X\r": {{10, "\r\n4\r\n\r\nOK\r\n"}},
		},
		want: `
0.000 > ATV0\r
0.110 > ATV1\r
0.220 > AT+X\r
step 1: ok after 10 ms, tries 1
step 2: ok after 10 ms, tries 1
step 3: ok after 10 ms, tries 1 ["4"]
`,
	},
}

// Cutting does not matter, ticking does not matter: the four runs give the same.
func TestDialogues(t *testing.T) {
	demo, _ := sheet.Builtin("demo")
	for _, d := range dialogues {
		t.Run(d.name, func(t *testing.T) {
			for _, way := range []struct {
				cut    bool
				tickMS int
			}{{false, 0}, {true, 0}, {false, 7}, {true, 3}} {
				d.options.Sheet = demo
				m, err := New(&Procedure{Name: "p", Budget: d.budget, Steps: d.steps}, d.options)
				if err != nil {
					t.Fatal(err)
				}
				f := &module{answers: d.answers}
				if d.answers[""] != nil {
					f.queue = append(f.queue, struct {
						at   when.Instant
						text string
					}{2 * when.Second, "\r\nDEMO READY\r\n"})
				}
				if got := f.run(t, m, way.cut, way.tickMS); got != d.want[1:] {
					t.Errorf("%+v:\n%s\nwant\n%s", way, got, d.want[1:])
				}
			}
		})
	}
}

// What must never happen (DESIGN): money, lock-outs, harm, without the person's word.
func TestGuards(t *testing.T) {
	for _, test := range []struct {
		send, text string
		options    Options
		texts      int
		why        string // "" when it may be sent
	}{
		{send: `AT+CMGS="+12025550143"`, text: "x", texts: 1, why: "+CMGS is a text (TS 27.005, 3.5.1): 0 allowed for this run, 0 used"},
		{send: `AT+CMGS="+12025550143"`, text: "x", texts: 1, options: Options{Spend: 1}},
		{send: `AT+CMGS="+12025550143"`, text: "x", texts: 0, options: Options{Spend: 5}, why: "+CMGS is a text (TS 27.005, 3.5.1): 0 allowed for this run, 0 used"},
		{send: `AT+CMGS="+12025550143"`, text: "x", texts: 1, options: Options{Free: true}},
		{send: "ATD+12025550143;", why: "D is a call or a data session (V.250, 6.3.1): 0 allowed for this run, 0 used"},
		{send: "AT+CSQ;+CMSS=1;+CMSS=2", texts: 1, options: Options{Spend: 1}, why: "+CMSS is a stored text (TS 27.005, 3.5.2): 1 allowed for this run, 0 used"},
		{send: "AT+CGACT=1,1", why: "+CGACT is a data session (TS 27.007, 10.1.10): 0 allowed for this run, 0 used"},
		{send: "AT+CGACT=0,1"},
		{send: "AT+CMGS=?"},
		{send: "AT+CMOLR=1,0,0,,0,,,0,1,10,10"},
		{send: "AT+CMOLR=1,1", why: "+CMOLR is a position request that may go through the network (TS 27.007, 8.50): 0 allowed for this run, 0 used"},
		{send: `AT+CPIN="0000"`, why: "+CPIN with a PIN that was not given for this run"},
		{send: `AT+CPIN="0000"`, options: Options{PIN: "1234"}, why: "+CPIN with a PIN that was not given for this run"},
		{send: `AT+CPIN="{pin}"`, options: Options{PIN: "1234"}},
		{send: `AT+CPIN="{pin}"`, options: Options{PIN: "1234", PINTriesLeft: maybe.Known(2)}},
		{send: `AT+CPIN="{pin}"`, options: Options{PIN: "1234", PINTriesLeft: maybe.Known(1)}, why: "+CPIN with 1 tries left: fewer than two are never used"},
		{send: `AT+CPIN="12345678","{pin}"`, options: Options{PIN: "1234"}, why: "+CPIN with two values gives a PUK: firstfix never sends one"},
		{send: "AT+CPIN?"},
		{send: "AT&F", why: "&F is a factory reset (V.250, 6.1.2): it is sent only when the person typed it for this run"},
		{send: "ATZ&F0", why: "&F0 is a factory reset (V.250, 6.1.2): it is sent only when the person typed it for this run"},
		{send: "AT&F", options: Options{Typed: []string{"AT&F"}}},
		{send: "AT+IPR=9600", why: "+IPR=9600 is a new line speed (V.250, 6.2.10): it is sent only when the person typed it for this run"},
		{send: "AT+IPR?"},
		{send: "ATE0&W", why: "&W is saving settings in the module (common practice, no source): it is sent only when the person typed it for this run"},
		{send: `AT+CLCK="SC",2`},
		{send: `AT+CLCK="SC",0,"1234"`, why: `+CLCK="SC",0,"1234" is a lock or its password (TS 27.007, 7.4): it is sent only when the person typed it for this run`},
		{send: "A/", why: "A/ repeats a line unseen: it is never sent"},
		{send: "+CMGS={number}", options: Options{Values: map[string]string{"number": "1"}}, why: `what cannot be read cannot be judged: at: byte 0 of "+CMGS=1": want AT, at or A/ at the start (V.250 5.2.1)`},
		{send: "AT+X={nothing}", why: "no value for {nothing}"},
		{send: "AT+X={bad}", options: Options{Values: map[string]string{"bad": "1\rAT+CMGS=1"}}, why: "a value put into the command holds what a command line cannot"},
		{send: "AT+X={bad}", options: Options{Values: map[string]string{"bad": "1;D123"}}, why: "D is a call or a data session (V.250, 6.3.1): 0 allowed for this run, 0 used"},
		{send: `AT+CMGS="+12025550143"`, text: "{bad}", texts: 1, options: Options{Free: true, Values: map[string]string{"bad": "a\x1aAT"}}, why: "a value put into the text holds Ctrl-Z, ESC or NUL"},
	} {
		m, err := New(&Procedure{Name: "p", Budget: Budget{Texts: test.texts}, Steps: []Step{{Send: test.send, Text: test.text}}}, test.options)
		if err != nil {
			t.Errorf("%s: %v", test.send, err)
			continue
		}
		out := m.Tick(0, nil)
		if test.why == "" {
			if len(out) == 0 {
				t.Errorf("%s was not sent: %s", test.send, m.Log()[0].Why)
			}
			continue
		}
		if len(out) != 0 || len(m.Log()) != 1 || m.Log()[0].Outcome != Refused || m.Log()[0].Why != test.why {
			t.Errorf("%s: sent %q, log %+v; want refused because %q", test.send, out, m.Log(), test.why)
		}
	}
}

// A PIN is tried once in a run, whatever the procedure says, and stands in no log.
func TestPINOnce(t *testing.T) {
	p := &Procedure{Name: "p", Steps: []Step{{Name: "pin", Send: `AT+CPIN="{pin}"`, Tries: 3, On: On{Failed: "goto pin"}}}}
	m, err := New(p, Options{PIN: "1234"})
	if err != nil {
		t.Fatal(err)
	}
	f := &module{answers: map[string][]said{"AT+CPIN=\"1234\"\r": {{10, "\r\n+CME ERROR: 16\r\n"}}}}
	got := f.run(t, m, false, 0)
	if strings.Count(got, "> AT+CPIN") != 1 {
		t.Errorf("the PIN was sent more than once:\n%s", got)
	}
	for _, r := range m.Log() {
		if strings.Contains(r.Sent, "1234") {
			t.Errorf("the log holds the PIN: %+v", r)
		}
	}
}

// Whatever the module says, the controller never sends a command while one is
// open: between two commands stands a final result or the limit.
func TestNeverOverlaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pieces := []string{"OK\r\n", "\r\n", "ERROR\r\n", "+CREG: 1\r\n", "\x00\xff", "> ", "AT+CSQ\r", "+CMS ERROR: 500\r\n", "$GPRMC,1*00\r\n", "RING\r\n", "0\r"}
		p := &Procedure{Name: "p", Budget: Budget{Texts: 3, MaxTotalMS: 600_000}, Steps: []Step{
			{Send: "AT+CSQ", MaxWaitMS: 1000, Tries: 2, BackoffMS: 10, On: On{Failed: "continue", NoAnswer: "continue"}},
			{Send: `AT+CMGS="1"`, Text: "hello", MaxWaitMS: 3000, On: On{Failed: "continue", NoAnswer: "continue"}},
			{Send: "AT+CREG?", MaxWaitMS: 1000, On: On{Failed: "continue", NoAnswer: "continue"}, Await: &Await{Line: "RING", MaxWaitMS: 500}},
			{Send: "AT", MaxWaitMS: 1000},
		}}
		m, err := New(p, Options{Free: true})
		if err != nil {
			t.Fatal(err)
		}
		now, lastSent := when.Instant(0), when.Instant(-1)
		closed := true // a final result or the limit came since the last command
		said := ""
		for range 400 {
			if m.Done() {
				break
			}
			at, _ := m.Deadline()
			var out []byte
			if step := when.Instant(rapid.Int64Range(0, 400).Draw(t, "ms")) * when.Millisecond; rapid.Bool().Draw(t, "speak") && now+step < at {
				now += step
				piece := rapid.SampledFrom(pieces).Draw(t, "piece")
				said += piece
				out = m.Feed(now, []byte(piece), nil)
				closed = closed || strings.Contains(said, "OK\r") || strings.Contains(said, "ERROR") || strings.Contains(said, "0\r")
			} else {
				now = max(now, at)
				out = m.Tick(now, nil)
			}
			if strings.HasPrefix(string(out), "AT") {
				if !closed && now.Sub(lastSent) < ms(1000) {
					t.Fatalf("%q sent %v after the last command without a final result; the module said %q", out, now.Sub(lastSent), said)
				}
				closed, lastSent, said = false, now, ""
			}
		}
	})
}

func FuzzFeed(f *testing.F) {
	f.Add([]byte("\r\nOK\r\n\r\n> \r\n+CMGS: 1\r\n\r\nOK\r\n"), uint64(1))
	f.Add([]byte("\x00\xff\x1a> > > +CMT:\r\n"), uint64(2))
	f.Add([]byte(strings.Repeat("x", MaxLine+10)), uint64(3))
	f.Fuzz(func(t *testing.T, b []byte, seed uint64) {
		m, err := New(&Procedure{Name: "p", Budget: Budget{Texts: 9}, Steps: []Step{
			{Send: `AT+CMGS="1"`, Text: "hello", Tries: 2, On: On{Failed: "continue", NoAnswer: "continue"}},
			{Send: "AT+CREG?", Until: &Until{Answer: "+CREG", Param: 2, OneOf: []string{"1"}}, Tries: 3, On: On{NotYet: "continue"}},
			{Send: "AT", Await: &Await{QuietMS: 100}},
		}}, Options{Free: true})
		if err != nil {
			t.Fatal(err)
		}
		r := rand.New(rand.NewPCG(seed, seed))
		now := when.Instant(0)
		for len(b) > 0 {
			n := min(len(b), 1+r.IntN(40))
			now += when.Instant(r.Int64N(2e9))
			m.Feed(now, b[:n], nil)
			b = b[n:]
		}
		for i := 0; !m.Done(); i++ {
			at, why := m.Deadline()
			if at == when.Never || why == "" || i > 1000 {
				t.Fatalf("a machine that is not done has deadline %v, %q", at, why)
			}
			m.Tick(max(now, at), nil)
		}
	})
}
