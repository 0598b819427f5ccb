package reporting

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParsePolicy(t *testing.T) {
	for text, want := range map[string]Policy{
		"every 10 min":                    {EveryS: 600},
		"every 60s":                       {EveryS: 60},
		"Every 2 H + every 1.5 km":        {EveryS: 7200, EveryM: 1500},
		"every 200m+turn 45°+stop":        {EveryM: 200, TurnDeg: 45, Stop: true},
		"turn 30 deg + fence + least 30s": {TurnDeg: 30, Fence: true, LeastS: 30},
		"stop":                            {Stop: true},
	} {
		got, err := ParsePolicy(text)
		if err != nil || got != want {
			t.Errorf("%q: %+v %v", text, got, err)
		}
	}
	for text, want := range map[string]string{
		"":                            "want a trigger: every, turn, stop, fence or least",
		"every":                       `"every 10 min"`,
		"every 10":                    `"every 10 min"`,
		"every 10 miles":              `"every 10 min"`,
		"every -10 s":                 "a time of 1 s to 168 h",
		"every 1e3 m":                 `"every 10 min"`,
		"every 0.5 s":                 "a time of 1 s",
		"every 10 s + every 20 s":     "each once",
		"turn 3":                      "5 to 180 degrees",
		"turn 45 + turn 90":           "once",
		"stop now":                    `"stop" alone`,
		"sometimes":                   "want a trigger",
		"least 30 s":                  "a trigger beside least",
		"every 10 min + ":             "want a trigger",
		"fence + least 5 m":           `"least 30 s"`,
		"every 10 min, turn 45":       `"every 10 min"`,
		"every 99999 h":               "a time of 1 s to 168 h",
		"every nan s":                 `"every 10 min"`,
		"every infs":                  `"every 10 min"`,
		"every 0x10 s":                `"every 10 min"`,
		strings.Repeat("stop + ", 50): "want a trigger",
	} {
		_, err := ParsePolicy(text)
		var wrong *PolicyError
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// TestPolicyRoundTrip: what is written is read back, also every policy of the grid.
func TestPolicyRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Policy{
			EveryS: rapid.SampledFrom([]float64{0, 1, 59, 60, 90, 3600, 5400, 7 * 86400, 1.5}).Draw(t, "s"),
			EveryM: rapid.SampledFrom([]float64{0, 1, 999, 1000, 1500, 1e6, 12.5}).Draw(t, "m"),
			Stop:   rapid.Bool().Draw(t, "stop"), Fence: rapid.Bool().Draw(t, "fence"),
			TurnDeg: rapid.SampledFrom([]float64{0, 5, 22.5, 180}).Draw(t, "turn"), LeastS: rapid.SampledFrom([]float64{0, 0.5, 30, 3600}).Draw(t, "least"),
		}
		if p.IsZero() {
			return
		}
		if got, err := ParsePolicy(p.String()); err != nil || got != p {
			t.Fatalf("%+v was written %q and read %+v %v", p, p.String(), got, err)
		}
	})
	seen := map[string]bool{}
	for _, fences := range []bool{false, true} {
		for _, p := range Grid(fences) {
			if got, err := ParsePolicy(p.String()); err != nil || got != p {
				t.Errorf("%q: %+v %v", p, got, err)
			}
			if seen[p.String()] {
				t.Errorf("%q is there twice", p)
			}
			seen[p.String()] = true
		}
	}
}

func FuzzParsePolicy(f *testing.F) {
	f.Add("every 10 min + every 500 m + turn 45 + stop + fence + least 30 s")
	f.Add("every .5min")
	f.Add("turn 5°deg")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := ParsePolicy(text)
		if err != nil {
			return
		}
		got, err := ParsePolicy(p.String())
		if err != nil || got != p {
			t.Fatalf("%q is %+v, written %q, read %+v %v", text, p, p.String(), got, err)
		}
	})
}
