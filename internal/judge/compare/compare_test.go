package compare

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/intake"
)

func read(t *testing.T, file string) (*Tale, intake.Talk) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	talk, err := intake.ParseTalk(f)
	if err != nil {
		t.Fatal(err)
	}
	j := rulebook.NewJudge(nil, talk.Info, rulebook.Options{Banners: []string{"DEMO READY"}})
	tale := Watch(j)
	for _, r := range talk.Records {
		j.Feed(r)
	}
	j.End()
	return tale, talk
}

// TestFixtures holds each testdata/<name>.talk against testdata/<name>.good. What should
// follow stands in the file, written by hand: "^ first: …" under the record where the first
// divergence in meaning shows ("^ first: none"), "^ also: …" for a further difference,
// "^ setting: +CMGF 0 1" (here, there), "^ timing: …". A setting or time that differs
// without being expected fails.
func TestFixtures(t *testing.T) {
	files, _ := filepath.Glob("testdata/*.talk")
	if len(files) == 0 {
		t.Fatal("no fixtures")
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			good, _ := read(t, strings.TrimSuffix(file, ".talk")+".good")
			here, talk := read(t, file)
			c := here.Against(good)
			settings, timing := 0, 0
			for _, e := range talk.Expectations {
				matches := regexp.MustCompile(e.Pattern).MatchString
				ok := false
				switch e.Rule {
				case "first":
					if e.Pattern == "none" {
						ok = c.First == nil
						break
					}
					ok = c.First != nil && matches(c.First.Says) && (len(c.First.Here) == 0 || c.First.Here[0].Record == e.Record)
				case "also":
					for _, d := range c.Differences {
						ok = ok || matches(d.Says)
					}
				case "setting":
					settings++
					for _, s := range c.Settings {
						ok = ok || matches(s.Name+" "+s.Here+" "+s.There)
					}
				case "timing":
					timing++
					for _, d := range c.Timing {
						ok = ok || matches(d.What)
					}
				}
				if !ok {
					t.Errorf("line %d: %s: %s is not so:\n%s", e.Line, e.Rule, e.Pattern, tell(c))
				}
			}
			if len(c.Settings) != settings || len(c.Timing) != timing {
				t.Errorf("%d settings and %d times differ: want %d and %d\n%s", len(c.Settings), len(c.Timing), settings, timing, tell(c))
			}
		})
	}
}

func tell(c *verdict.Comparison) string {
	var b strings.Builder
	if c.First != nil {
		b.WriteString("first: " + c.First.Says + "\n")
	}
	for _, d := range c.Differences {
		b.WriteString(d.Kind + ": " + d.Says + "\n")
	}
	for _, s := range c.Settings {
		b.WriteString("setting " + s.Name + " " + s.Here + " | " + s.There + "\n")
	}
	for _, d := range c.Timing {
		b.WriteString("timing " + d.What + "\n")
	}
	return b.String()
}

// A dialogue does not differ from itself.
func TestNoDifferenceFromItself(t *testing.T) {
	files, _ := filepath.Glob("testdata/*")
	more, _ := filepath.Glob("../bringup/testdata/*/*.talk")
	for _, file := range append(files, more...) {
		if info, err := os.Stat(file); err != nil || info.IsDir() {
			continue
		}
		a, _ := read(t, file)
		b, _ := read(t, file)
		if c := a.Against(b); c.First != nil || len(c.Differences)+len(c.Settings)+len(c.Timing) > 0 {
			t.Errorf("%s differs from itself:\n%s", file, tell(c))
		}
	}
}

// longestRising marks a subsequence that rises, and none is longer: checked against all of them.
func TestLongestRising(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.IntRange(0, 9), 0, 9).Draw(t, "v")
		marks := longestRising(v)
		got, last := 0, -1
		for i, in := range marks {
			if !in {
				continue
			}
			if v[i] <= last {
				t.Fatalf("%v marks %v, which does not rise", v, marks)
			}
			last = v[i]
			got++
		}
		best := 0
		for set := range 1 << len(v) {
			n, last, ok := 0, -1, true
			for i := range v {
				if set>>i&1 == 1 {
					ok = ok && v[i] > last
					last = v[i]
					n++
				}
			}
			if ok {
				best = max(best, n)
			}
		}
		if got != best {
			t.Fatalf("%v marks %d, the longest has %d", v, got, best)
		}
	})
}
