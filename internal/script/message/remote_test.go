package message

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

var (
	someSecret = []byte("quellmoor trailer seven secret")
	noon       = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
)

func someRemote(t testing.TB, s RemoteState) *Remote {
	t.Helper()
	r, err := NewRemote(RemoteOptions{Allowed: []string{someone, "+447700900123"}, Own: "+447700900707", Label: "trailer-07", Secret: someSecret, Commands: UsualCommands}, s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// from is a text of somebody of the list, sent seconds before noon.
func from(number, text string, ageS int) Incoming {
	return Incoming{From: number, Text: text, Stamp: maybe.Known(noon.Add(-time.Duration(ageS) * time.Second))}
}

// TestCode: worked with another implementation of HMAC-SHA256 (RFC 2104): Python's hmac and
// hashlib, over the label, a zero octet and the number in three octets; six times five bits.
func TestCode(t *testing.T) {
	for sequence, want := range map[int]string{1: "AT5JFN", 42: "YGGY49", 70000: "FCVAE5"} {
		if got := Code(someSecret, "trailer-07", sequence); got != want {
			t.Errorf("code %d is %s, want %s", sequence, got, want)
		}
	}
	if Code(someSecret, "trailer-07", 1) == Code(someSecret, "trailer-08", 1) {
		t.Error("one device's code opens another")
	}
}

func TestDecisions(t *testing.T) {
	code := func(n int) string { return Code(someSecret, "trailer-07", n) }
	flash, device := from(someone, "where", 5), from(someone, "where", 5)
	flash.Class, device.Class = maybe.Known(0), maybe.Known(1)
	loop, long, service, report, late := from(someone, "where", 5), from(someone, "where", 5), from(someone, "where", 5), from(someone, "where", 5), from(someone, "where", 5)
	loop.LoopFlag, long.Parts, service.PID, report.NotAText, late.Stamp = true, 2, 64, true, maybe.Value[time.Time]{}
	for _, c := range []struct {
		name   string
		in     Incoming
		do     Verb
		reason string // part of it
	}{
		{"a question", from(someone, "Where?", 5), Accept, "of the list"},
		{"with a full stop and capitals", from(someone, "STATUS. ", 5), Accept, "of the list"},
		{"national spelling of a number of the list", from("07700900123", "where", 5), Accept, "of the list"},
		{"class 1 is for the device", device, Accept, "of the list"},
		{"a setting with its code", from(someone, "interval 30 #7 "+strings.ToLower(code(7)), 5), Accept, "number 7"},
		{"a setting without a value", from(someone, "forget #8 "+code(8), 5), Accept, "number 8"},
		{"not of the list", from("+12025550199", "where", 5), Ignore, "not on the list"},
		{"a name", from("QUELLMOOR", "where", 5), Ignore, "a name"},
		{"a short number", from("22911", "where", 5), Ignore, "short number"},
		{"itself", from("+447700900707", "where", 5), Ignore, "own number"},
		{"a flash text", flash, Ignore, "class 0"},
		{"forwarded by a machine", loop, Ignore, "automatic forwarding"},
		{"a long text", long, Ignore, "2 parts"},
		{"type 0", service, Ignore, "protocol identifier 64"},
		{"a status report", report, Ignore, "no text"},
		{"of unknown age", late, Ignore, "not known"},
		{"eleven minutes old", from(someone, "where", 660), Ignore, "11m0s old"},
		{"from the future", from(someone, "where", -180), Ignore, "future"},
		{"no command", from(someone, "hello device", 5), Ignore, "no command"},
		{"empty", from(someone, "  ", 5), Ignore, "no command"},
		{"an answer of another device", from(someone, "not done: wrong code", 5), Ignore, "no command"},
		{"a word too many", from(someone, "where now", 5), Refuse, "stands alone"},
		{"no code", from(someone, "interval 30", 5), Refuse, "want interval value #number code"},
		{"no value", from(someone, "interval", 5), Refuse, "want interval"},
		{"beyond the range", from(someone, "interval 1 #7 "+code(7), 5), Refuse, "minutes from 5 to 1440"},
		{"wrong code", from(someone, "interval 30 #7 AAAAAA", 5), Refuse, "wrong code"},
		{"code of another number", from(someone, "interval 30 #7 "+code(8), 5), Refuse, "wrong code"},
		{"number 0", from(someone, "interval 30 #0 "+code(0), 5), Refuse, "1 to 999999"},
		{"a sign", from(someone, "interval +30 #7 "+code(7), 5), Refuse, "from 5"},
		{"nothing dangerous is known", from(someone, "relay 1 #7 "+code(7), 5), Ignore, "no command"},
	} {
		d := someRemote(t, RemoteState{}).Decide(maybe.Known(noon), c.in)
		if d.Do != c.do || !strings.Contains(d.Reason, c.reason) {
			t.Errorf("%s: %+v; want %s, %q", c.name, d, c.do, c.reason)
		}
		if (d.Answer != "") != (d.Do == Refuse) {
			t.Errorf("%s: %s and answers %q", c.name, d.Do, d.Answer)
		}
	}
}

// TestReplay: a text is obeyed once, also over a restart; an old number is used up for all senders.
func TestReplay(t *testing.T) {
	r := someRemote(t, RemoteState{})
	set := from(someone, "interval 30 #7 "+Code(someSecret, "trailer-07", 7), 5)
	if d := r.Decide(maybe.Known(noon), set); d.Do != Accept || d.Value.Or(0) != 30 || d.Sequence != 7 {
		t.Fatalf("%+v", d)
	}
	kept, err := json.Marshal(r.State())
	if err != nil {
		t.Fatal(err)
	}
	var state RemoteState
	if err := json.Unmarshal(kept, &state); err != nil || !reflect.DeepEqual(state, r.State()) {
		t.Fatalf("%v: %s", err, kept)
	}
	for name, device := range map[string]*Remote{"the same": r, "after a restart": someRemote(t, state)} {
		if d := device.Decide(maybe.Known(noon), set); d.Do != Ignore || !strings.Contains(d.Reason, "dealt with") {
			t.Errorf("%s: the text itself again: %+v", name, d)
		}
		copied := set
		copied.Stamp = maybe.Known(noon)
		if d := device.Decide(maybe.Known(noon), copied); d.Do != Refuse || !strings.Contains(d.Reason, "was used; the next is 8") {
			t.Errorf("%s: copied into a new text: %+v", name, d)
		}
		copied.From = "+447700900123"
		if d := device.Decide(maybe.Known(noon), copied); d.Do != Refuse {
			t.Errorf("%s: copied by another: %+v", name, d)
		}
	}
}

// TestWithoutClock: questions are answered, a few; nothing is set.
func TestWithoutClock(t *testing.T) {
	r := someRemote(t, RemoteState{})
	unknown := maybe.Value[time.Time]{}
	if d := r.Decide(unknown, from(someone, "interval 30 #7 "+Code(someSecret, "trailer-07", 7), 5)); d.Do != Refuse || !strings.Contains(d.Reason, "clock") {
		t.Errorf("%+v", d)
	}
	answers := 0
	for i := range 100 {
		if r.Decide(unknown, from(someone, "where", i)).Do != Ignore {
			answers++
		}
	}
	if answers != DefaultAnswersHour-1 { // one was spent on the refusal
		t.Errorf("%d answers without a clock", answers)
	}
}

// TestGuessing: three wrong codes make a number deaf for the day.
func TestGuessing(t *testing.T) {
	r := someRemote(t, RemoteState{})
	for i := range 5 {
		d := r.Decide(maybe.Known(noon), from(someone, fmt.Sprintf("interval 30 #%d AAAAAA", i+1), 5+i))
		if want := map[bool]Verb{true: Refuse, false: Ignore}[i < DefaultWrongCodes]; d.Do != want {
			t.Errorf("guess %d: %+v", i+1, d)
		}
	}
	right := from(someone, "interval 30 #9 "+Code(someSecret, "trailer-07", 9), 5)
	if d := r.Decide(maybe.Known(noon), right); d.Do != Ignore {
		t.Errorf("deaf, but %+v", d)
	}
	tomorrow := right
	tomorrow.Stamp = maybe.Known(noon.Add(24 * time.Hour))
	if d := r.Decide(maybe.Known(noon.Add(24*time.Hour)), tomorrow); d.Do != Accept {
		t.Errorf("the next day: %+v", d)
	}
}

// TestForget: a device told to forget obeys nobody.
func TestForget(t *testing.T) {
	r := someRemote(t, RemoteState{})
	r.Decide(maybe.Known(noon), from(someone, "forget #1 "+Code(someSecret, "trailer-07", 1), 5))
	if d := someRemote(t, r.State()).Decide(maybe.Known(noon), from(someone, "where", 1)); d.Do != Ignore {
		t.Errorf("%+v", d)
	}
}

// TestNeverWithoutEnd: whatever arrives, the answers of an hour and of a day are bounded, nothing
// is obeyed twice, nobody but the list is answered, and no answer is a command.
func TestNeverWithoutEnd(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := someRemote(t, RemoteState{})
		now := noon
		answered := map[string][]time.Time{}
		perDay := map[int64]int{}
		obeyed := map[int]int{}
		for range rapid.IntRange(1, 120).Draw(rt, "texts") {
			now = now.Add(time.Duration(rapid.SampledFrom([]int{0, 1, 30, 600, 4000}).Draw(rt, "gap")) * time.Second)
			n := rapid.IntRange(1, 12).Draw(rt, "n")
			text := rapid.SampledFrom([]string{"where", "status", "help", fmt.Sprintf("interval 30 #%d %s", n, Code(someSecret, "trailer-07", n)), fmt.Sprintf("reports 0 #%d %s", n, Code(someSecret, "trailer-07", n)), "interval 5 #3 WRONGX", "hello", "not done: x"}).Draw(rt, "text")
			in := Incoming{From: rapid.SampledFrom([]string{someone, "+447700900123", "+447700900999", "INFO", "+447700900707"}).Draw(rt, "from"), Text: text,
				Stamp: maybe.Known(now.Add(-time.Duration(rapid.IntRange(-200, 900).Draw(rt, "age")) * time.Second))}
			if rapid.IntRange(0, 9).Draw(rt, "restart") == 0 {
				r = someRemote(t, r.State())
			}
			d := r.Decide(maybe.Known(now), in)
			if d.Do == Ignore {
				if d.Answer != "" || d.Reason == "" {
					rt.Fatalf("%+v", d)
				}
				continue
			}
			if in.From != someone && in.From != "+447700900123" {
				rt.Fatalf("%+v was answered: %+v", in, d)
			}
			if d.Answer != "" && !r.MayAnswer(d.Answer) {
				rt.Fatalf("the answer %q is a command", d.Answer)
			}
			if d.Sequence > 0 {
				if obeyed[d.Sequence]++; obeyed[d.Sequence] > 1 {
					rt.Fatalf("number %d was obeyed twice", d.Sequence)
				}
			}
			answered[in.From] = append(answered[in.From], now)
			perDay[dayOf(now)]++
			recent := 0
			for _, at := range answered[in.From] {
				if now.Sub(at) < time.Hour {
					recent++
				}
			}
			if recent > DefaultAnswersHour || perDay[dayOf(now)] > DefaultAnswersDay {
				rt.Fatalf("%d answers in an hour, %d in a day", recent, perDay[dayOf(now)])
			}
			if s := r.State(); len(s.Handled) > remembered || len(s.Senders) > 2 {
				rt.Fatalf("the state grew: %+v", s)
			}
		}
	})
}

