package witness

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// A talk builds the events of a dialogue without the assembler.
type talk struct {
	w      *Witness
	record int
	now    when.Instant
	number int
	seen   Seen // all that followed so far
}

func newTalk() *talk { return &talk{w: &Witness{TimesKnown: true}} }

func (t *talk) line(from capture.Direction, text string) dialogue.Line {
	t.record++
	return dialogue.Line{Record: t.record, Began: t.now, At: t.now, From: from, Text: text}
}

func (t *talk) see(e dialogue.Event) {
	s := t.w.See(&e)
	t.seen.Restarts = append(t.seen.Restarts, s.Restarts...)
	t.seen.Registrations = append(t.seen.Registrations, s.Registrations...)
	t.seen.Messages = append(t.seen.Messages, s.Messages...)
	t.seen.Positions = append(t.seen.Positions, s.Positions...)
}

// ask holds one exchange. The last of the answer's lines is the final result; "" means none came.
func (t *talk) ask(command string, answer ...string) *dialogue.Exchange {
	return t.text(command, "", answer...)
}

// text holds an exchange with a text after the prompt.
func (t *talk) text(command, text string, answer ...string) *dialogue.Exchange {
	t.now = t.now.Add(time.Second)
	t.number++
	x := &dialogue.Exchange{Number: t.number, Command: t.line(capture.Controller, command), Parsed: at.ParseLine(command), AskedAt: t.now}
	t.see(dialogue.Event{Kind: dialogue.Asked, At: t.now, Line: x.Command, X: x})
	if text != "" {
		x.Prompt = t.line(capture.Module, "> ")
		x.Text, x.TextEnd = t.line(capture.Controller, text), 0x1A
		t.see(dialogue.Event{Kind: dialogue.Texted, At: t.now, Line: x.Text, X: x})
	}
	for i, a := range answer {
		l := t.line(capture.Module, a)
		if i < len(answer)-1 {
			x.Info = append(x.Info, l)
			continue
		}
		if a == "" {
			x.Outcome = dialogue.Unanswered
			continue
		}
		res, ok := at.ParseResult(a)
		if !ok {
			panic("not a final result: " + a)
		}
		x.Final, x.Result, x.Outcome, x.DoneAt = l, res, dialogue.Finished, t.now
	}
	t.see(dialogue.Event{Kind: dialogue.Answered, At: t.now, Line: x.Final, X: x})
	return x
}

// say is a line said unasked.
func (t *talk) say(text string, body ...string) {
	t.now = t.now.Add(time.Second)
	e := dialogue.Event{Kind: dialogue.Unsolicited, At: t.now, Line: t.line(capture.Module, text)}
	if len(body) > 0 {
		e.Body = t.line(capture.Module, body[0])
	}
	t.see(e)
}

func (t *talk) wait(d time.Duration) { t.now = t.now.Add(d) }

func TestSettings(t *testing.T) {
	tk := newTalk()
	want := func(name, value string) {
		t.Helper()
		if s, ok := tk.w.Setting(name); !ok || s.Value != value {
			t.Errorf("%s is %q (known: %v), want %q", name, s.Value, ok, value)
		}
	}
	unknown := func(name string) {
		t.Helper()
		if s, ok := tk.w.Setting(name); ok {
			t.Errorf("%s is %q, want not known", name, s.Value)
		}
	}
	tk.ask("ATE0V1Q0", "OK") // V.250 5.3.1: basic commands follow each other
	want("E", "0")
	want("V", "1")
	want("Q", "0")
	tk.ask("ATE", "OK") // a missing number is 0, V.250 5.3.1
	want("E", "0")
	tk.ask(`AT+CMEE=2;+CMGF=1;+CSCS="GSM"`, "OK") // V.250 5.4.5
	want("+CMEE", "2")
	want("+CMGF", "1")
	want("+CSCS", `"GSM"`)
	tk.ask("AT+CMGF=0", "ERROR")
	want("+CMGF", "1") // one command refused changes nothing
	tk.ask("AT+CMEE=1;+CMGF=0", "ERROR")
	unknown("+CMEE") // V.250 5.6: where a chain stopped is not known
	unknown("+CMGF")
	tk.ask("AT+CSMP=17,167,0,8", "OK")
	tk.ask("AT+CSMP=49", "OK") // what is left out keeps its value, 27.005 3.3.2
	want("+CSMP", "49,167,0,8")
	tk.ask("AT+CSMP?", "+CSMP: 17,167,0,0", "OK")
	want("+CSMP", "17,167,0,0")
	tk.ask("AT+CREG?", `+CREG: 2,1,"00C3","0000A1F2"`, "OK")
	want("+CREG", "2") // the setting is the mode alone, 27.007 7.2
	tk.ask(`AT+CPIN="0000"`, "OK")
	unknown("+CPIN") // secrets are not kept
	tk.ask("AT+CNMI=?", "+CNMI: (0-2),(0-3),(0,2),(0-2),(0,1)", "OK")
	unknown("+CNMI")
	tk.ask("ATZ", "OK") // V.250 6.1.1
	unknown("+CSMP")
}

