package bringup

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/when"
	"firstfix/internal/wire/sheet"
)

// A puppet is a module on strings: fixed answers by command, sentences by the second, and
// nothing else. It is not the stand-in (virtual/module), which this package must not know.
type puppet struct {
	answers  map[string]string // by command line; "" in it is the answer to any other
	bootS    float64           // silent before
	streamOn when.Instant      // sentences began; 0 for never
	fixAfter float64           // seconds from then on to the fix; 0: at once; below 0: never
	faint    bool
	baud     int      // 0: hears at any speed
	noisy    bool     // at another speed it sends noise; else it keeps silent
	refuse   string   // what a text is answered with
	heard    []string // command lines and texts, in order
	changes  func(p *puppet, now when.Instant, line string) (answer string, ok bool)
	buf      string
	text     bool // a prompt is open
	queue    []queued
}

type queued struct {
	at   when.Instant
	text string
}

func (p *puppet) say(at when.Instant, text string) {
	p.queue = append(p.queue, queued{at, text})
	slices.SortStableFunc(p.queue, func(a, b queued) int { return int(a.at - b.at) })
}

func (p *puppet) feed(now when.Instant, b []byte) {
	if now.Seconds() < p.bootS {
		return
	}
	for _, c := range b {
		switch {
		case p.text && (c == 0x1a || c == 0x1b):
			p.heard = append(p.heard, p.buf+string(rune(c)))
			if c == 0x1a {
				if p.refuse != "" {
					p.say(now+when.Second, "\r\n"+p.refuse+"\r\n")
					p.buf, p.text = "", false
					continue
				}
				p.say(now+3*when.Second, "\r\n+CMGS: 9\r\n\r\nOK\r\n")
				p.answers[`AT+CMGL="REC UNREAD"`] = "+CMGL: 4,\"REC UNREAD\",\"+447700900123\",,\"26/03/04,10:15:30+00\"\r\n" + p.buf
			}
			p.buf, p.text = "", false
		case c == '\r' && !p.text:
			p.line(now, p.buf)
			p.buf = ""
		default:
			p.buf += string(rune(c))
		}
	}
}

func (p *puppet) line(now when.Instant, line string) {
	line = strings.Trim(line, "\x1b+")
	if line == "" {
		return
	}
	p.heard = append(p.heard, line)
	later := now + 20*when.Millisecond
	if p.changes != nil {
		if answer, ok := p.changes(p, now, line); ok {
			p.say(later, answer)
			return
		}
	}
	switch {
	case strings.HasPrefix(line, "AT+CMGS="):
		p.say(later, "\r\n> ")
		p.text = true
		return
	case line == "AT+DEMONMEA=1":
		p.streamOn = now
	case line == "AT+DEMONMEA=0":
		p.streamOn = 0
	}
	answer, ok := p.answers[line]
	switch {
	case strings.HasPrefix(answer, "+CME ERROR") || strings.HasPrefix(answer, "ERROR"):
		p.say(later, "\r\n"+answer+"\r\n")
	case ok && answer != "":
		p.say(later, "\r\n"+answer+"\r\n\r\nOK\r\n")
	default:
		p.say(later, "\r\nOK\r\n")
	}
}

// sentences are those of one second, with real checksums (XOR of the bytes between $ and *, IEC 61162-1).
func (p *puppet) sentences(now when.Instant) string {
	age := now.Sub(p.streamOn).Seconds()
	valid := p.fixAfter >= 0 && age >= p.fixAfter
	stamp := fmt.Sprintf("10%02d%02d.00", 15+int(now.Seconds())/60%45, int(now.Seconds())%60)
	rmc := "GPRMC," + stamp + ",V,,,,,,,040326,,,N"
	if valid {
		rmc = "GPRMC," + stamp + ",A,5237.10400,N,00916.41000,E,0.0,,040326,,,A"
	}
	gsv := "GPGSV,1,1,04,04,60,045,46,05,40,110,43,13,30,250,41,23,70,180,48"
	if p.faint {
		gsv = "GPGSV,1,1,02,07,31,210,21,13,50,030,18"
	}
	var b strings.Builder
	for _, s := range []string{rmc, gsv} {
		sum := byte(0)
		for i := range len(s) {
			sum ^= s[i]
		}
		fmt.Fprintf(&b, "$%s*%02X\r\n", s, sum)
	}
	return b.String()
}

