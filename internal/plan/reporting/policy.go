package reporting

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Policy says when to report. Each trigger that is set reports by itself; after a report all of
// them begin anew. The first point is always reported.
type Policy struct {
	EveryS  float64 // so long after the last report; 0: not
	EveryM  float64 // so far from the place of the last report; 0: not
	TurnDeg float64 // heading so far from that of the last report; 0: not
	Stop    bool    // when it comes to stand and when it starts
	Fence   bool    // when it crosses a fence
	LeastS  float64 // never sooner than this after the last report; 0: any
}

// Limits of a policy, each with its reason.
const (
	minEveryS, maxEveryS = 1, 7 * 86400 // a receiver speaks once a second; a week without a word is no report
	minEveryM, maxEveryM = 1, 1e6       // below a metre is noise; across a country is no report
	minTurn, maxTurn     = 5, 180       // below five degrees is noise
	maxLeastS            = 86400
)

// IsZero says that nothing is set: only the first point would be reported.
func (p Policy) IsZero() bool {
	return p.EveryS == 0 && p.EveryM == 0 && p.TurnDeg == 0 && !p.Stop && !p.Fence
}

// String writes the policy as [ParsePolicy] reads it.
func (p Policy) String() string {
	var parts []string
	if p.EveryS > 0 {
		parts = append(parts, "every "+timeText(p.EveryS))
	}
	if p.EveryM > 0 {
		parts = append(parts, "every "+wayText(p.EveryM))
	}
	if p.TurnDeg > 0 {
		parts = append(parts, "turn "+number(p.TurnDeg))
	}
	if p.Stop {
		parts = append(parts, "stop")
	}
	if p.Fence {
		parts = append(parts, "fence")
	}
	if p.LeastS > 0 {
		parts = append(parts, "least "+timeText(p.LeastS))
	}
	return strings.Join(parts, " + ")
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func timeText(s float64) string {
	switch {
	case s >= 3600 && math.Mod(s, 3600) == 0:
		return number(s/3600) + " h"
	case s >= 60 && math.Mod(s, 60) == 0:
		return number(s/60) + " min"
	}
	return number(s) + " s"
}

func wayText(m float64) string {
	if m >= 1000 && math.Mod(m, 1000) == 0 {
		return number(m/1000) + " km"
	}
	return number(m) + " m"
}

// A PolicyError is a text that is no policy.
type PolicyError struct {
	Text string // the part that does not fit
	Want string
}

func (e *PolicyError) Error() string {
	return fmt.Sprintf("reporting: policy part %q: want %s", e.Text, e.Want)
}

// units are what may stand behind a number, and what it is worth.
var units = []struct {
	name string
	way  bool // metres, not seconds
	is   float64
}{{"min", false, 60}, {"km", true, 1000}, {"s", false, 1}, {"h", false, 3600}, {"m", true, 1}}

const wantEvery = `"every 10 min", "every 60 s", "every 2 h" or, for a distance, "every 500 m", "every 2 km"`

// ParsePolicy reads triggers joined by "+": "every 10 min + every 500 m + turn 45 + stop + fence +
// least 30 s". Blanks do not matter.
func ParsePolicy(text string) (Policy, error) {
	var p Policy
	for part := range strings.SplitSeq(text, "+") {
		words := strings.Fields(strings.ToLower(part))
		bad := func(want string) (Policy, error) {
			return Policy{}, &PolicyError{strings.TrimSpace(part), want}
		}
		if len(words) == 0 {
			return bad("a trigger: every, turn, stop, fence or least")
		}
		rest := strings.Join(words[1:], "")
		switch words[0] {
		case "every":
			v, way, ok := measure(rest)
			switch {
			case !ok:
				return bad(wantEvery)
			case way && p.EveryM == 0 && v >= minEveryM && v <= maxEveryM:
				p.EveryM = v
			case !way && p.EveryS == 0 && v >= minEveryS && v <= maxEveryS:
				p.EveryS = v
			default:
				return bad("each once: a time of 1 s to 168 h, a distance of 1 m to 1000 km")
			}
		case "turn":
			v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSuffix(rest, "°"), "deg"), 64)
			if err != nil || !(v >= minTurn && v <= maxTurn) || p.TurnDeg > 0 {
				return bad(`once "turn 45", 5 to 180 degrees`)
			}
			p.TurnDeg = v
		case "least":
			v, way, ok := measure(rest)
			if !ok || way || !(v > 0 && v <= maxLeastS) || p.LeastS > 0 {
				return bad(`once "least 30 s", up to 24 h`)
			}
			p.LeastS = v
		case "stop", "fence":
			if rest != "" {
				return bad(fmt.Sprintf("%q alone", words[0]))
			}
			p.Stop, p.Fence = p.Stop || words[0] == "stop", p.Fence || words[0] == "fence"
		default:
			return bad("a trigger: every, turn, stop, fence or least")
		}
	}
	if p.IsZero() {
		return Policy{}, &PolicyError{strings.TrimSpace(text), "a trigger beside least"}
	}
	return p, nil
}

// measure reads a number with its unit.
func measure(text string) (v float64, way, ok bool) {
	for _, u := range units {
		digits, found := strings.CutSuffix(text, u.name)
		if !found {
			continue
		}
		v, err := strconv.ParseFloat(digits, 64)
		if err != nil || strings.ContainsAny(digits, "eExXpP_iInN+") {
			return 0, false, false
		}
		return v * u.is, u.way, true
	}
	return 0, false, false
}

// Grid is every sensible combination, to choose from: times and distances on the scale that people
// use, with and without turns, stops and, where there are fences, fences.
func Grid(fences bool) []Policy {
	times := []float64{0, 60, 300, 600, 1800, 3600, 7200, 21600}
	ways := []float64{0, 100, 200, 500, 1000, 2000, 5000}
	var out []Policy
	for _, s := range times {
		for _, m := range ways {
			for _, turn := range []float64{0, 45} {
				for _, stop := range []bool{false, true} {
					p := Policy{EveryS: s, EveryM: m, TurnDeg: turn, Stop: stop, Fence: fences}
					if turn > 0 {
						p.LeastS = turnLeastS
					}
					if s == 0 && m == 0 && turn == 0 && !stop {
						continue
					}
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// turnLeastS keeps a winding road from a report at every bend: our choice.
const turnLeastS = 20
