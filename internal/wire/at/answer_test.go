package at

import (
	"strings"
	"testing"
)

// TestParseResult: V.250 table 1, 27.007 9.2, 27.005 3.2.5.
func TestParseResult(t *testing.T) {
	for _, tt := range []struct {
		line string
		want Result
	}{
		{"OK", Result{Kind: OK, Code: -1}},
		{"OK\r", Result{Kind: OK, Code: -1}},
		{"CONNECT", Result{Kind: Connect, Code: -1}},
		{"CONNECT 115200", Result{Kind: Connect, Code: -1, Text: "115200"}},
		{"RING", Result{Kind: Ring, Code: -1}},
		{"NO CARRIER", Result{Kind: NoCarrier, Code: -1}},
		{"ERROR", Result{Kind: Error, Code: -1}},
		{"NO DIALTONE", Result{Kind: NoDialtone, Code: -1}},
		{"NO DIAL TONE", Result{Kind: NoDialtone, Code: -1}},
		{"BUSY", Result{Kind: Busy, Code: -1}},
		{"NO ANSWER", Result{Kind: NoAnswer, Code: -1}},
		{"0", Result{Kind: OK, Code: -1, Numeric: true}},
		{"1", Result{Kind: Connect, Code: -1, Numeric: true}},
		{"2", Result{Kind: Ring, Code: -1, Numeric: true}},
		{"3", Result{Kind: NoCarrier, Code: -1, Numeric: true}},
		{"4", Result{Kind: Error, Code: -1, Numeric: true}},
		{"6", Result{Kind: NoDialtone, Code: -1, Numeric: true}},
		{"7", Result{Kind: Busy, Code: -1, Numeric: true}},
		{"8", Result{Kind: NoAnswer, Code: -1, Numeric: true}},
		{"+CME ERROR: 10", Result{Kind: CMEError, Code: 10}},
		{"+CME ERROR:10", Result{Kind: CMEError, Code: 10}},
		{"+CME ERROR : 10", Result{Kind: CMEError, Code: 10}},
		{"+CME ERROR:  10 ", Result{Kind: CMEError, Code: 10}},
		{"+CMEERROR", Result{}},
		{"+CME ERROR: SIM not inserted", Result{Kind: CMEError, Code: -1, Text: "SIM not inserted"}},
		{"+CME ERROR", Result{Kind: CMEError, Code: -1}},
		{"+CMS ERROR: 500", Result{Kind: CMSError, Code: 500}},
		{"+CMS ERROR: memory full", Result{Kind: CMSError, Code: -1, Text: "memory full"}},
		{"5", Result{}}, {"9", Result{}}, {"00", Result{}}, {"", Result{}}, {" ", Result{}}, {"ok", Result{}}, {"OK then", Result{}},
		{"ERRORS", Result{}}, {"CONNECTED", Result{}}, {"RINGS", Result{}}, {"+CMTI: \"SM\",3", Result{}}, {"+CMGS: 12", Result{}},
		{"NO", Result{}}, {"+CM", Result{}}, {"+CMX ERROR: 1", Result{}},
	} {
		got, ok := ParseResult(tt.line)
		if ok != (tt.want.Kind != NoResult) || ok && got != tt.want {
			t.Errorf("%q: %+v %v, want %+v", tt.line, got, ok, tt.want)
		}
	}
}

func TestFinal(t *testing.T) { // V.250 5.7.1 and table 1
	for k, want := range map[ResultKind]bool{OK: true, Connect: false, Ring: false, NoCarrier: true, Error: true, NoDialtone: true, Busy: true, NoAnswer: true, CMEError: true, CMSError: true, NoResult: false} {
		if k.Final() != want {
			t.Errorf("kind %d final: %v", k, k.Final())
		}
	}
}

func TestParseAnswer(t *testing.T) {
	for _, tt := range []struct {
		line, name string
		params     []string
	}{
		{"+CSQ: 18,99", "+CSQ", []string{"18", "99"}},
		{"+CSQ:18,99", "+CSQ", []string{"18", "99"}},
		{`+CREG: 1,"00C3","01A2B3C4",7`, "+CREG", []string{"1", "00C3", "01A2B3C4", "7"}},
		{"+C5GREG: 0,1", "+C5GREG", []string{"0", "1"}},
		{`+CMT: "+12025550143",,"24/05/06,22:10:00+08"`, "+CMT", []string{"+12025550143", "", "24/05/06,22:10:00+08"}},
		{"+CGEV: NW DETACH", "+CGEV", []string{"NW DETACH"}},
		{"^HINT: 1", "^HINT", []string{"1"}}, {"*NOTE:", "*NOTE", nil}, {"#POS: 1", "#POS", []string{"1"}}, {"$POS: 1", "$POS", []string{"1"}}, {"%RATE: 2", "%RATE", []string{"2"}},
		{"+CSQ: 18,99\r\n", "+CSQ", []string{"18", "99"}},
		// No prefix: the line's own name is none of ours.
		{"+CME ERROR: 10", "", nil}, {"OK", "", nil}, {"$GPGLL,4916.45,N", "", nil}, {"+csq: 1", "", nil}, {"+CSQ", "", nil}, {"+: 1", "", nil}, {"", "", nil}, {"AT+CSQ", "", nil}, {"Model: demo", "", nil}, {"+1: 2", "", nil},
	} {
		a, ok := ParseAnswer(tt.line)
		if ok != (tt.name != "") || a.Name != tt.name || len(a.Params) != len(tt.params) || a.Text != tt.line {
			t.Errorf("%q: %+v %v, want %q %q", tt.line, a, ok, tt.name, tt.params)
			continue
		}
		for i, p := range a.Params {
			if p.Text != tt.params[i] || p.Empty != (tt.params[i] == "") {
				t.Errorf("%q: parameter %d is %+v, want %q", tt.line, i, p, tt.params[i])
			}
		}
	}
}