// walk lets a walker talk to a puppet in simulated time.
func walk(t *testing.T, p *puppet, o WalkOptions, cut bool, tick time.Duration) (*Walker, *verdict.Verdict) {
	t.Helper()
	if o.Sheet == nil {
		o.Sheet, _ = sheet.Builtin("demo")
	}
	w := NewWalker(o)
	now, nextTick, nextSecond := when.Instant(0), when.Instant(0), when.Second
	give := func(b []byte) {
		if p.baud > 0 && w.Baud() > 0 && p.baud != w.Baud() {
			if p.noisy && len(b) > 0 && now.Seconds() >= p.bootS {
				p.say(now+20*when.Millisecond, "\x18\xff\x80\xe6\x98\xfe\x00\x86")
			}
			return
		}
		if len(b) > 0 {
			p.feed(now, b)
		}
	}
	for steps := 0; !w.Done(); steps++ {
		if steps > 3_000_000 {
			t.Fatal("the walk does not end")
		}
		due, why := w.Deadline()
		if due == when.Never || why == "" {
			t.Fatalf("a walk that goes on has deadline %v, %q", due, why)
		}
		if tick > 0 {
			due = min(due, nextTick)
		}
		heard := ""
		switch {
		case len(p.queue) > 0 && p.queue[0].at <= min(due, nextSecond):
			now, heard = max(now, p.queue[0].at), p.queue[0].text
			p.queue = p.queue[1:]
		case nextSecond <= due:
			now = max(now, nextSecond)
			nextSecond += when.Second
			if p.streamOn > 0 {
				heard = p.sentences(now)
			}
		default:
			now = max(now, due)
			if tick > 0 {
				nextTick = now.Add(tick)
			}
			give(w.Tick(now, nil))
		}
		if !cut && heard != "" {
			give(w.Feed(now, []byte(heard), nil))
			continue
		}
		for i := range len(heard) {
			give(w.Feed(now, []byte(heard[i:i+1]), nil))
		}
	}
	v, err := CheckVerdict(w.Source(), w.Walked(), Options{Rules: rules.All, Sheet: o.Sheet, Input: "a puppet", Simulated: true})
	if err != nil {
		t.Fatal(err)
	}
	checkSound(t, v)
	return w, v
}

// healthy is a module with which nothing is wrong.
func healthy() *puppet {
	return &puppet{bootS: 2, answers: map[string]string{
		"ATI": "demo module", "AT+CGMM": "demo", "AT+CMEE?": "+CMEE: 0", "AT+CFUN?": "+CFUN: 1", "AT+CBC": "+CBC: 0,71,3870",
		"AT+CPIN?": "+CPIN: READY", "AT+CSQ": "+CSQ: 21,0", "AT+CREG?": "+CREG: 0,1", "AT+CGREG?": "+CGREG: 0,1", "AT+CEREG?": "ERROR",
		"AT+COPS?": `+COPS: 0,0,"Moorfunk"`, "AT+CMGF?": "+CMGF: 0", "AT+CSCS?": `+CSCS: "GSM"`, "AT+CSMP?": "+CSMP: 17,167,0,0",
		"AT+CSCA?": `+CSCA: "+447700900001",145`, "AT+CPMS?": `+CPMS: "SM",1,20,"SM",1,20,"SM",1,20`, "AT+CNMI?": "+CNMI: 2,1,0,0,0",
		"AT+CNUM": `+CNUM: "","+447700900123",145`, "AT+DEMOPOS?": "+DEMOPOS: 1,040326,101530.00,52.6184000,9.2735000,41.0,0.0,,0.9,8",
	}, fixAfter: 30}
}

func states(v *verdict.Verdict) string {
	var parts []string
	for _, l := range v.Chain {
		parts = append(parts, l.Name+" "+string(l.State))
	}
	return strings.Join(parts, ", ")
}

func sentPrefix(p *puppet, prefix string) (n int) {
	for _, l := range p.heard {
		if strings.HasPrefix(l, prefix) {
			n++
		}
	}
	return n
}

func TestWalkHealthy(t *testing.T) {
	p := healthy()
	_, v := walk(t, p, WalkOptions{Free: true, Baud: 9600, Label: "trailer 07"}, false, 0)
	want := "supply holds, line holds, module holds, card holds, network holds, messages holds, sky holds, fix holds, report holds"
	if got := states(v); got != want || len(v.Causes) != 0 || v.Kind != "check" {
		t.Errorf("%s\n%s\n%s", got, v.Headline, tell(v))
	}
	// The report is a geo: URI of RFC 5870, five decimals: about a metre.
	if sentPrefix(p, "trailer 07 geo:52.61840,9.27350\x1a") != 1 {
		t.Errorf("no report was sent; the puppet heard %q", p.heard)
	}
	// What was changed is put back, our own text is deleted, nothing is stored or reset.
	for _, put := range []string{"AT+DEMONMEA=0", "AT+DEMOGNSS=0", "AT+CMGF=0", "AT+CMEE=0", "AT+CMGD=4"} {
		if sentPrefix(p, put) == 0 {
			t.Errorf("%s was not sent; the puppet heard %q", put, p.heard)
		}
	}
	for _, never := range []string{"AT&F", "ATZ", "AT&W", "AT+IPR=", "AT+CPIN=", "AT+CFUN=", "AT+CLCK", "AT+CSAS", "ATE"} {
		if sentPrefix(p, never) > 0 {
			t.Errorf("%s was sent", never)
		}
	}
}

