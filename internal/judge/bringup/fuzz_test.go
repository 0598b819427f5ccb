package bringup

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/judge/rules"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
	"firstfix/internal/when"
	"firstfix/internal/wire/sheet"
)

// FuzzReview judges whatever passes a line: it never fails, and its verdict is sound.
func FuzzReview(f *testing.F) {
	files, _ := filepath.Glob("testdata/*/*.talk")
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b))
	}
	f.Add("x\n\n1.000 > AT+CSMP?\\r\n1.100 < \\r\\n+CSMP: ,,,\\r\\n+CBC: \\r\\n+CPMS: \"SM\",1\\r\\n+CREG: \\r\\n\\r\\nOK\\r\\n")
	f.Fuzz(func(t *testing.T, text string) {
		talk, err := intake.ParseTalk(strings.NewReader(text))
		if err != nil && len(talk.Records) == 0 {
			return
		}
		v, err := Review(&memory{talk.Records, talk.Info}, Options{Rules: rules.All})
		if err != nil {
			t.Fatal(err)
		}
		checkSound(t, v)
	})
}

// FuzzWalk lets anything answer a walk: it ends, it spends nothing, it never gives a PIN.
func FuzzWalk(f *testing.F) {
	f.Add([]byte("\r\nOK\r\n"), uint16(20))
	f.Add([]byte("\r\n+CPIN: SIM PIN\r\n\r\nOK\r\n"), uint16(5))
	f.Add([]byte("\r\n+CREG: 0,1\r\n+CSQ: 3,0\r\n+CNUM: ,\"+12025550143\",145\r\n\r\nOK\r\n"), uint16(1))
	f.Add([]byte("\r\nERROR\r\n> \x00\xff$GPRMC,,V,,,,,,,,,,N*53\r\nDEMO READY\r\n"), uint16(900))
	f.Add([]byte("\r\n+CME ERROR: 14\r\n"), uint16(30))
	f.Fuzz(func(t *testing.T, answer []byte, afterMS uint16) {
		demo, _ := sheet.Builtin("demo")
		w := NewWalker(WalkOptions{Sheet: demo, Baud: 9600})
		now := when.Instant(0)
		for steps := 0; !w.Done(); steps++ {
			due, _ := w.Deadline()
			if steps > 100_000 || due == when.Never || due.Sub(0) > 2*MaxWalk {
				t.Fatalf("the walk does not end: step %d, deadline %v", steps, due)
			}
			now = max(now, due)
			if out := w.Tick(now, nil); len(out) > 0 {
				now = now.Add(0) + when.Instant(afterMS)*when.Millisecond
				w.Feed(now, answer, nil)
			}
		}
		src := w.Source()
		for {
			r, err := src.Next()
			if err == io.EOF {
				break
			}
			for _, never := range []string{"+CMGS=", "+CPIN=", "ATD", "+CGACT=1", "&F", "&W"} {
				if r.From == capture.Controller && strings.Contains(r.Bytes, never) {
					t.Fatalf("%q was sent", r.Bytes)
				}
			}
		}
		v, err := CheckVerdict(w.Source(), w.Walked(), Options{Rules: rules.All, Sheet: demo})
		if err != nil {
			t.Fatal(err)
		}
		checkSound(t, v)
	})
}
