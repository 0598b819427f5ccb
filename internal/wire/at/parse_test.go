package at

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// cmd is what a row of a test says of one command.
type cmd struct {
	name   string
	form   Form
	number int
	value  string
}

// TestParseLine: the clause or source stands beside each line.
func TestParseLine(t *testing.T) {
	for _, tt := range []struct {
		line   string
		source string
		want   []cmd
	}{
		{"AT", "V.250 5.6: an empty line is a line", nil},
		{"ATE0V1+CMEE=1;+CREG=2;+CSQ", "V.250 5.4.5: no separator after a basic command, ; after an extended one",
			[]cmd{{"E", Execute, 0, ""}, {"V", Execute, 1, ""}, {"+CMEE", Set, -1, "1"}, {"+CREG", Set, -1, "2"}, {"+CSQ", Execute, -1, ""}}},
		{"at+cmgf=1", "V.250 5.1: lower case equals upper case", []cmd{{"+CMGF", Set, -1, "1"}}},
		{"AT E 0 +CSQ", "V.250 5.2.1: spaces are ignored", []cmd{{"E", Execute, 0, ""}, {"+CSQ", Execute, -1, ""}}},
		{"AT+CM GF = 1", "V.250 5.2.1: spaces are ignored", []cmd{{"+CMGF", Set, -1, "1"}}},
		{"AT\x00+CSQ\x01", "V.250 5.2.2: control characters are ignored", []cmd{{"+CSQ", Execute, -1, ""}}},
		{"AT&F&C1", "V.250 5.3.1: & and a letter", []cmd{{"&F", Execute, -1, ""}, {"&C", Execute, 1, ""}}},
		{"ATV01", "V.250 5.3.1: leading zeros are ignored", []cmd{{"V", Execute, 1, ""}}},
		{"ATS3=13S3?", "V.250 5.3.2", []cmd{{"S", Set, 3, "13"}, {"S", Read, 3, ""}}},
		{"ATS0=?", "V.250 5.3.2, as some devices allow", []cmd{{"S", Test, 0, ""}}},
		{"ATD*99#", "V.250 6.3.1", []cmd{{"D", Execute, -1, "*99#"}}},
		{"ATD+12025550143;H", "27.007 6.2: ; ends the dial string", []cmd{{"D", Execute, -1, "+12025550143"}, {"H", Execute, -1, ""}}},
		{`ATD>"Quellmoor; yard";`, "27.007 6.3: a name in quotes", []cmd{{"D", Execute, -1, `>"Quellmoor; yard"`}}},
		{"AT+COPS=?;+COPS?;+COPS", "V.250 5.4.3, 5.4.4", []cmd{{"+COPS", Test, -1, ""}, {"+COPS", Read, -1, ""}, {"+COPS", Execute, -1, ""}}},
		{`AT+CMGS="+12025550143"`, "27.005 3.5.1", []cmd{{"+CMGS", Set, -1, `"+12025550143"`}}},
		{`AT+CUSD=1,"*100;1#";+CSQ`, "V.250 5.4.5: ; in a string does not separate", []cmd{{"+CUSD", Set, -1, `1,"*100;1#"`}, {"+CSQ", Execute, -1, ""}}},
		{"AT+CSQ;", "a semicolon at the end separates nothing", []cmd{{"+CSQ", Execute, -1, ""}}},
		{"AT+CSQ\r", "V.250 5.2.1: CR ends the line", []cmd{{"+CSQ", Execute, -1, ""}}},
		{"AT+CSQ\r\n", "27.005 and terminals: CR LF", []cmd{{"+CSQ", Execute, -1, ""}}},
		{"\x00 AT+CSQ", "V.250 5.2.1: what comes before AT is no part of the line", []cmd{{"+CSQ", Execute, -1, ""}}},
		{"AT^MODE=1,(2,3)", "makers' commands are read as V.250 5.4 reads its own", []cmd{{"^MODE", Set, -1, "1,(2,3)"}}},
		{`AT\Q3`, "makers' basic commands", []cmd{{`\Q`, Execute, 3, ""}}},
	} {
		l := ParseLine(tt.line)
		if l.Err != nil {
			t.Errorf("%q: %v\nsource: %s", tt.line, l.Err, tt.source)
		}
		checkCommands(t, l, tt.want)
	}
}

func checkCommands(t *testing.T, l Line, want []cmd) {
	t.Helper()
	if len(l.Commands) != len(want) {
		t.Errorf("%q: commands %+v, want %+v", l.Text, l.Commands, want)
		return
	}
	for i, c := range l.Commands {
		if got := (cmd{c.Name, c.Form, c.Number, c.Value}); got != want[i] {
			t.Errorf("%q: command %d is %+v, want %+v", l.Text, i, got, want[i])
		}
		if !strings.HasPrefix(l.Text[c.At:], c.Text) {
			t.Errorf("%q: command %d says it stands at %d as %q", l.Text, i, c.At, c.Text)
		}
	}
}