// Without the person's word nothing that costs leaves; the links that need it are not shown.
func TestWalkSpendsNothing(t *testing.T) {
	p := healthy()
	_, v := walk(t, p, WalkOptions{Label: "trailer 07"}, false, 0)
	if n := sentPrefix(p, "AT+CMGS") + sentPrefix(p, "ATD") + sentPrefix(p, "AT+CGACT"); n > 0 {
		t.Errorf("%d things that cost were sent: %q", n, p.heard)
	}
	want := "supply holds, line holds, module holds, card holds, network holds, messages not shown, sky holds, fix holds, report not shown"
	if got := states(v); got != want {
		t.Errorf("%s: want %s", got, want)
	}
	report := v.Chain[len(v.Chain)-1].Says
	if report != `not sent; it would be "trailer 07 geo:52.61840,9.27350", 31 characters in 1 text` {
		t.Errorf("report says %q", report)
	}
	p = healthy()
	_, v = walk(t, p, WalkOptions{Label: "trailer 07", Spend: 1, Number: "+447700900123"}, false, 0)
	if n := sentPrefix(p, "AT+CMGS"); n != 1 {
		t.Errorf("one text was allowed, %d were sent", n)
	}
	if got := states(v); !strings.Contains(got, "messages holds") || !strings.Contains(got, "report not shown") {
		t.Error(got)
	}
}

func TestWalkFaults(t *testing.T) {
	for _, test := range []struct {
		name  string
		spoil func(p *puppet)
		want  string
		cause string
	}{
		{"silent", func(p *puppet) { p.bootS = 1e9 },
			"supply not shown, line broken, module not reached, card not reached, network not reached, messages not reached, sky not reached, fix not reached, report not reached", "module-off"},
		// A module without a card still gets a fix: sky and fix do not need the network.
		{"no card", func(p *puppet) {
			p.answers["AT+CPIN?"] = "+CME ERROR: 10"
		}, "supply not shown, line holds, module holds, card broken, network not reached, messages not reached, sky holds, fix holds, report not reached", "no-card"},
		{"denied", func(p *puppet) { p.answers["AT+CREG?"], p.answers["AT+CGREG?"] = "+CREG: 0,3", "+CGREG: 0,3" },
			"supply not shown, line holds, module holds, card holds, network broken, messages not reached, sky holds, fix holds, report not reached", "registration-denied"},
		{"searching", func(p *puppet) { p.answers["AT+CREG?"], p.answers["AT+CGREG?"] = "+CREG: 0,2", "+CGREG: 0,2" },
			"supply not shown, line holds, module holds, card holds, network broken, messages not reached, sky holds, fix holds, report not reached", "never-registers"},
		{"no centre", func(p *puppet) { p.answers["AT+CSCA?"], p.refuse = `+CSCA: "",129`, "+CMS ERROR: 330" },
			"supply holds, line holds, module holds, card holds, network holds, messages broken, sky holds, fix holds, report not reached", "no-service-centre"},
		{"no sky", func(p *puppet) { p.faint, p.fixAfter = true, -1; p.answers["AT+DEMOPOS?"] = "+DEMOPOS: 0,,,,,,,,,0" },
			"supply holds, line holds, module holds, card holds, network holds, messages holds, sky broken, fix broken, report not reached", "no-sky"},
		{"engine silent", func(p *puppet) {
			p.answers["AT+DEMOPOS?"] = "+DEMOPOS: 0,,,,,,,,,0"
			p.changes = func(p *puppet, _ when.Instant, line string) (string, bool) {
				return "\r\nOK\r\n", line == "AT+DEMONMEA=1"
			}
		}, "supply holds, line holds, module holds, card holds, network holds, messages holds, sky broken, fix not reached, report not reached", "engine-off"},
		{"restarts when it searches", func(p *puppet) {
			p.answers["AT+CREG?"], p.answers["AT+CGREG?"] = "+CREG: 0,2", "+CGREG: 0,2"
			p.changes = func(p *puppet, now when.Instant, line string) (string, bool) {
				if line == "AT+CREG?" && now > 8*when.Second && now < 60*when.Second {
					p.bootS = now.Seconds() + 3
					p.say(now+3*when.Second, "\r\nDEMO READY\r\n")
					return "", true
				}
				return "", false
			}
		}, "supply broken, line holds, module holds, card holds, network broken, messages not reached, sky not reached, fix not reached, report not reached", "supply-sags"},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := healthy()
			test.spoil(p)
			_, v := walk(t, p, WalkOptions{Free: true, Label: "trailer 07"}, false, 0)
			if got := states(v); got != test.want {
				t.Errorf("%s\nwant\n%s", got, test.want)
			}
			if len(v.Causes) == 0 || v.Causes[0].Name != test.cause {
				t.Errorf("causes: want %s first\n%s", test.cause, tell(v))
			}
		})
	}
}