func TestSettingsAreLostInARestart(t *testing.T) {
	tk := newTalk()
	tk.ask("AT+CMGF=1", "OK")
	tk.ask("AT+CMEE=1", "OK")
	tk.wait(time.Minute)
	tk.say("DEMO READY")
	if s, _ := tk.w.Setting("+CMGF"); !s.Lost || s.Value != "1" {
		t.Errorf("after a restart +CMGF is %+v, want what it used to be, lost", s)
	}
	tk.ask("AT+CMGF?", "+CMGF: 1", "OK")
	if s, _ := tk.w.Setting("+CMGF"); s.Lost || !s.ReadBack {
		t.Errorf("read back, +CMGF is %+v, want in force", s)
	}
	if n := len(tk.seen.Restarts); n != 1 {
		t.Errorf("%d restarts, want 1: %+v", n, tk.seen.Restarts)
	}
}

// What a value falls back to is the initial value of the command's clause, see [kept].
func TestFallingBackShowsARestart(t *testing.T) {
	for _, c := range []struct {
		set, read, answer string
		restart           bool
	}{
		{"AT+CMGF=1", "AT+CMGF?", "+CMGF: 0", true},
		{"AT+CMGF=1", "AT+CMGF?", "+CMGF: 1", false},
		{"AT+CMGF=0", "AT+CMGF?", "+CMGF: 1", false}, // somebody set it; no start does
		{"AT+CMEE=2", "AT+CMEE?", "+CMEE: 0", true},
		{"AT+CREG=2", "AT+CREG?", "+CREG: 0,1", true},
		{"AT+CREG=2", "AT+CREG?", `+CREG: 2,1,"00C3","0000A1F2"`, false},
		{"AT+CREG=1", "AT+CREG?", "+CREG: 1", false}, // a report, and no answer to the question
		{"AT+CLIP=1", "AT+CLIP?", "+CLIP: 0,1", true},
		{"AT+CLIP=1", "AT+CLIP?", "+CLIP: 1,1", false},
		{"AT+CNMI=2,1,0,0,0", "AT+CNMI?", "+CNMI: 0,0,0,0,0", true},
		{"AT+CNMI=2,1,0,0,0", "AT+CNMI?", "+CNMI: 2,1,0,0,0", false},
		{`AT+CSCS="UCS2"`, "AT+CSCS?", `+CSCS: "GSM"`, true},
		{`AT+CSCS="GSM"`, "AT+CSCS?", `+CSCS: "IRA"`, false},
		{"AT+CSMP=17,167,0,8", "AT+CSMP?", "+CSMP: 17,167,0,0", false}, // +CSAS decides, 27.005 3.3.5
	} {
		tk := newTalk()
		tk.ask("AT", "OK")
		tk.ask(c.set, "OK")
		tk.ask(c.read, c.answer, "OK")
		if got := len(tk.seen.Restarts) > 0; got != c.restart {
			t.Errorf("%s, then %s: restart %v, want %v", c.set, c.answer, got, c.restart)
		}
	}
}

