package message

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/plan/tariff"
	"firstfix/internal/script/procedure"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"

	"pgregory.net/rapid"
)

const someone = "+12025550143"

// TestWrittenVectors: published messages are written octet by octet.
func TestWrittenVectors(t *testing.T) {
	for _, c := range []struct {
		source string
		o      Order
		pdus   []string
		length []int
	}{
		{"a widely copied tutorial on PDU mode (published): 0xAA is 4 days",
			Order{To: []string{"+46708251358"}, Text: "hellohello", Mode: PDUMode, Validity: 96 * time.Hour}, // published example
			[]string{"0011000B916407281553F80000AA0AE8329BFD4697D9EC37"}, []int{23}},
		{"TS 23.040 9.2.2.2, TS 23.038 6.2.3: computed from the clauses",
			Order{To: []string{"+12025550123"}, Text: "Привет", Mode: PDUMode},
			[]string{"0011000B912120550521F30008A70C041F04400438043204350442"}, []int{26}},
		{"TS 23.038 4: 0x10 is class 0; computed from the clauses",
			Order{To: []string{"+12025550123"}, Text: "Alarm!", Mode: PDUMode, Flash: true, Validity: 24 * time.Hour},
			[]string{"0011000B912120550521F30010A706417658DE0E01"}, []int{20}},
		{"test data of a public library (published), fo 0x31: a status report is asked for, 0xA9 is 3 days; the service centre part is ours",
			Order{To: []string{"+6391"}, Text: "Hahahaha", Mode: PDUMode, Report: true, Validity: 72 * time.Hour},
			[]string{"003100049136190000A908C8303A8C0EA3C3"}, []int{17}},
	} {
		w, err := Write(c.o)
		if err != nil {
			t.Fatalf("%s: %v", c.source, err)
		}
		for i, p := range w.Parts {
			if p.PDU != c.pdus[i] || p.Length != c.length[i] {
				t.Errorf("%s:\nwrote %s, %d\nwant  %s, %d", c.source, p.PDU, p.Length, c.pdus[i], c.length[i])
			}
		}
		last := w.Exchanges[len(w.Exchanges)-1]
		if last.Bytes != fmt.Sprintf("AT+CMGS=%d\r", c.length[0]) || last.Typed != c.pdus[0]+"\x1a" {
			t.Errorf("%s: the last exchange is %q %q", c.source, last.Bytes, last.Typed)
		}
	}
}

// TestParts: TS 23.040 clauses 9.2.3.16 and 9.2.3.24.1 give 160 and 153 septets, 70 and 67 units.
func TestParts(t *testing.T) {
	for _, c := range []struct {
		text  string
		mode  Mode
		parts []int // units of each
	}{
		{strings.Repeat("a", 160), TextMode, []int{160}},
		{strings.Repeat("a", 161), PDUMode, []int{153, 8}},
		{strings.Repeat("a", 306), PDUMode, []int{153, 153}},
		{strings.Repeat("ж", 70), TextMode, []int{70}},
		{strings.Repeat("ж", 71), PDUMode, []int{67, 4}},
		{strings.Repeat("a", 152) + "€€", PDUMode, []int{156}},        // two places each, in one message
		{strings.Repeat("a", 152) + "€€€€€", PDUMode, []int{152, 10}}, // the escape pair is not cut
		{strings.Repeat("ж", 66) + "🚜🚜🚜", PDUMode, []int{66, 6}},      // nor the surrogate pair
	} {
		w, err := Write(Order{To: []string{someone}, Text: c.text, Mode: c.mode})
		if err != nil {
			t.Fatal(err)
		}
		var units []int
		at := 0
		for _, p := range w.Parts {
			units = append(units, p.Units)
			if p.From != at || w.Text[p.From:p.To] != p.Text {
				t.Errorf("%.20q: part %+v does not begin at %d", c.text, p, at)
			}
			at = p.To
		}
		if fmt.Sprint(units) != fmt.Sprint(c.parts) || at != len(w.Text) {
			t.Errorf("%.20q… in %s mode: parts of %v, want %v", c.text, c.mode, units, c.parts)
		}
	}
	if w, err := Write(Order{To: []string{someone}, Text: strings.Repeat("a", 161)}); err != nil || w.Mode != PDUMode {
		t.Errorf("a long text goes in PDU mode of itself: %v", err)
	}
}