func TestRepeat(t *testing.T) { // V.250 5.2.4
	for _, line := range []string{"A/", "a/"} {
		if l := ParseLine(line); !l.Repeat || l.Err != nil {
			t.Errorf("%q: %+v", line, l)
		}
	}
	if l := ParseLine("A/+CSQ"); !l.Repeat || l.Err == nil {
		t.Errorf("A/ with more behind it: %+v", l)
	}
}

// TestSlips: what people type. Err says what would have fitted, and the
// commands that can be read are there.
func TestSlips(t *testing.T) {
	for _, tt := range []struct {
		line string
		at   int
		want string // part of SyntaxError.Want
		cmds []cmd
	}{
		{`AT+CSQ\r\n`, 6, "line end as a byte", []cmd{{"+CSQ", Execute, -1, ""}}},
		{`AT+CSQ/r/n`, 6, "line end as a byte", []cmd{{"+CSQ", Execute, -1, ""}}},
		{`AT\r`, 2, "line end as a byte", nil},
		{`AT<CR>`, 2, "line end as a byte", nil},
		{`AT+CMGF=1\r\nAT+CSQ`, 9, "line end as a byte", []cmd{{"+CMGF", Set, -1, "1"}}},
		{`AT+CMGS="+12025550143"\x0d`, 22, "line end as a byte", []cmd{{"+CMGS", Set, -1, `"+12025550143"`}}},
		{"AT+CMGS=“+12025550143”", 8, "straight quote", []cmd{{"+CMGS", Set, -1, "“+12025550143”"}}},
		{`AT+CMGS='+12025550143'`, 8, "double quote", []cmd{{"+CMGS", Set, -1, `'+12025550143'`}}},
		{`AT+CMGS=\"+12025550143\"`, 8, "without a backslash", []cmd{{"+CMGS", Set, -1, `\"+12025550143\"`}}},
		{`AT+CMGS="+12025550143`, 21, "closing quote for the one at byte 8", []cmd{{"+CMGS", Set, -1, `"+12025550143`}}},
		{`AT+CMGF=1+CSQ`, 9, "; before", []cmd{{"+CMGF", Set, -1, "1+CSQ"}}},
		{`AT+CSQ+CREG?;+CGATT?`, 6, "=, ?, ;", []cmd{{"+CSQ", Execute, -1, ""}, {"+CGATT", Read, -1, ""}}},
		{`AT+CSQ AT+CREG?`, 9, "=, ?, ;", []cmd{{"+CSQAT", Execute, -1, ""}}}, // 5.2.1: a space separates nothing
		{`At+CSQ`, 1, "same case", []cmd{{"+CSQ", Execute, -1, ""}}},
		{`ATAT`, 2, "stands twice", []cmd{{"A", Execute, -1, ""}, {"T", Execute, -1, ""}}},
		{`ATE?`, 2, "only S registers", []cmd{{"E", Read, -1, ""}}},
		{`ATS=1`, 3, "number of a register", []cmd{{"S", Set, -1, "1"}}},
		{`ATS3=x`, 5, "decimal number", []cmd{{"S", Set, 3, ""}, {"X", Execute, -1, ""}}},
		{`AT1`, 2, "a command", nil},
		{`AT&`, 3, "a letter after &", nil},
		{`+CSQ`, 0, "AT, at or A/", nil},
		{``, 0, "AT, at or A/", nil},
		{"\xf0\xffAT+CSQ", 0, "AT, at or A/", []cmd{{"+CSQ", Execute, -1, ""}}},
		{"AT+CSQ\u00a0", 6, "no-break space", []cmd{{"+CSQ", Execute, -1, ""}}},
		{"AT\rAT+CSQ", 2, "CR ends a command line", nil},
		{"AT+ABCDEFGHIJKLMNOPQ", 19, "at most 16", []cmd{{"+ABCDEFGHIJKLMNOPQ", Execute, -1, ""}}},
		{`AT+CUSD=1,"a"b",15`, 13, "after a string", []cmd{{"+CUSD", Set, -1, `1,"a"b",15`}}},
	} {
		l := ParseLine(tt.line)
		var e *SyntaxError
		if !errors.As(l.Err, &e) {
			t.Errorf("%q: no fault found: %+v", tt.line, l)
			continue
		}
		if e.At != tt.at || !strings.Contains(e.Want, tt.want) || e.Text != tt.line {
			t.Errorf("%q: %v; want byte %d, %q", tt.line, e, tt.at, tt.want)
		}
		checkCommands(t, l, tt.cmds)
	}
}