func FuzzParseResult(f *testing.F) {
	for _, s := range []string{"OK", "0", "+CME ERROR: 10", "+CMS ERROR:", "CONNECT 9600", "NO DIAL TONE", "+CME", "+CME ERRORx", "+CME    "} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, ok := ParseResult(s)
		if ok != (r.Kind != NoResult) {
			t.Fatalf("%q: %+v %v", s, r, ok)
		}
		if _, answer := ParseAnswer(s); ok && answer && r.Kind < CMEError {
			t.Fatalf("%q is a result and an answer", s)
		}
	})
}

func FuzzParseAnswer(f *testing.F) {
	for _, s := range []string{"+CSQ: 18,99", `+CREG: 1,"00C3","01A2",7`, "+A:", "^X: (1,2),\"", "+CMT: ,\r", "+C5GREG:0,1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, ok := ParseAnswer(s)
		if a.Text != s || ok != (a.Name != "") {
			t.Fatalf("%q: %+v %v", s, a, ok)
		}
		for _, p := range a.Params {
			if p.At <= len(a.Name) || p.At > len(s) {
				t.Fatalf("%q: %+v", s, p)
			}
		}
		HasBody(a)
		ParseRegistration(a)
	})
}

// benchLines is what a module says in a day, roughly in its proportions.
var benchLines = []string{
	"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", "OK", "+CSQ: 18,99", "AT+CSQ", "", "OK", `+CREG: 1,"00C3","01A2B3C4",7`,
	"+CMGS: 12", "OK", "ERROR", "+CME ERROR: 10", `+CMTI: "SM",3`, `+CMT: "+12025550143",,"24/05/06,22:10:00+08"`, "trailer 07 is in the yard", "RING", "0", "861234567890123", "NO CARRIER", "+CCLK: \"24/05/06,22:10:00+08\"", "CONNECT 115200",
}

// Enough: 60 ns per line, and no allocation but the parameters of answers
// (7 of the 20 lines). A gigabyte a day is 40 million lines; they have 10 s
// for all steps together on one core.
func BenchmarkModuleLines(b *testing.B) {
	bytes := 0
	for _, l := range benchLines {
		bytes += len(l) + 2
	}
	b.SetBytes(int64(bytes))
	b.ReportAllocs()
	for b.Loop() {
		for _, l := range benchLines {
			if _, ok := ParseResult(l); !ok {
				ParseAnswer(l)
			}
		}
	}
}

// Enough: 5 ns per line, no allocation.
func BenchmarkParseResult(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		for _, l := range benchLines {
			ParseResult(l)
		}
	}
}

// Enough: 1 µs for a line of three commands.
func BenchmarkParseLine(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		ParseLine(`ATE0+CMGF=1;+CMGS="+12025550143"`)
	}
}

// Enough: 200 ns.
func BenchmarkLookup(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Lookup("+CREG")
	}
}

func TestParseResultDoesNotAllocate(t *testing.T) {
	size := 0
	if n := testing.AllocsPerRun(100, func() {
		for _, l := range benchLines {
			ParseResult(l)
			name, _ := AnswerName(l)
			size += len(name)
		}
	}); n != 0 || size == 0 {
		t.Errorf("%v allocations, %d bytes of names", n, size)
	}
}

// TestLongInput: one line of 1 MB is read in the time of its length. A reader
// that looks again and again at the same bytes would take minutes here.
func TestLongInput(t *testing.T) {
	const n = 1 << 20
	for _, piece := range []string{"A", "\"", "\" ", ",", "(", "\\", "\\r", "\r", " ", "+", "+A ", ";", "&", "E1", "\xff", "“", "'", "=", "+A=\"x\";", "1"} {
		body := strings.Repeat(piece, n/len(piece))
		for _, s := range []string{"AT" + body, "AT+X=" + body, "+X:" + body, "+CME ERROR:" + body} {
			if l := ParseLine(s); l.Text != s {
				t.Fatal("the text is not kept")
			}
			ParseResult(s)
			if a, _ := ParseAnswer(s); a.Text != s {
				t.Fatal("the text is not kept")
			}
		}
	}
}