// TestTextModeSequence: the settings come in the order that the trade asks for, and +CSMP
// and +CSCS stand before text mode (common practice, no source: blank texts arrive otherwise).
func TestTextModeSequence(t *testing.T) {
	for _, c := range []struct {
		text, set, csmp, address, typed string
	}{
		{"trailer 07 is in the yard", "GSM", "17,167,0,0", `"+12025550143"`, "trailer 07 is in the yard"},
		{"mail a_b@c $5", "IRA", "17,167,0,0", `"+12025550143"`, "mail a_b@c $5"},
		{"50 € [net]", "UCS2", "17,167,0,0", `"002B00310032003000320035003500350030003100340033",145`, "0035003000200020AC" + "0020005B006E00650074005D"},
		{"Ξ is octet 0x1A of GSM", "UCS2", "17,167,0,0", `"002B00310032003000320035003500350030003100340033",145`, ""},
		{"мост", "UCS2", "17,167,0,8", `"002B00310032003000320035003500350030003100340033",145`, "043C043E04410442"},
	} {
		w, err := Write(Order{To: []string{someone}, Text: c.text, Mode: TextMode})
		if err != nil {
			t.Fatal(err)
		}
		var order []string
		for _, x := range w.Exchanges {
			order = append(order, strings.TrimSuffix(x.Bytes, "\r"))
		}
		want := []string{"AT", "AT+CMEE=1", "AT+CREG?", `AT+CSCS="GSM"`, "AT+CSCA?"}
		if c.set != "GSM" {
			want = append(want, `AT+CSCS="`+c.set+`"`)
		}
		want = append(want, "AT+CSMP="+c.csmp, "AT+CMGF=1", "AT+CSMP?", "AT+CMGS="+c.address)
		if c.set != "GSM" {
			want = append(want, `AT+CSCS="GSM"`)
		}
		if strings.Join(order, "\n") != strings.Join(want, "\n") {
			t.Errorf("%q: sent\n%s\nwant\n%s", c.text, strings.Join(order, "\n"), strings.Join(want, "\n"))
		}
		typed := ""
		for _, x := range w.Exchanges {
			typed += x.Typed
		}
		if c.typed == "0035003000200020AC0020005B006E00650074005D" {
			c.typed = sms.UCS2Hex(c.text)
		}
		if c.typed != "" && typed != c.typed+"\x1a" || strings.Count(typed, "\x1a") != 1 || strings.ContainsAny(typed, "\x1b\x00\x08") {
			t.Errorf("%q is typed %q", c.text, typed)
		}
		if w.Shown.Shown != c.text || w.Shown.How != sms.HowPlain {
			t.Errorf("%q shows as %+v", c.text, w.Shown)
		}
	}
}