func TestSplitParams(t *testing.T) {
	for _, tt := range []struct {
		text   string
		source string
		want   []Param
	}{
		{"", "nothing was given", nil},
		{"1,,3", "V.250 5.4.4: left-out values keep their comma", []Param{{Text: "1", At: 0}, {Empty: true, At: 2}, {Text: "3", At: 3}}},
		{"1,", "a comma always parts two values", []Param{{Text: "1", At: 0}, {Empty: true, At: 2}}},
		{`"SM",3`, "27.005 3.4.1 +CMTI", []Param{{Text: "SM", Quoted: true, At: 0}, {Text: "3", At: 5}}},
		{`"",1`, "an empty string is a value", []Param{{Quoted: true, At: 0}, {Text: "1", At: 3}}},
		{`"a,b"`, "a comma in a string", []Param{{Text: "a,b", Quoted: true, At: 0}}},
		{`"\22Moor\22 \5C"`, "V.250 5.4.2.2", []Param{{Text: `"Moor" \`, Quoted: true, At: 0}}},
		{`"C:\xyz"`, "a backslash without two hex digits stays", []Param{{Text: `C:\xyz`, Quoted: true, At: 0}}},
		{`0,"Say "hi" now",15`, "modules send quotes bare", []Param{{Text: "0", At: 0}, {Text: `Say "hi" now`, Quoted: true, At: 2}, {Text: "15", At: 17}}},
		{`(0-2),(1,"a,)")`, "test answers of V.250 5.4.4", []Param{{Text: "(0-2)", At: 0}, {Text: `(1,"a,)")`, At: 6}}},
		{` 1 , "x" `, "spaces around values", []Param{{Text: "1", At: 1}, {Text: "x", Quoted: true, At: 5}}},
		{`"open`, "a missing quote costs nothing", []Param{{Text: "open", Quoted: true, At: 0}}},
	} {
		got := SplitParams(tt.text)
		if len(got) != len(tt.want) {
			t.Errorf("%q: %+v, want %+v (%s)", tt.text, got, tt.want, tt.source)
			continue
		}
		for i := range got {
			if got[i] != tt.want[i] {
				t.Errorf("%q: parameter %d is %+v, want %+v (%s)", tt.text, i, got[i], tt.want[i], tt.source)
			}
		}
	}
}

// TestItems: the search answer of +COPS=?, 27.007 7.3.
func TestItems(t *testing.T) {
	a, ok := ParseAnswer(`+COPS: (2,"Quellnet","QN","00101",7),(1,,,"00102"),,(0-4),(0-2)`)
	if !ok || len(a.Params) != 5 {
		t.Fatalf("%+v", a)
	}
	first, ok := a.Params[0].Items()
	if !ok || len(first) != 5 || first[1].Text != "Quellnet" || first[4].Text != "7" {
		t.Errorf("first network: %+v", first)
	}
	if at := first[1].At; a.Text[at:at+10] != `"Quellnet"` {
		t.Errorf("the name stands at %d of %q", at, a.Text)
	}
	second, _ := a.Params[1].Items()
	if len(second) != 4 || !second[1].Empty {
		t.Errorf("second network: %+v", second)
	}
	if _, ok := a.Params[2].Items(); ok {
		t.Error("an empty parameter has no items")
	}
}

func TestEdited(t *testing.T) { // V.250 6.2.3
	for typed, want := range map[string]string{"AT+CSX\bQ": "AT+CSQ", "\b\bAT": "AT", "AT": "AT", "ab\b\b\b": ""} {
		if got := Edited(typed, 8); got != want {
			t.Errorf("%q: %q, want %q", typed, got, want)
		}
	}
}

func TestQuote(t *testing.T) { // V.250 5.4.2.2: \22 and \5C
	if got := Quote("a\"b\\\r"); got != `"a\22b\5C\0D"` {
		t.Error(got)
	}
}

// drawCommand makes a command that Format can write.
func drawCommand(t *rapid.T) Command {
	c := Command{Number: -1, Form: Execute}
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0:
		c.Name = rapid.StringMatching(`&?[BCE-RT-Z]`).Draw(t, "name")
		c.Number = rapid.IntRange(-1, 300).Draw(t, "number")
	case 1:
		c.Name, c.Number, c.Form = "S", rapid.IntRange(0, 99).Draw(t, "register"), rapid.SampledFrom([]Form{Set, Read}).Draw(t, "form")
		if c.Form == Set {
			c.Params = []Param{{Text: rapid.StringMatching(`[0-9]{1,3}`).Draw(t, "value")}}
		}
	case 2:
		c.Name, c.Value = "D", rapid.StringMatching(`[0-9+*#TP,W]{1,20}`).Draw(t, "dial")
	default:
		c.Name = "+" + rapid.StringMatching(`[A-Z][A-Z0-9!%.:_-]{0,14}`).Draw(t, "name")
		c.Form = rapid.SampledFrom([]Form{Execute, Set, Read, Test}).Draw(t, "form")
		if c.Form == Set {
			c.Params = rapid.SliceOfN(rapid.Custom(drawParam), 1, 6).Draw(t, "params")
			if len(c.Params) == 1 && c.Params[0].Empty {
				c.Params = nil
			}
		}
	}
	return c
}

func drawParam(t *rapid.T) Param {
	switch rapid.IntRange(0, 2).Draw(t, "param") {
	case 0:
		return Param{Empty: true}
	case 1:
		return Param{Text: rapid.StringMatching(`[0-9A-F]{1,8}|\([0-9]-[0-9],[0-9]\)`).Draw(t, "bare")}
	}
	return Param{Text: string(rapid.SliceOf(rapid.Byte()).Draw(t, "quoted")), Quoted: true}
}

// TestFormatParses: what Format writes, ParseLine reads back.
func TestFormatParses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOfN(rapid.Custom(drawCommand), 0, 6).Draw(t, "commands")
		line := Format(want...)
		l := ParseLine(line)
		if l.Err != nil || len(l.Commands) != len(want) {
			t.Fatalf("%q: %d commands, %v", line, len(l.Commands), l.Err)
		}
		for i, c := range l.Commands {
			w := want[i]
			if c.Name != w.Name || c.Form != w.Form || c.Number != w.Number || len(c.Params) != len(w.Params) {
				t.Fatalf("%q: command %d is %+v, want %+v", line, i, c, w)
			}
			for k := range c.Params {
				w.Params[k].At = c.Params[k].At
				if c.Params[k] != w.Params[k] {
					t.Fatalf("%q: parameter %d is %+v, want %+v", line, k, c.Params[k], w.Params[k])
				}
			}
		}
		if again := Format(l.Commands...); again != line && !strings.HasSuffix(line, ";") {
			t.Fatalf("%q comes back as %q", line, again)
		}
	})
}