func TestRestarts(t *testing.T) {
	for _, c := range []struct {
		name   string
		hold   func(tk *talk)
		asked  []bool // of the restarts that should be seen
		unsure int    // Restarts()
	}{
		{"the first start belongs to the recording", func(tk *talk) { tk.ask("AT", ""); tk.say("DEMO READY") }, []bool{true}, 0},
		{"a start after talk was not asked for", func(tk *talk) { tk.ask("AT", "OK"); tk.say("DEMO READY") }, []bool{false}, 1},
		{"several lines are one start", func(tk *talk) {
			tk.ask("AT", "OK")
			tk.say("RDY")
			tk.say("+CPIN: READY")
			tk.wait(5 * time.Second)
			tk.say("SMS READY")
		}, []bool{false}, 1},
		{"the same line again is another start", func(tk *talk) {
			tk.ask("AT", "OK")
			tk.say("DEMO READY")
			tk.wait(14 * time.Second)
			tk.say("DEMO READY")
		}, []bool{false, false}, 2},
		{"asked for with +CFUN=1,1 (27.007 8.2)", func(tk *talk) {
			tk.ask("AT", "OK")
			tk.ask("AT+CFUN=1,1", "OK")
			tk.wait(6 * time.Second)
			tk.say("DEMO READY")
			tk.say("+CPIN: READY")
		}, []bool{true}, 0},
		{"asked for, and the answer was lost", func(tk *talk) {
			tk.ask("AT", "OK")
			tk.ask("AT+CFUN=1,1", "")
			tk.wait(6 * time.Second)
			tk.say("DEMO READY")
		}, []bool{true}, 0},
		{"the card is ready after its PIN", func(tk *talk) {
			tk.ask("AT", "OK")
			tk.ask(`AT+CPIN="0000"`, "OK")
			tk.say("+CPIN: READY")
			tk.say("SMS READY")
		}, nil, 0},
		{"an answer is no report", func(tk *talk) { tk.ask("AT", "OK"); tk.ask("AT+CPIN?", "+CPIN: READY", "OK") }, nil, 0},
		{"not ready", func(tk *talk) {
			tk.ask("AT", "OK")
			tk.say("+CPIN: NOT READY")
			tk.say("SIM NOT READY")
			tk.say("the trailer is ready")
			tk.say("trailer 07, ready")
		}, nil, 0},
		{"in the middle of an exchange that never ended", func(tk *talk) { tk.ask("AT", "OK"); tk.ask("AT+CGATT=1", "DEMO READY", "") }, []bool{false}, 1},
		{"level and registration gone after a text that was never answered", func(tk *talk) {
			tk.ask("AT+CSQ", "+CSQ: 17,0", "OK")
			tk.ask("AT+CREG?", "+CREG: 0,1", "OK")
			tk.text(`AT+CMGS="+447700900123"`, "trailer 12", "")
			tk.ask("AT+CSQ", "+CSQ: 99,99", "OK")
			tk.ask("AT+CREG?", "+CREG: 0,2", "OK")
		}, []bool{false}, 1},
		{"a tunnel", func(tk *talk) {
			tk.ask("AT+CSQ", "+CSQ: 17,0", "OK")
			tk.ask("AT+CREG?", "+CREG: 0,1", "OK")
			tk.ask("AT+CSQ", "+CSQ: 99,99", "OK")
			tk.ask("AT+CREG?", "+CREG: 0,2", "OK")
		}, nil, 0},
	} {
		tk := newTalk()
		c.hold(tk)
		var asked []bool
		for _, r := range tk.seen.Restarts {
			asked = append(asked, r.Asked)
		}
		if !slices.Equal(asked, c.asked) || tk.w.Restarts() != c.unsure {
			t.Errorf("%s: restarts %+v (%d not asked for), want asked %v and %d", c.name, tk.seen.Restarts, tk.w.Restarts(), c.asked, c.unsure)
		}
	}
}

func TestEchoThatComesBack(t *testing.T) {
	tk := newTalk()
	tk.ask("ATE0", "OK")
	x := &dialogue.Exchange{Number: 9, Command: tk.line(capture.Controller, "AT+CSQ"), Parsed: at.ParseLine("AT+CSQ"), Echoed: true, Outcome: dialogue.Finished}
	tk.see(dialogue.Event{Kind: dialogue.Answered, X: x})
	if len(tk.seen.Restarts) != 1 || tk.seen.Restarts[0].Why != "echo came back" || tk.seen.Restarts[0].Line.Text != "AT+CSQ" {
		t.Errorf("restarts %+v, want one, because the echo came back", tk.seen.Restarts)
	}
	early := newTalk() // a command sent before the OK of ATE0 is still echoed
	x = &dialogue.Exchange{Number: 2, Command: early.line(capture.Controller, "AT+CSQ"), Parsed: at.ParseLine("AT+CSQ"), Echoed: true, Outcome: dialogue.Finished}
	early.ask("ATE0", "OK")
	early.see(dialogue.Event{Kind: dialogue.Answered, X: x})
	if len(early.seen.Restarts) != 0 {
		t.Errorf("restarts %+v, want none", early.seen.Restarts)
	}
}

