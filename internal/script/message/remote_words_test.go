package message

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestReadRemote: the examples of docs/formats/remote-commands.md and what comes near them. "" is
// a word without a problem; nil means that the text is no command.
func TestReadRemote(t *testing.T) {
	for text, want := range map[string][]string{
		"where":                                 {""},
		"Status.":                               {""},
		"interval 30 #7 K7M2QX":                 {"", "", "", ""},
		"reports 0 #8 9PQ4TZ":                   {"", "", "", ""},
		"forget #9 HHW2A7":                      {"", "", ""},
		"forget  #9   hhw2a7":                   {"", "", ""},
		"interval 3 #7 K7M2QX":                  {"", "minutes from 5", "", ""},
		"interval 30 #0 K7M2QX":                 {"", "", "from 1 to", ""},
		"interval 30 #7 K7M2Q0":                 {"", "", "", "6 characters"},
		"interval 30":                           {"#number", ""},
		"interval #7 K7M2QX":                    {"minutes behind", "", ""},
		"interval 30 K7M2QX #7":                 {"", "", "6 characters", "in front"},
		"where is the trailer":                  nil,
		"forget it":                             nil,
		"hello":                                 nil,
		"":                                      nil,
		"reports that nobody reads":             nil,
		"where" + strings.Repeat(" ", 60) + ".": nil,
	} {
		words, ok := ReadRemote(text)
		if !ok {
			words = nil
		}
		if len(words) != len(want) {
			t.Errorf("%q: %+v", text, words)
			continue
		}
		for i, w := range words {
			if want[i] == "" && w.Problem != "" || !strings.Contains(w.Problem, want[i]) || text[w.At:w.At+len(w.Text)] != w.Text || w.Name == "" || w.Means == "" {
				t.Errorf("%q: word %d is %+v, want problem %q", text, i, w, want[i])
			}
		}
	}
}

// TestReadRemoteAgrees: what the device obeys is read without a problem.
func TestReadRemoteAgrees(t *testing.T) {
	secret := []byte("0123456789abcdef")
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, MaxSequence).Draw(rt, "number")
		text := rapid.SampledFrom([]string{"interval 30", "reports 1", "forget"}).Draw(rt, "command") + " #" + itoa(n) + " " + Code(secret, "trailer-07", n)
		words, ok := ReadRemote(text)
		for _, w := range words {
			ok = ok && w.Problem == ""
		}
		if !ok {
			rt.Fatalf("%q: %+v", text, words)
		}
	})
}

func FuzzReadRemote(f *testing.F) {
	for _, s := range []string{"where", "interval 30 #7 K7M2QX", "forget #", "reports  # #", "INTERVAL\t5 #1 a!"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		words, ok := ReadRemote(s)
		for _, w := range words {
			if ok && (s[w.At:w.At+len(w.Text)] != w.Text || w.Name == "") {
				t.Fatalf("%q: %+v", s, w)
			}
		}
	})
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + itoa(n%10)
}