func TestOptionsOfAnOrder(t *testing.T) {
	w, err := Write(Order{To: []string{someone, "+12025550144"}, Text: "Alarm", Report: true, Flash: true, Validity: 7 * 24 * time.Hour, Centre: "+12025550100", Mode: TextMode})
	if err != nil {
		t.Fatal(err)
	}
	// 49: submit, relative validity, report (TS 23.040 9.2.2.2); 173: 7 days (9.2.3.12.1); 16: class 0 (TS 23.038 4).
	if w.Parameters != [4]int{49, 173, 0, 16} || w.Shown.How != sms.HowFlash {
		t.Errorf("%+v, %+v", w.Parameters, w.Shown)
	}
	all := ""
	for _, x := range w.Exchanges {
		all += x.Before + x.Bytes + x.Typed
	}
	for _, want := range []string{"\x1b\rAT\r", `AT+CSCA="+12025550100",145`, "AT+CSMP=49,173,0,16", `AT+CMGS="+12025550143"`, `AT+CMGS="+12025550144"`} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in %q", want, all)
		}
	}
	// In PDU mode the service centre stands in front of the message: 07 octets, 0x91, swapped digits.
	w, err = Write(Order{To: []string{someone}, Text: "x", Centre: "+12025550100", Mode: PDUMode})
	if err != nil || !strings.HasPrefix(w.Parts[0].PDU, "07912120550501F0") {
		t.Errorf("%v %+v", err, w)
	}
	again, _ := Write(Order{To: []string{someone}, Text: strings.Repeat("ab", 100)})
	same, _ := Write(Order{To: []string{someone}, Text: strings.Repeat("ab", 100)})
	fixed, _ := Write(Order{To: []string{someone}, Text: strings.Repeat("ab", 100), Reference: maybe.Known(0xCC)})
	if again.Parts[0].PDU != same.Parts[0].PDU || !strings.Contains(fixed.Parts[0].PDU, "050003CC0201") {
		t.Error("the reference of the parts is not as ordered, or not the same for the same text")
	}
}