func TestBannersOfTheSheet(t *testing.T) {
	tk := newTalk()
	tk.w.Banners = []string{"^DEMOSTART"}
	tk.ask("AT", "OK")
	tk.say("^DEMOSTART")
	if len(tk.seen.Restarts) != 1 {
		t.Errorf("restarts %+v, want the one that the sheet's line shows", tk.seen.Restarts)
	}
}

// 3GPP TS 27.007 7.2, 10.1.20, 10.1.22: the read form has the mode in front,
// the report has not. "00C3" is the standard's example of an area code.
func TestRegistrationForms(t *testing.T) {
	for _, c := range []struct {
		command, line string
		stat          int
		asked         bool
		cause         maybe.Value[int]
	}{
		{"AT+CREG?", "+CREG: 0,1", 1, true, maybe.Value[int]{}},
		{"AT+CREG?", `+CREG: 2,5,"00C3","0000A1F2"`, 5, true, maybe.Value[int]{}},
		{"AT+CREG?", `+CREG: 2,1,00C3,A1F2`, 1, true, maybe.Value[int]{}},
		{"AT+CREG?", "+CREG: 2", 2, false, maybe.Value[int]{}},                   // a report between question and answer
		{"AT+CREG?", `+CREG: 1,"00C3","0000A1F2"`, 1, false, maybe.Value[int]{}}, // the same, mode 2
		{"AT+CREG?", `+CREG: 3,3,"00C3","0000A1F2",0,0,13`, 3, true, maybe.Known(13)},
		{"AT+CGREG?", `+CGREG: 3,3,"00C3","0000A1F2",0,"01",0,7`, 3, true, maybe.Known(7)},
		{"AT+CEREG?", `+CEREG: 3,3,"00C3","0000A1F2",7,0,15`, 3, true, maybe.Known(15)},
		{"", "+CREG: 1", 1, false, maybe.Value[int]{}},
		{"", `+CREG: 5,"00C3","0000A1F2",7`, 5, false, maybe.Value[int]{}},
		{"", `+CEREG: 3,"00C3","0000A1F2",7,0,15`, 3, false, maybe.Known(15)},
		{"", `+CREG: 1,00C3,A1F2`, 1, false, maybe.Value[int]{}},
	} {
		tk := newTalk()
		if c.command == "" {
			tk.say(c.line)
		} else {
			tk.ask(c.command, c.line, "OK")
		}
		if len(tk.seen.Registrations) != 1 {
			t.Errorf("%s: %d words, want 1", c.line, len(tk.seen.Registrations))
			continue
		}
		if r := tk.seen.Registrations[0]; r.Stat != c.stat || r.Asked != c.asked || r.Cause != c.cause {
			t.Errorf("%s: stat %d, asked %v, cause %s; want %d, %v, %s", c.line, r.Stat, r.Asked, r.Cause, c.stat, c.asked, c.cause)
		}
	}
}

func TestRegistrationOverTime(t *testing.T) {
	tk := newTalk()
	for _, l := range []string{"+CREG: 2", "+CREG: 2", "+CREG: 1", "+CREG: 5", "+CREG: 0", "+CREG: 1"} {
		tk.say(l)
	}
	r, _ := tk.w.Registration("+CREG")
	if r.Changes != 3 || r.Words != 1 || r.Since != 6*when.Second {
		t.Errorf("%+v, want 3 changes between registered and not, and the last since 6 s", r)
	}
	if g, ok := tk.w.Registered(); !ok || g.Command != "+CREG" {
		t.Errorf("registered: %+v %v, want +CREG", g, ok)
	}
}

