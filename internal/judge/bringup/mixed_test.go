package bringup_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/intake"
)

// seconds cuts raw sentences into what was said in each second.
func seconds(t *testing.T, file string) []string {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.SplitAfter(string(b), "\n")
	var out []string
	for _, line := range parts {
		if strings.Contains(line, "RMC,") || len(out) == 0 {
			out = append(out, "")
		}
		out[len(out)-1] += line
	}
	return out
}

func reviewText(t *testing.T, name, text string) *verdict.Verdict {
	t.Helper()
	src, err := intake.Open(strings.NewReader(text), name, intake.Options{})
	if err != nil {
		t.Fatal(err)
	}
	v, err := bringup.Review(src, bringup.Options{Rules: rules.All})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func found(v *verdict.Verdict) (names []string) {
	for _, f := range v.Findings {
		names = append(names, f.Rule)
	}
	return names
}

// TestTwoReceiversInOneFile: what is compared from one sentence to the next is
// not claimed, what one sentence alone shows is; the reader is told.
func TestTwoReceiversInOneFile(t *testing.T) {
	roof := seconds(t, "../../../examples/trailer-16-under-the-roof.nmea")
	yard := seconds(t, "../../../examples/trailer-18-old-date.nmea")
	var mixed strings.Builder
	for i := range roof {
		mixed.WriteString(roof[i])
		if i < len(yard) {
			mixed.WriteString(yard[i])
		}
	}
	v := reviewText(t, "mixed.nmea", mixed.String())
	if got := found(v); !slices.Equal(got, []string{"weekrollover"}) {
		t.Errorf("findings %v: want only the date, which each sentence shows by itself", got)
	}
	for _, l := range v.Chain {
		if (l.Name == bringup.Sky || l.Name == bringup.Fix) && (l.State != verdict.NotShown || !strings.Contains(l.Says, "more than one receiver")) {
			t.Errorf("%s is %s: %s", l.Name, l.State, l.Says)
		}
	}
	if !strings.HasPrefix(v.Headline, "More than one device") || !strings.Contains(strings.Join(v.Assumed, "\n"), "impossiblejump") {
		t.Errorf("the reader is not told: %s %q", v.Headline, v.Assumed)
	}
	if alone := reviewText(t, "roof.nmea", strings.Join(roof, "")); !slices.Contains(found(alone), "heardnotused") {
		t.Errorf("alone the first is judged as ever, found %v", found(alone))
	}
}

// TestTwoPlacesAtOnce: two live receivers tell the same time and two places 40 km
// apart; that is no jump.
func TestTwoPlacesAtOnce(t *testing.T) {
	one := seconds(t, "../../../examples/trailer-18-old-date.nmea")
	var mixed strings.Builder
	for _, s := range one {
		mixed.WriteString(s)
		mixed.WriteString(resum(strings.ReplaceAll(s, "5218.44120", "5240.11200")))
	}
	v := reviewText(t, "mixed.nmea", mixed.String())
	if got := found(v); slices.Contains(got, "impossiblejump") {
		t.Errorf("findings %v", got)
	}
	if !strings.Contains(strings.Join(v.Assumed, "\n"), "different places") {
		t.Errorf("assumed %q", v.Assumed)
	}
}

// resum writes the checksums anew (IEC 61162-1: the exclusive or of all between $ and *).
func resum(s string) string {
	const digits = "0123456789ABCDEF"
	lines := strings.SplitAfter(s, "\n")
	for i, l := range lines {
		star := strings.IndexByte(l, '*')
		if star < 0 {
			continue
		}
		sum := byte(0)
		for j := 1; j < star; j++ {
			sum ^= l[j]
		}
		lines[i] = l[:star+1] + string(digits[sum>>4]) + string(digits[sum&15]) + l[star+3:]
	}
	return strings.Join(lines, "")
}
