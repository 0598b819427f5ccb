package message

import (
	"errors"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"firstfix/internal/wire/sms"

	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"
)

// TestSubstitutesAreCheap: every substitute is in the default alphabet (TS 23.038 clause
// 6.2.1), and nothing is listed that needs none.
func TestSubstitutesAreCheap(t *testing.T) {
	list := map[rune]string{'°': "deg"}
	for r, with := range sameMeaning {
		list[r] = with
	}
	for i, r := range []rune(marked) {
		list[r] = bare[i : i+1]
	}
	for r, with := range list {
		if _, stopped := (sms.Shift{}).AppendSeptets(nil, with); stopped >= 0 {
			t.Errorf("U+%04X is replaced by %q, which is not in the alphabet", r, with)
		}
		if inAlphabet(r) {
			t.Errorf("%q is in the alphabet and needs no substitute", r)
		}
	}
	if utf8.RuneCountInString(marked) != len(bare) {
		t.Fatalf("%d letters with marks, %d without", utf8.RuneCountInString(marked), len(bare))
	}
}

// TestNearLetters compares the letters with the decomposition of the Unicode standard (annex
// 15); the letters with a stroke have none there.
func TestNearLetters(t *testing.T) {
	strokes := map[rune]string{'đ': "d", 'Đ': "D", 'ħ': "h", 'Ħ': "H", 'ł': "l", 'Ł': "L", 'ı': "i"}
	for i, r := range []rune(marked) {
		want := norm.NFD.String(string(r))[:1]
		if s, ok := strokes[r]; ok {
			want = s
		}
		if bare[i:i+1] != want {
			t.Errorf("%q is taken for %q, Unicode says %q", r, bare[i:i+1], want)
		}
	}
}

func TestInAlphabet(t *testing.T) {
	for r := rune(1); r < 0x3000; r++ {
		_, stopped := (sms.Shift{}).AppendSeptets(nil, string(r))
		if want := stopped < 0; inAlphabet(r) != want && r >= ' ' {
			t.Errorf("U+%04X: %v", r, inAlphabet(r))
		}
	}
}

func TestDegrees(t *testing.T) {
	for text, want := range map[string]string{
		"51°42.613'N": "51 42.613'N", "20°C": "20 deg C", "20 °C": "20 deg C", "turn 90°.": "turn 90 deg.", "-5° tonight": "-5 deg tonight", "°": "deg",
	} {
		if got := Substituted(text, false); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}

// TestSubstituted: what is left forces UCS2 only by characters without a substitute.
func TestSubstituted(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("a1 ’–…°“”Żółćмя½€\n"))).Draw(rt, "text")
		got := Substituted(text, true)
		for _, f := range Forcers(got) {
			if f.Offered {
				rt.Fatalf("%q became %q, in which %q could be replaced", text, got, f.Rune)
			}
		}
		if sms.Measure(got).Parts > sms.Measure(text).Parts && len(Forcers(got)) == 0 && !strings.ContainsAny(text, "°½…") {
			rt.Fatalf("%q became dearer: %q", text, got)
		}
	})
}

func TestClean(t *testing.T) {
	for _, c := range []struct {
		in, out  string
		troubles int
	}{
		{"plain\ntext", "plain\ntext", 0}, {"a\r\nb\rc", "a\nb\nc", 0}, {"a\tb", "a b", 0}, {"\ufeffa\u00adb\u202ec", "abc", 0},
		{"👩\u200d🌾", "👩\u200d🌾", 0}, {"a\x1ab", "ab", 1}, {"a\x1bb", "ab", 1}, {"a\x00", "a", 1}, {"a\x08b", "ab", 1}, {"a\x7fb", "ab", 1}, {"\xff", "", 1}, {"a\fb", "a\fb", 0},
	} {
		out, troubles := Clean(c.in)
		if out != c.out || len(troubles) != c.troubles {
			t.Errorf("%q becomes %q, %+v", c.in, out, troubles)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		once, _ := Clean(rapid.String().Draw(rt, "text") + string(rapid.SliceOf(rapid.Byte()).Draw(rt, "bytes")))
		if again, troubles := Clean(once); again != once || len(troubles) > 0 {
			rt.Fatalf("%q is cleaned again to %q, %+v", once, again, troubles)
		}
	})
}