func TestMessages(t *testing.T) {
	utc := func(s string) maybe.Value[time.Time] {
		tm, err := time.Parse(time.RFC3339, s)
		if err != nil {
			panic(err)
		}
		return maybe.Known(tm)
	}
	for _, c := range []struct {
		name   string
		hold   func(tk *talk)
		party  string
		body   string
		out    bool
		pdu    bool
		dcs    maybe.Value[int]
		stamp  maybe.Value[time.Time]
		spoilt bool // Problem says something
	}{
		{"text mode, +CSMP in force", func(tk *talk) {
			tk.ask("AT+CSMP=17,167,0,0", "OK")
			tk.text(`AT+CMGS="+447700900123"`, "trailer 07", "+CMGS: 4", "OK")
		}, "+447700900123", "trailer 07", true, false, maybe.Known(0), maybe.Value[time.Time]{}, false},
		{"set in the same line", func(tk *talk) {
			tk.text(`AT+CSMP=17,167,0,8;+CMGS="+447700900123"`, "trailer 07", "+CMGS: 4", "OK")
		}, "+447700900123", "trailer 07", true, false, maybe.Known(8), maybe.Value[time.Time]{}, true},
		{"UCS-2 all through", func(tk *talk) {
			tk.ask(`AT+CSCS="UCS2"`, "OK")
			tk.ask("AT+CSMP=17,167,0,8", "OK")
			tk.text(`AT+CMGS="002B003400340037003700300030003900300030003100320033"`, "0042006100740074006500720079", "+CMGS: 4", "OK")
		}, "+447700900123", "Battery", true, false, maybe.Known(8), maybe.Value[time.Time]{}, false},
		{"the published SUBMIT", func(tk *talk) {
			tk.ask("AT+CMGF=0", "OK")
			tk.text("AT+CMGS=23", "0011000B916407281553F80000AA0AE8329BFD4697D9EC37", "+CMGS: 4", "OK")
		}, "+46708251358" /* published */, "hellohello", true, true, maybe.Known(0), maybe.Value[time.Time]{}, false},
		{"the published DELIVER, read", func(tk *talk) {
			tk.ask("AT+CMGR=1", "+CMGR: 0,,28", "07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37", "OK")
		}, "27838890001", "hellohello", false, true, maybe.Known(0), utc("1999-03-29T15:16:59+02:00"), false},
		{"the same, handed over", func(tk *talk) {
			tk.say("+CMT: ,28", "07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37")
		}, "27838890001", "hellohello", false, true, maybe.Known(0), utc("1999-03-29T15:16:59+02:00"), false},
		{"text, handed over", func(tk *talk) { tk.say(`+CMT: "+447700900123",,"26/03/04,10:15:30+04"`, "WHERE") },
			"+447700900123", "WHERE", false, false, maybe.Value[int]{}, utc("2026-03-04T10:15:30+01:00"), false},
		{"hex digits of UCS-2", func(tk *talk) {
			tk.say(`+CMT: "+447700900123",,"26/03/04,10:15:30+00"`, "005300540041005400550053")
		}, "+447700900123", "STATUS", false, false, maybe.Value[int]{}, utc("2026-03-04T10:15:30Z"), true},
		{"header shown (27.005 3.3.3), several lines", func(tk *talk) {
			tk.ask("AT+CMGR=3", `+CMGR: "REC READ","+447700900123","Ring","26/03/04,10:15:30-20",145,4,0,0,"+447700900999",145,9`, "go", "now", "OK")
		}, "+447700900123", "go\nnow", false, false, maybe.Known(0), utc("2026-03-04T10:15:30-05:00"), false},
	} {
		tk := newTalk()
		c.hold(tk)
		if len(tk.seen.Messages) != 1 {
			t.Errorf("%s: %d messages, want 1", c.name, len(tk.seen.Messages))
			continue
		}
		m := tk.seen.Messages[0]
		if m.Party != c.party || m.Body != c.body || m.Out != c.out || m.PDU != c.pdu || m.DCS != c.dcs || (m.Problem != "") != c.spoilt {
			t.Errorf("%s: %+v", c.name, m)
		}
		got, known := m.Stamp.Get()
		want, wanted := c.stamp.Get()
		if known != wanted || !got.Equal(want) {
			t.Errorf("%s: stamp %s, want %s", c.name, m.Stamp, c.stamp)
		}
		if c.out && !m.Accepted.Or(false) {
			t.Errorf("%s: accepted is %s, want true", c.name, m.Accepted)
		}
	}
}

