package sms

import (
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

// TestDefaultAlphabetAgainstPrintedOrder compares the main table with the alphabet
// typed in reading order (TS 23.038 clause 6.2.1) and the extension with the list
// of clause 6.2.1.1; both lists are slow_test.go's.
func TestDefaultAlphabetAgainstPrintedOrder(t *testing.T) {
	letters := []rune(slowAlphabet)
	if len(letters) != 128 {
		t.Fatalf("%d letters typed", len(letters))
	}
	for septet, want := range letters {
		got := rune(defaultMain[septet])
		if septet == escape {
			want = 0
		}
		if got != want {
			t.Errorf("0x%02X: %q, want %q", septet, got, want)
		}
	}
	n := 0
	for septet, r := range defaultShift {
		if r != 0 {
			n++
			if slowExtension[rune(r)] != septet {
				t.Errorf("extension 0x%02X: %q", septet, rune(r))
			}
		}
	}
	if n != len(slowExtension) {
		t.Errorf("%d characters in the extension, want %d", n, len(slowExtension))
	}
}

// TestNationalTablesSpots checks characters against TS 23.038 annex A, read off the
// printed tables from memory of them, apart from the transcription.
func TestNationalTablesSpots(t *testing.T) {
	for _, spot := range []struct {
		shift  Shift
		clause string
		r      rune
		want   []byte
	}{
		{Shift{Single: 1}, "A.2.1", 'ş', []byte{0x1B, 0x73}},
		{Shift{Single: 1}, "A.2.1", 'ğ', []byte{0x1B, 0x67}},
		{Shift{Single: 1}, "A.2.1", 'İ', []byte{0x1B, 0x49}},
		{Shift{Single: 1}, "A.2.1", 'ı', []byte{0x1B, 0x69}},
		{Shift{Locking: 1}, "A.3.1", 'ğ', []byte{0x0C}},
		{Shift{Locking: 1}, "A.3.1", 'İ', []byte{0x40}},
		{Shift{Locking: 1}, "A.3.1", 'ı', []byte{0x07}},
		{Shift{Locking: 1}, "A.3.1", 'ş', []byte{0x1D}},
		{Shift{Locking: 1}, "A.3.1", '€', []byte{0x04}},
		{Shift{Single: 2}, "A.2.2", 'á', []byte{0x1B, 0x61}},
		{Shift{Single: 2}, "A.2.2", 'ú', []byte{0x1B, 0x75}},
		{Shift{Single: 2}, "A.2.2", 'ç', []byte{0x1B, 0x09}},
		{Shift{Single: 2}, "A.2.2", 'ñ', []byte{0x7D}},
		{Shift{Single: 3}, "A.2.3", 'ã', []byte{0x1B, 0x7B}},
		{Shift{Single: 3}, "A.2.3", 'ê', []byte{0x1B, 0x05}},
		{Shift{Locking: 3}, "A.3.3", 'ã', []byte{0x7B}},
		{Shift{Locking: 3}, "A.3.3", 'õ', []byte{0x7C}},
		{Shift{Locking: 3}, "A.3.3", 'ç', []byte{0x09}},
		{Shift{Locking: 3}, "A.3.3", '∞', []byte{0x15}},
		{Shift{Locking: 3}, "A.3.3", 'ª', []byte{0x12}},
	} {
		got, stopped := spot.shift.AppendSeptets(nil, string(spot.r))
		if stopped >= 0 || string(got) != string(spot.want) {
			t.Errorf("%s %q: % X, want % X", spot.clause, spot.r, got, spot.want)
		}
	}
}

// TestNationalTablesHangTogether by what the standard says of them as a whole: no
// character stands twice in one table; the Latin letters, digits and signs of the
// Indic tables keep their ASCII places (locking: small letters, single: capitals);
// every other letter belongs to the script of the language.
func TestNationalTablesHangTogether(t *testing.T) {
	scripts := map[Language]*unicode.RangeTable{
		4: unicode.Bengali, 5: unicode.Gujarati, 6: unicode.Devanagari, 7: unicode.Kannada, 8: unicode.Malayalam,
		9: unicode.Oriya, 10: unicode.Gurmukhi, 11: unicode.Tamil, 12: unicode.Telugu, 13: unicode.Arabic,
	}
	// In the single shift tables from Bengali on the standard prints two signs twice
	// (A.2.4 to A.2.13), as all transcriptions agree.
	twice := map[rune][2]int{'¡': {0x13, 0x15}, '*': {0x0B, 0x18}}
	for l := range languages {
		language := Language(l)
		for name, table := range map[string]*table{"locking": languages[l].main, "single": languages[l].shift} {
			if table == nil {
				continue
			}
			seen := map[uint16]int{}
			for septet, r := range table {
				if r == 0 {
					continue
				}
				if before, ok := seen[r]; ok && !(name == "single" && before == twice[rune(r)][0] && septet == twice[rune(r)][1]) {
					t.Errorf("%v %s: %q at 0x%02X and 0x%02X", language, name, rune(r), before, septet)
				}
				seen[r] = septet
				script := scripts[language]
				if script == nil || r < 0x250 || !unicode.IsLetter(rune(r)) {
					continue
				}
				if !unicode.In(rune(r), script, unicode.Common) {
					t.Errorf("%v %s 0x%02X: %q is of another script", language, name, septet, rune(r))
				}
			}
			if table[escape] != 0 {
				t.Errorf("%v %s: the escape has a character", language, name)
			}
			if scripts[language] != nil {
				checkLatin(t, language, name, table)
			}
		}
	}
	if Language(2).HasLocking() || !Language(2).HasSingle() {
		t.Error("Spanish has a single shift and no locking shift, annex A.3.2")
	}
}

func checkLatin(t *testing.T, l Language, name string, table *table) {
	t.Helper()
	from, to := 'a', 'z'
	if name == "single" {
		from, to = 'A', 'Z'
	}
	for r := from; r <= to; r++ {
		if rune(table[r]) != r {
			t.Errorf("%v %s: %q at the place of %q", l, name, rune(table[r]), r)
		}
	}
	if name == "locking" {
		for r := '0'; r <= '9'; r++ {
			if rune(table[r]) != r {
				t.Errorf("%v locking: %q at the place of %q", l, rune(table[r]), r)
			}
		}
	}
}

// TestUnassignedSeptets is TS 23.038 clause 6.2.1.1: behind an escape, a septet
// without a character is shown as in the main table, a second escape as a space.
func TestUnassignedSeptets(t *testing.T) {
	for _, c := range []struct {
		septets []byte
		want    string
	}{
		{[]byte{0x1B, 0x41}, "A"},
		{[]byte{0x1B, 0x1B, 0x41}, " A"},
		{[]byte{0x41, 0x1B}, "A "},
		{[]byte{0x1B, 0x65}, "€"},
		{[]byte{0x00, 0x02, 0x11}, "@$_"},
	} {
		if got := (Shift{}).Text(c.septets); got != c.want {
			t.Errorf("% X: %q, want %q", c.septets, got, c.want)
		}
	}
	if got := (Shift{Single: 99, Locking: 99}).Text([]byte{0x41, 0x1B, 0x65}); got != "A€" {
		t.Errorf("reserved languages: %q, want the default tables", got)
	}
}

// letters returns what can be written with s.
func (s Shift) letters() []rune {
	var out []rune
	main, shift := s.tables()
	for _, t := range []*table{main, shift} {
		for septet, r := range t {
			if r != 0 && septet != escape {
				out = append(out, rune(r))
			}
		}
	}
	return out
}

func anyShift(t *rapid.T) Shift {
	return Shift{Locking: Language(rapid.IntRange(0, 13).Draw(t, "locking")), Single: Language(rapid.IntRange(0, 13).Draw(t, "single"))}
}

func textIn(t *rapid.T, s Shift, most int) string {
	return rapid.StringOfN(rapid.SampledFrom(s.letters()), 0, most, -1).Draw(t, "text")
}

// TestSeptetsRoundTrip: any text, any tables, any fill.
func TestSeptetsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyShift(t)
		text := textIn(t, s, 200)
		septets, stopped := s.AppendSeptets(nil, text)
		if stopped >= 0 {
			t.Fatalf("stopped at %d of %q", stopped, text)
		}
		fill := rapid.IntRange(0, 6).Draw(t, "fill")
		packed := Pack(nil, septets, fill)
		if want := (fill + 7*len(septets) + 7) / 8; len(packed) != want {
			t.Fatalf("%d octets, want %d", len(packed), want)
		}
		if got := s.Text(Unpack(nil, packed, fill, len(septets))); got != text {
			t.Fatalf("%q came back as %q", text, got)
		}
		ints := make([]int, len(septets))
		for i, x := range septets {
			ints[i] = int(x)
		}
		if got := slowPack(ints, fill); !strings.EqualFold(got, hexOf(packed)) {
			t.Fatalf("the bit-by-bit writer makes %s, not %s", got, hexOf(packed))
		}
	})
}

func hexOf(o []byte) string {
	var b strings.Builder
	for _, x := range o {
		b.WriteByte(hexDigits[x>>4])
		b.WriteByte(hexDigits[x&15])
	}
	return b.String()
}