// The card is never put at risk: a PIN goes out once, if it was given and tries are left.
func TestWalkPIN(t *testing.T) {
	for _, test := range []struct {
		name, pin, tries string
		sent             int
		state            string
	}{
		{"not given", "", "ERROR", 0, "card broken"},
		{"given, tries not known", "4711", "ERROR", 1, "card holds"},
		{"given, three left", "4711", "+CPINR: SIM PIN,3,3", 1, "card holds"},
		{"given, one left", "4711", "+CPINR: SIM PIN,1,3", 0, "card broken"},
		{"given and wrong", "1111", "ERROR", 1, "card broken"},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := healthy()
			p.answers["AT+CPIN?"], p.answers["AT+CPINR"] = "+CPIN: SIM PIN", test.tries
			p.changes = func(p *puppet, _ when.Instant, line string) (string, bool) {
				switch line {
				case `AT+CPIN="4711"`:
					p.answers["AT+CPIN?"] = "+CPIN: READY"
				case `AT+CPIN="1111"`:
					return "\r\n+CME ERROR: 16\r\n", true
				}
				return "", false
			}
			_, v := walk(t, p, WalkOptions{Free: true, PIN: test.pin}, false, 0)
			if n := sentPrefix(p, "AT+CPIN="); n != test.sent || !strings.Contains(states(v), test.state) {
				t.Errorf("the PIN was sent %d times, want %d; %s", n, test.sent, states(v))
			}
			for _, l := range v.Chain {
				for _, e := range l.Evidence {
					if test.pin != "" && strings.Contains(e.Text, test.pin) {
						t.Errorf("the PIN stands in the evidence: %q", e.Text)
					}
				}
			}
		})
	}
}

// Cutting does not matter, ticking does not matter.
func TestWalkIsAMachine(t *testing.T) {
	var first string
	for i, way := range []struct {
		cut  bool
		tick time.Duration
	}{{false, 0}, {true, 0}, {false, 7 * time.Millisecond}, {true, 30 * time.Millisecond}} {
		p := healthy()
		w, v := walk(t, p, WalkOptions{Free: true}, way.cut, way.tick)
		var b strings.Builder
		for _, r := range w.records {
			if r.From.String() == "controller" {
				fmt.Fprintf(&b, "%s %q\n", r.At, r.Bytes)
			}
		}
		got := b.String() + v.Headline
		if i == 0 {
			first = got
		}
		if got != first {
			t.Errorf("%+v gives another walk:\n%s\nwant\n%s", way, got, first)
		}
	}
}

// A standard sheet has no stream: its sentences come quoted after +CMOLRN (27.007 8.50).
func TestWalkStandardSheet(t *testing.T) {
	p := healthy()
	standard, _ := sheet.Builtin("standard")
	p.changes = func(p *puppet, now when.Instant, line string) (string, bool) {
		if strings.HasPrefix(line, "AT+CMOLR=1") {
			for s := range 60 {
				p.streamOn = now
				for _, one := range strings.Split(strings.TrimSpace(p.sentences(now+when.Instant(s)*when.Second)), "\r\n") {
					p.say(now+when.Instant(s+1)*when.Second, "\r\n+CMOLRN: \""+one+"\"\r\n")
				}
			}
			p.streamOn = 0
			return "\r\nOK\r\n", true
		}
		return "", false
	}
	p.fixAfter = 10
	_, v := walk(t, p, WalkOptions{Sheet: standard}, false, 0)
	if got := states(v); !strings.Contains(got, "sky holds, fix holds") {
		t.Errorf("%s\n%s", got, v.Headline)
	}
}