func FuzzParseLine(f *testing.F) {
	for _, s := range []string{"AT", "A/", "ATE0V1+CMEE=1;+CREG=2;+CSQ", `AT+CMGS="+12025550143"`, `AT\r\n`, "AT&F\rAT", "ATS3=13S3?", `ATD>"a;b";`, "AT+A =  ? ; \\", "\xffAT+X=“a”", `AT+A="\22`, "at &", "AT+X=\\r"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l := ParseLine(s)
		if l.Text != s {
			t.Fatal("the text is not kept")
		}
		last := 0
		for _, c := range l.Commands {
			if c.At < last || c.At+len(c.Text) > len(s) || s[c.At:c.At+len(c.Text)] != c.Text || c.Name == "" || c.Form < Execute || c.Form > Test {
				t.Fatalf("%q: %+v", s, c)
			}
			last = c.At + len(c.Text)
			for _, p := range c.Params {
				if p.At < c.At || p.At > len(s) {
					t.Fatalf("%q: parameter %+v stands outside its command %+v", s, p, c)
				}
			}
			LookupCommand(c)
			WaitMS(c)
		}
		var e *SyntaxError
		if errors.As(l.Err, &e) && (e.At < 0 || e.At > len(s)) {
			t.Fatalf("%q: fault at %d", s, e.At)
		}
	})
}

func FuzzSplitParams(f *testing.F) {
	for _, s := range []string{"", "1,,3", `"SM",3`, `"a,b`, `(0-2),(1,"a")`, `"\22"`, `","`, "((,", `"a"b",1`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		params := SplitParams(s)
		if len(params) > strings.Count(s, ",")+1 {
			t.Fatalf("%q: %d parameters", s, len(params))
		}
		last := 0
		for _, p := range params {
			if p.At < last || p.At > len(s) || p.Empty && p.Text != "" {
				t.Fatalf("%q: %+v", s, p)
			}
			last = p.At
			p.Items()
		}
		// What is written from them reads the same.
		again := SplitParams(FormatParams(params))
		if len(params) > 1 && len(again) != len(params) && !strings.ContainsAny(s, `"()`) {
			t.Fatalf("%q: %d parameters, %d after writing", s, len(params), len(again))
		}
	})
}