// TestTwoDevices: two devices that know each other's numbers do not talk for ever, whatever
// the first text was and whatever an honest device answers.
func TestTwoDevices(t *testing.T) {
	numbers := [2]string{"+447700900701", "+447700900702"}
	for _, first := range []string{"where", "status", "interval 30", "where now", "hello", "help"} {
		var devices [2]*Remote
		for i := range devices {
			var err error
			devices[i], err = NewRemote(RemoteOptions{Allowed: []string{numbers[1-i]}, Own: numbers[i], Label: "trailer", Secret: someSecret, Commands: UsualCommands}, RemoteState{})
			if err != nil {
				t.Fatal(err)
			}
		}
		text, to, sent := first, 0, 0
		for now := noon; text != "" && sent < 1000; now = now.Add(7 * time.Second) {
			d := devices[to].Decide(maybe.Known(now), Incoming{From: numbers[1-to], Text: text, Stamp: maybe.Known(now)})
			text = d.Answer
			if d.Do == Accept {
				text = "at geo:51.71022,-0.30737" // what a device says to a question
			}
			to, sent = 1-to, sent+1
		}
		if sent > 2 {
			t.Errorf("%q began a talk of %d texts", first, sent)
		}
	}
}

func TestOptionsAreSafe(t *testing.T) {
	good := RemoteOptions{Allowed: []string{someone}, Own: "+447700900707", Label: "trailer-07", Secret: someSecret, Commands: UsualCommands}
	if wrong := good.Check(); len(wrong) != 0 {
		t.Fatal(wrong)
	}
	for name, spoil := range map[string]func(o *RemoteOptions){
		"nobody":            func(o *RemoteOptions) { o.Allowed = nil },
		"a name":            func(o *RemoteOptions) { o.Allowed = []string{"QUELLMOOR"} },
		"a short number":    func(o *RemoteOptions) { o.Allowed = []string{"22911"} },
		"a national number": func(o *RemoteOptions) { o.Allowed = []string{"07700900123"} },
		"itself":            func(o *RemoteOptions) { o.Own = someone },
		"a short secret":    func(o *RemoteOptions) { o.Secret = []byte("1234") },
		"no label":          func(o *RemoteOptions) { o.Label = "" },
		"a relay":           func(o *RemoteOptions) { o.Commands = []RemoteCommand{{Word: "relay", Sets: true}} },
		"the engine":        func(o *RemoteOptions) { o.Commands = []RemoteCommand{{Word: "engine"}} },
		"twice": func(o *RemoteOptions) {
			o.Commands = append(o.Commands[:len(o.Commands):len(o.Commands)], o.Commands[0])
		},
		"the word of answers": func(o *RemoteOptions) { o.Commands = []RemoteCommand{{Word: "not"}} },
		"a capital":           func(o *RemoteOptions) { o.Commands = []RemoteCommand{{Word: "Where"}} },
		"below 0":             func(o *RemoteOptions) { o.AnswersDay = -1 },
		"no commands":         func(o *RemoteOptions) { o.Commands = nil },
	} {
		o := good
		spoil(&o)
		if len(o.Check()) == 0 {
			t.Errorf("%s is taken", name)
		}
		if _, err := NewRemote(o, RemoteState{}); err == nil {
			t.Errorf("%s makes a device", name)
		}
	}
}