func TestRefusals(t *testing.T) {
	long := strings.Repeat("a", 153*256)
	for _, c := range []struct {
		name string
		o    Order
		want string
	}{
		{"nobody", Order{Text: "x"}, "nobody"},
		{"nothing", Order{To: []string{someone}}, "arrives blank"},
		{"nothing left", Order{To: []string{someone}, Text: "\x00\u200b", Replace: true}, "arrives blank"},
		{"a name", Order{To: []string{"QUELLMOOR"}, Text: "x"}, "a telephone number"},
		{"a service code", Order{To: []string{"*100#"}, Text: "x"}, "a telephone number"},
		{"Ctrl-Z", Order{To: []string{someone}, Text: "a\x1ab"}, "Ctrl-Z"},
		{"ESC", Order{To: []string{someone}, Text: "a\x1bb"}, "ESC"},
		{"no UTF-8", Order{To: []string{someone}, Text: "caf\xe9"}, "no UTF-8"},
		{"too long", Order{To: []string{someone}, Text: long}, "255 parts"},
		{"too long for text mode", Order{To: []string{someone}, Text: strings.Repeat("word ", 4000), Mode: TextMode}, "at most 99"},
		{"mode", Order{To: []string{someone}, Text: "x", Mode: "mms"}, "text or pdu"},
		{"set", Order{To: []string{someone}, Text: "мост", Mode: TextMode, CharacterSet: "GSM"}, ""},
		{"set without the sign", Order{To: []string{someone}, Text: "a_b", Mode: TextMode, CharacterSet: "GSM"}, "UCS2 writes all"},
		{"validity", Order{To: []string{someone}, Text: "x", Validity: 64 * 7 * 24 * time.Hour}, "63 weeks"},
		{"reference", Order{To: []string{someone}, Text: strings.Repeat("a", 200), Reference: maybe.Known(256)}, "0 to 255"},
		{"rate", Order{To: []string{someone}, Text: "x", Every: time.Second, Tariff: &tariff.Tariff{PerPart: 1}}, "data connection"},
		{"centre", Order{To: []string{someone}, Text: "x", Centre: "home"}, "service centre"},
		{"many", Order{To: make([]string, MaxRecipients+1), Text: "x"}, "at most 50"},
	} {
		_, err := Write(c.o)
		if c.want == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
	w, err := Write(Order{To: []string{someone}, Text: "a\x1ab\x1bc\x00d\re\tf\u200bg", Replace: true})
	if err != nil || w.Text != "abcd\ne fg" || len(w.Changed) != 3 {
		t.Errorf("%v, %+v", err, w)
	}
}

// TestSeparateTexts: in text mode the parts are texts of their own, numbered, cut between words.
func TestSeparateTexts(t *testing.T) {
	words := strings.TrimSpace(strings.Repeat("trailer seven is in the yard ", 40))
	w, err := Write(Order{To: []string{someone}, Text: words, Mode: TextMode})
	if err != nil {
		t.Fatal(err)
	}
	joined := ""
	for i, p := range w.Parts {
		lead := fmt.Sprintf("%d/%d ", i+1, len(w.Parts))
		if !strings.HasPrefix(p.Text, lead) || p.Units > 160 || p.Units != sms.Measure(p.Text).Units || sms.Measure(p.Text).Parts != 1 {
			t.Errorf("part %q of %d units", p.Text, p.Units)
		}
		joined += strings.TrimPrefix(p.Text, lead) + " "
	}
	if strings.TrimSpace(joined) != words {
		t.Errorf("the parts say %q", joined)
	}
}

// TestCheaper: a typographic apostrophe costs a second part.
func TestCheaper(t *testing.T) {
	text := "It’s in the yard – gate open… " + strings.Repeat("x", 60)
	flat := tariff.Flat(90_000, "EUR")
	w, err := Write(Order{To: []string{someone, "+12025550144"}, Text: text, Tariff: &flat, Every: 24 * time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	if len(w.Forcers) != 3 || w.Cheaper == nil || !w.Cheaper.Same || w.Cheaper.Parts != 1 || !strings.HasPrefix(w.Cheaper.Text, "It's in the yard - gate open... x") {
		t.Errorf("%+v, %+v", w.Forcers, w.Cheaper)
	}
	// Two recipients, two parts, 0.09 each; 31 times in a month; with the other words half of it.
	if c := w.Cost; c.Messages != 4 || c.Once.In(c.Currency) != "0.36 EUR" || c.Cheaper.String() != "0.18" || c.PerMonth != 31 || c.MonthParts != 124 || c.Month.Total.String() != "11.16" {
		t.Errorf("%+v", c)
	}
	away := tariff.Tariff{Currency: "EUR", PerPart: 90_000, Abroad: maybe.Known(tariff.Money(350_000)), Included: 100}
	if w, err = Write(Order{To: []string{someone}, Text: "x", Tariff: &away, Abroad: true, Every: 24 * time.Hour}); err != nil || w.Cost.Once.String() != "0.35" || w.Cost.Month.Total.String() != "10.85" { // 31 times 0.35
		t.Errorf("%v %+v", err, w)
	}
	if _, err = Write(Order{To: []string{someone}, Text: "x", Tariff: &flat, Abroad: true}); err == nil {
		t.Error("a price that is not known was taken for something")
	}
	w, err = Write(Order{To: []string{someone}, Text: "Żółć na płocie " + strings.Repeat("x", 60)})
	if err != nil || w.Cheaper == nil || w.Cheaper.Same || !strings.HasPrefix(w.Cheaper.Text, "Zolc na plocie ") {
		t.Errorf("%v %+v", err, w.Cheaper)
	}
	if w, _ = Write(Order{To: []string{someone}, Text: "plain – dash"}); w.Cheaper != nil || len(w.Forcers) != 1 {
		t.Errorf("one part is one part: %+v", w.Cheaper)
	}
}

// anyText draws a text of one of several alphabets.
func anyText(t *rapid.T) string {
	alphabet := rapid.SampledFrom([]string{
		"abcdefghijklmnopqrstuvwxyz ABC 0123456789 .,:;-+/?=&()", "aé@$_ΞÄ{}[]~|^\\€ \n", "мост ", "日本 語", "🚜é a", "’–…°“” ab", "0041",
	}).Draw(t, "alphabet")
	return rapid.StringOfN(rapid.SampledFrom([]rune(alphabet)), 1, 400, -1).Draw(t, "text")
}

// TestWriteRead: what is written is read back, in both modes, and the procedure is one that
// loads and is the same.
func TestWriteRead(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := Order{To: []string{someone}, Text: anyText(rt), Mode: rapid.SampledFrom([]Mode{"", TextMode, PDUMode}).Draw(rt, "mode"),
			Report: rapid.Bool().Draw(rt, "report"), Flash: rapid.Bool().Draw(rt, "flash"), National: rapid.Bool().Draw(rt, "national"),
			Validity: rapid.SampledFrom([]time.Duration{0, 5 * time.Minute, 36 * time.Hour, 40 * 24 * time.Hour}).Draw(rt, "validity")}
		w, err := Write(o)
		if err != nil {
			rt.Fatalf("%+v: %v", o, err)
		}
		reader := NewReader(time.Hour)
		var texts []Text
		settings := Settings{}
		for _, x := range w.Exchanges {
			c, _ := at.ParseLine(x.Bytes).Find("+CMGS")
			set, hasSet := at.ParseLine(x.Bytes).Find("+CSCS")
			csmp, hasCSMP := at.ParseLine(x.Bytes).Find("+CSMP")
			switch {
			case hasSet:
				settings.CharacterSet = set.Params[0].Text
			case hasCSMP && csmp.Form == at.Set:
				settings = SettingsOf(csmp.Value, settings.CharacterSet)
			case x.Typed == "":
			case w.Mode == PDUMode:
				n := 0
				fmt.Sscan(c.Params[0].Text, &n)
				m := ReadPDU(strings.TrimSuffix(x.Typed, "\x1a"), true, n)
				if m.Fault != nil || hasBlame(m, FieldLength) {
					rt.Fatalf("%q: %+v", o.Text, m)
				}
				_, texts = reader.Feed(0, m, texts)
			default:
				m := ReadTyped(strings.TrimSuffix(x.Bytes, "\r"), strings.TrimSuffix(x.Typed, "\x1a"), settings)
				if m.Party != someone {
					rt.Fatalf("%q went to %q", o.Text, m.Party)
				}
				_, texts = reader.Feed(0, m, texts)
			}
		}
		texts = reader.End(0, texts)
		if w.Mode == PDUMode && (len(texts) != 1 || texts[0].Text != w.Text || texts[0].Party != someone) {
			rt.Fatalf("%q was read as %+v", w.Text, texts)
		}
		if w.Mode == TextMode {
			if len(texts) != len(w.Parts) {
				rt.Fatalf("%d texts of %d", len(texts), len(w.Parts))
			}
			for i := range texts {
				if texts[i].Text != w.Parts[i].Text {
					rt.Fatalf("%q was read as %q", w.Parts[i].Text, texts[i].Text)
				}
			}
		}
		p, err := w.Procedure("send-text")
		if err != nil {
			rt.Fatalf("%q: %v", o.Text, err)
		}
		back, err := procedure.Load("send-text.yaml", YAML(p))
		if err != nil || fmt.Sprintf("%#v", deref(back)) != fmt.Sprintf("%#v", deref(p)) {
			rt.Fatalf("%v\n%s\n%#v\n%#v", err, YAML(p), deref(back), deref(p))
		}
	})
}

func hasBlame(m *Message, field string) bool { return hasField(m.Blames, field) }

// deref makes a procedure comparable in print: its pointers are replaced by their values.
func deref(p *procedure.Procedure) any {
	type flat struct {
		Step  procedure.Step
		Await procedure.Await
		Until procedure.Until
	}
	out := []any{p.Name, p.Title, p.Notes, p.Budget}
	for _, s := range p.Steps {
		f := flat{Step: s}
		if s.Await != nil {
			f.Await = *s.Await
		}
		if s.Until != nil {
			f.Until = *s.Until
		}
		f.Step.Await, f.Step.Until = nil, nil
		if len(f.Step.Capture) == 0 {
			f.Step.Capture = nil
		}
		out = append(out, f)
	}
	return out
}

// TestYAML: any procedure is written and loaded back the same.
func TestYAML(t *testing.T) {
	word := rapid.StringMatching(`[a-z][a-z-]{0,8}`)
	text := rapid.StringOfN(rapid.SampledFrom([]rune("ab \"'\\:#{}[]&*!|>%@`,?-é\n\u0085\u2028🚜\t~0")), 0, 20, -1)
	number := rapid.IntRange(0, 100000)
	rapid.Check(t, func(rt *rapid.T) {
		p := &procedure.Procedure{Name: word.Draw(rt, "name"), Title: text.Draw(rt, "title"), Notes: text.Draw(rt, "notes"), Budget: procedure.Budget{MaxTotalMS: number.Draw(rt, "total"), Texts: number.Draw(rt, "texts")}}
		for i := range rapid.IntRange(1, 5).Draw(rt, "steps") {
			s := procedure.Step{Name: fmt.Sprintf("%s-%d", word.Draw(rt, "step"), i), Send: "AT+CMGS=\"+12025550143\"", Text: "x" + text.Draw(rt, "text"), PauseMS: number.Draw(rt, "pause"), Tries: number.Draw(rt, "tries"), Notes: text.Draw(rt, "step notes")}
			if rapid.Bool().Draw(rt, "await") {
				s.Await = &procedure.Await{Line: "+CMTI", MaxWaitMS: number.Draw(rt, "wait")}
			}
			if rapid.Bool().Draw(rt, "until") {
				s.Until = &procedure.Until{Answer: "+CREG", Param: 2, OneOf: []string{"1", text.Draw(rt, "value")}}
			}
			if rapid.Bool().Draw(rt, "capture") {
				s.Capture = []procedure.Capture{{Name: "index", Answer: "+CMGL", Param: 1}, {Name: "line"}}
			}
			if rapid.Bool().Draw(rt, "on") {
				s.On = procedure.On{OK: "continue", NotYet: "stop", Failed: "goto " + s.Name, NoAnswer: "done"}
			}
			p.Steps = append(p.Steps, s)
		}
		back, err := procedure.Load("x.yaml", YAML(p))
		if err != nil || fmt.Sprintf("%#v", deref(back)) != fmt.Sprintf("%#v", deref(p)) {
			rt.Fatalf("%v\n%s\n%#v\n%#v", err, YAML(p), deref(back), deref(p))
		}
	})
	if _, err := procedure.Load("fetch.yaml", YAML(RemoteProcedure())); err != nil {
		t.Error(err)
	}
}

func TestProcedureBudget(t *testing.T) {
	w, err := Write(Order{To: []string{someone, "+12025550144"}, Text: strings.Repeat("ж", 100)})
	if err != nil {
		t.Fatal(err)
	}
	p, err := w.Procedure("send-text")
	if err != nil || p.Budget.Texts != 4 {
		t.Fatalf("%v, %+v", err, p.Budget)
	}
	m, err := procedure.New(p, procedure.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if out := string(m.Tick(0, nil)); strings.Contains(out, "CMGS") {
		t.Errorf("a text left without the person's word: %q", out)
	}
	var e *OrderError
	if w, err = Write(Order{To: []string{someone}, Text: "a {name} b", Mode: TextMode, CharacterSet: "IRA"}); err != nil {
		t.Fatal(err)
	}
	if _, err = w.Procedure("x"); !errors.As(err, &e) {
		t.Errorf("braces in typed text: %v", err)
	}
}

// Enough: 100 µs for a text of one part; a person waits for it.
func BenchmarkWrite(b *testing.B) {
	o := Order{To: []string{someone}, Text: "trailer 07 https://example.org/?at=51.71022,-0.30737 10:15Z 87%"}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Write(o); err != nil {
			b.Fatal(err)
		}
	}
}