// TestWorkshop: the ready values of TS 23.038 clause 4 and TS 23.040 clause 9.2.2.2.
func TestWorkshop(t *testing.T) {
	p := Usual
	p.FO |= 0x20
	p.SetValidity(DefaultValidity)
	if !p.SetAlphabet("ucs2") || p.String() != "49,167,0,8" {
		t.Errorf("24 h, report, UCS2 is %s", p)
	}
	for _, c := range []struct {
		alphabet string
		class    int
		dcs      int
	}{{"gsm7", 0, 16}, {"ucs2", 0, 24}, {"gsm7", 1, 17}, {"gsm7", 2, 18}, {"gsm7", 3, 19}, {"data8", 0, 20}, {"data8", 1, 21}} {
		p := Usual
		if !p.SetAlphabet(c.alphabet) || !p.SetClass(c.class) || p.DCS != c.dcs {
			t.Errorf("%s of class %d is %d, want %d", c.alphabet, c.class, p.DCS, c.dcs)
		}
		q := Usual // in the other order the same
		if !q.SetClass(c.class) || !q.SetAlphabet(c.alphabet) || q.DCS != c.dcs {
			t.Errorf("class %d of %s is %d, want %d", c.class, c.alphabet, q.DCS, c.dcs)
		}
	}
	p = Parameters{FO: 17, VP: 167, DCS: 245} // 1111 0101: 8-bit data of class 1
	if p.SetAlphabet("gsm7"); p.DCS != 17 {
		t.Errorf("245 with the default alphabet is %d, want 17", p.DCS)
	}
	p = Usual
	if p.NoValidity(); p.FO != 1 {
		t.Errorf("no validity is %s", p)
	}
	if p.SetAlphabet("utf8") || p.SetClass(4) || p.SetClass(-1) {
		t.Error("what is not there was set")
	}
	for _, bad := range []string{"", "x", "1,2,3,4,5", "256", "-1", "17,167,0,\"8\"", "17.5"} {
		var e *OrderError
		if _, err := ParseParameters(bad); !errors.As(err, &e) {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

// TestParameters: words and numbers go round.
func TestParameters(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := Parameters{FO: rapid.IntRange(0, 255).Draw(rt, "fo"), VP: rapid.IntRange(0, 255).Draw(rt, "vp"), PID: rapid.IntRange(0, 255).Draw(rt, "pid"), DCS: rapid.IntRange(0, 255).Draw(rt, "dcs")}
		if rapid.Bool().Draw(rt, "quoted") {
			p.VP, p.Quoted = sms.QuotedValidity, rapid.StringMatching(`[0-9/:,+" \\]{0,20}`).Draw(rt, "vp text")
		}
		if back, err := ParseParameters(p.String()); err != nil || back != p {
			rt.Fatalf("%+v is written %s and read as %+v, %v", p, p, back, err)
		}
		class := rapid.IntRange(0, 3).Draw(rt, "class")
		alphabet := rapid.SampledFrom([]string{"gsm7", "data8", "ucs2"}).Draw(rt, "alphabet")
		q := p
		q.SetClass(class)
		q.SetAlphabet(alphabet)
		coding := sms.ReadDCS(byte(q.DCS))
		if got, _ := coding.Class.Get(); got != class || coding.ReadAs() != map[string]sms.Alphabet{"gsm7": sms.Default7, "data8": sms.Data8, "ucs2": sms.UCS2}[alphabet] || q.FO != p.FO {
			rt.Fatalf("%s with class %d and %s is %s: %+v", p, class, alphabet, q, coding)
		}
	})
}

// docs/formats/remote-commands.md names every command, limit and reserved word.
func TestRemoteDocument(t *testing.T) {
	doc, err := os.ReadFile("../../../docs/formats/remote-commands.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range UsualCommands {
		if !strings.Contains(string(doc), "`"+c.Word) {
			t.Errorf("the document does not have %s", c.Word)
		}
	}
	for _, w := range dangerousWords {
		if !strings.Contains(string(doc), w) {
			t.Errorf("the document does not have the word %s", w)
		}
	}
}