func TestMessageList(t *testing.T) {
	tk := newTalk()
	tk.ask(`AT+CMGL="ALL"`,
		`+CMGL: 1,"REC READ","+447700900124",,"26/03/04,09:01:00+00"`, "OK, and thanks",
		`+CMGL: 2,"STO UNSENT","+447700900125",,`, "not sent yet",
		`+CMGL: 3,"REC UNREAD","+447700900125",,"26/03/04,09:03:00+00"`, "one", "two", "OK")
	var got []string
	for _, m := range tk.seen.Messages {
		got = append(got, m.Party+": "+m.Body)
	}
	want := []string{"+447700900124: OK, and thanks", "+447700900125: one\ntwo"}
	if !slices.Equal(got, want) {
		t.Errorf("messages %q, want %q", got, want)
	}
}

func TestAcceptedNeedsItsNumber(t *testing.T) {
	tk := newTalk()
	tk.text(`AT+CMGS="+447700900123"`, "a", "OK") // an OK that is somebody else's
	tk.text(`AT+CMGS="+447700900123"`, "b", "+CMS ERROR: 331")
	tk.text(`AT+CMGS="+447700900123"`, "c", "")
	if a := tk.seen.Messages; a[0].Accepted.IsKnown() || a[1].Accepted != maybe.Known(false) || a[2].Accepted.IsKnown() {
		t.Errorf("accepted: %s, %s, %s; want not known, false, not known", a[0].Accepted, a[1].Accepted, a[2].Accepted)
	}
}

func TestPositions(t *testing.T) {
	tk := newTalk()
	tk.text(`AT+CMGS="+447700900123"`, "T07 52.307353,8.620483 ok", "+CMGS: 4", "OK")
	tk.see(dialogue.Event{Kind: dialogue.Data, Line: tk.line(capture.Controller, `{"lat":-33.5,"lon":151.2093}`)})
	tk.see(dialogue.Event{Kind: dialogue.Data, Line: tk.line(capture.Module, `52.1,8.1 from the server`)})
	if len(tk.seen.Positions) != 2 {
		t.Fatalf("%d positions, want 2: %+v", len(tk.seen.Positions), tk.seen.Positions)
	}
	a, b := tk.seen.Positions[0], tk.seen.Positions[1]
	if a.LatText != "52.307353" || a.LonText != "8.620483" || a.Message == nil || a.Text != "52.307353,8.620483" {
		t.Errorf("in the text: %+v", a)
	}
	if b.Point != (geo.Point{LatDeg: -33.5, LonDeg: 151.2093}) || b.Message != nil {
		t.Errorf("in the data: %+v", b)
	}
}

func TestEpochsAreBounded(t *testing.T) {
	w := &Witness{}
	for i := range 1000 {
		e := &epoch.Epoch{At: when.Instant(i)}
		if i%3 != 0 {
			e.Fix = fix.Fix{Valid: i%2 == 0, Point: maybe.Known(geo.Point{LatDeg: float64(i)})}
		}
		w.SeeEpoch(e)
	}
	if w.LastEpoch().At != 999 || w.LastValid().At != 998 {
		t.Errorf("last %d, last valid %d; want 999, 998", w.LastEpoch().At, w.LastValid().At)
	}
	r := w.Recent()
	if len(r) != maxRecent || r[maxRecent-1].At != 998 {
		t.Fatalf("%d recent ones, the last at %d; want %d and 998", len(r), r[len(r)-1].At, maxRecent)
	}
	for i := 1; i < len(r); i++ {
		if r[i].At <= r[i-1].At || r[i].At%3 == 0 {
			t.Errorf("recent %d stands at %d after %d", i, r[i].At, r[i-1].At)
		}
	}
	if n := testing.AllocsPerRun(1000, func() { w.SeeEpoch(r[0]) }); n != 0 {
		t.Errorf("%v allocations for an epoch, want none", n)
	}
}