// TestIncomingOf: what a message says of itself reaches the decision.
func TestIncomingOf(t *testing.T) {
	m, _ := ReadLine(`+CMT: "+12025550143",,"26/03/04,12:59:55+04",145,4,0,0,"+12025550100",145,5`, "where", Settings{})
	if d := someRemote(t, RemoteState{}).Decide(maybe.Known(noon), IncomingOf(m)); d.Do != Accept {
		t.Errorf("%+v", d)
	}
	// TP-LP is bit 3 of the first octet of a DELIVER: TS 23.040 9.2.2.1 (from memory).
	looped := ReadPDU("000C0B912120550541F3000062304021955540"+"05F7B23C5D06", false, 0)
	if in := IncomingOf(looped); !in.LoopFlag || in.From != someone {
		t.Errorf("%+v", in)
	}
	sent := ReadTyped(`AT+CMGS="+12025550143"`, "where", Settings{})
	if d := someRemote(t, RemoteState{}).Decide(maybe.Known(noon), IncomingOf(sent)); d.Do != Ignore {
		t.Errorf("a text of its own: %+v", d)
	}
}

func FuzzDecide(f *testing.F) {
	f.Add("where", someone, int64(0), byte(0))
	f.Add("interval 30 #7 AAAAAA", someone, int64(600), byte(1))
	f.Add("forget #1", "INFO", int64(-5), byte(64))
	f.Fuzz(func(t *testing.T, text, number string, ageS int64, pid byte) {
		r := someRemote(t, RemoteState{})
		in := Incoming{From: number, Text: text, PID: pid, Stamp: maybe.Known(noon.Add(-time.Duration(ageS%1e6) * time.Second))}
		first := r.Decide(maybe.Known(noon), in)
		if first.Answer != "" && !r.MayAnswer(first.Answer) {
			t.Fatalf("%q is answered with a command: %q", text, first.Answer)
		}
		if first.Do != Ignore {
			if second := r.Decide(maybe.Known(noon), in); second.Do != Ignore {
				t.Fatalf("%q from %q was taken twice: %+v", text, number, second)
			}
		}
	})
}

// Enough: 20 µs a text.
func BenchmarkDecide(b *testing.B) {
	r := someRemote(b, RemoteState{})
	rng := rand.New(rand.NewPCG(1, 1))
	b.ReportAllocs()
	for b.Loop() {
		r.Decide(maybe.Known(noon), from(someone, "where", rng.IntN(500)))
	}
}