// TestMemoryIsBounded: whatever is said, the memory stays as large as its limits.
func TestMemoryIsBounded(t *testing.T) {
	commands := []string{"AT+CMGF=1", "AT+CMGF?", "ATE0", "ATZ", "AT+CFUN=1,1", "AT+CREG?", "AT+CSQ", "AT+CSCS?", `AT+CMGS="1"`, "AT+DEMO=1", "AT+CEREG?"}
	lines := []string{"OK", "ERROR", "+CMGF: 0", "+CREG: 0,1", "+CREG: 2", "DEMO READY", "RDY", "A READY", "B READY", "+CSQ: 99,99", "+CSQ: 17,0", "+CEREG: 0,0", `+CSCS: "GSM"`, "+CMT: x"}
	rapid.Check(t, func(r *rapid.T) {
		tk := newTalk()
		for range rapid.IntRange(1, 60).Draw(r, "steps") {
			tk.wait(time.Duration(rapid.IntRange(0, 90).Draw(r, "pause")) * time.Second)
			if rapid.Bool().Draw(r, "unasked") {
				tk.say(rapid.SampledFrom(lines).Draw(r, "line"))
				continue
			}
			answer := rapid.SliceOfN(rapid.SampledFrom(lines), 0, 3).Draw(r, "answer")
			tk.ask(rapid.SampledFrom(commands).Draw(r, "command"), append(answer, rapid.SampledFrom([]string{"OK", "ERROR", "+CME ERROR: 3", ""}).Draw(r, "final"))...)
		}
		if len(tk.w.settings) > len(kept) || len(tk.w.restarts) > maxRestarts || len(tk.w.start.lines) > maxSigns || len(tk.w.registration) > len(registrationNames) {
			r.Fatalf("the memory grew: %d settings, %d restarts, %d signs", len(tk.w.settings), len(tk.w.restarts), len(tk.w.start.lines))
		}
		for name := range tk.w.settings {
			if keepingOf(name) == nil {
				r.Fatalf("%s is kept but not in the table", name)
			}
		}
	})
}

// FuzzSee feeds whatever an assembler makes of bytes.
func FuzzSee(f *testing.F) {
	f.Add("AT+CMGF=1\r", "\r\nOK\r\n")
	f.Add("AT+CMGS=\"+447700900123\"\r", "\r\n> ")
	f.Add("x\x1a", "\r\n+CMGS: 1\r\n\r\nOK\r\n")
	f.Add("AT+CMGL=4\r", "\r\n+CMGL: 1,1,,28\r\n07917283010010F5040BC87238880900F1\r\n\r\nOK\r\n")
	f.Add("AT+CREG?\r", "\r\n+CREG: 0,\r\n+CREG:\r\n+CREG: ,,,\r\nOK\r\n+CMT: ,\r\n\r\n+CMT\r\n")
	f.Fuzz(func(t *testing.T, controller, module string) {
		a, w := dialogue.New(), &Witness{TimesKnown: true}
		var events []dialogue.Event
		feed := func(e []dialogue.Event) {
			for i := range e {
				w.See(&e[i])
			}
		}
		for i := range 4 {
			at := when.Instant(i) * when.Second
			feed(a.Feed(capture.Record{Number: 2*i + 1, At: at, From: capture.Controller, Bytes: controller}, events))
			feed(a.Feed(capture.Record{Number: 2*i + 2, At: at.Add(time.Millisecond), From: capture.Module, Bytes: module}, events))
		}
		feed(a.End(events))
		if len(w.settings) > len(kept) {
			t.Errorf("%d settings", len(w.settings))
		}
	})
}

// The table is ordered by its documents and names no command twice.
func TestKeptTable(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range kept {
		if seen[k.name] || k.clause == "" || k.compare >= 0 && k.initial == "" {
			t.Errorf("row %+v: twice, without clause, or compared with nothing", k)
		}
		seen[k.name] = true
		if e, ok := at.Lookup(k.name); !ok {
			t.Errorf("%s is not in the catalogue of wire/at", k.name)
		} else if !strings.Contains(e.Clause, strings.Fields(k.clause)[1]) {
			t.Errorf("%s: clause %s here, %s in the catalogue", k.name, k.clause, e.Clause)
		}
	}
	if fmt.Sprint(Names()[0]) != "E" {
		t.Errorf("names begin with %s", Names()[0])
	}
}
