// Package floatdigits reports digits that were lost in 32-bit floating point.
package floatdigits

import (
	"fmt"
	"math"
	"strconv"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "floatdigits",
	Title:    "digits were lost in 32-bit floating point",
	Severity: finding.Warning,
	Cites:    []string{"IEEE 754, binary32 (24 bits)", "IEC 61162-1, RMC and GGA"},
	Doc: `
A 32-bit float has 24 bits. For degrees between 64 and 128 its steps are 7.6e-6 degrees, 0.85 m; above 128 twice
that. A field such as 15112.5583 held in one float is worse: steps of 0.001 minutes, 1.8 m. On small controllers
"double" is often the same 32 bits. The positions then stand on a grid, and speeds and distances worked out from
them are worse still.`,
	Silent: `
Fewer than eight different positions without a sentence to compare; few decimals, or small degrees, where the
grid is finer than the last digit.`,
	Remedy: `Keep degrees as a whole number of ten-millionths, or degrees and minutes apart; print from whole numbers.`,
	Watch:  watch,
}

const (
	enough   = 8 // different numbers on the grid; each is there by chance in one of three cases at most
	wide     = 3 // steps of the last digit: a finer grid does not show
	several  = 5 // positions that a float explains and no fix agrees with; each is met by chance in one of five cases
	outweigh = 4 // as many times more than positions that are right, or that nothing explains
	newest   = 5 // fixes that a position may have been taken from
)

func watch(p *rulebook.Pass) {
	var onGrid, offGrid, explained, agreed int
	var lastText [2]string
	var first, last *rulebook.Sent
	said := false
	p.OnSent(func(s *rulebook.Sent) {
		if m, of, ok := s.Mistake(); ok && (m.Is(geo.Float32Degrees) || m.Is(geo.Float32Minutes)) && !said {
			said = true
			at, _ := of.Fix.Point.Get()
			p.Report(fmt.Sprintf("%s,%s was sent where %s is right: a 32-bit float holds no more, %s off", s.LatText, s.LonText,
				geo.FormatDecimal(at, s.Reading.Digits), geo.FormatMetres(m.ErrorM)),
				p.See(s.Line, "what was sent"), p.SeeSource(rulebook.Origin(of), "what the receiver said"))
		}
		if first == nil {
			first = s
		}
		changed := false
		for axis, text := range [2]string{s.LatText, s.LonText} {
			if text == lastText[axis] {
				continue
			}
			changed = true
			lastText[axis] = text
			if hit, shows := grid(text); shows && hit {
				onGrid++
			} else if shows {
				offGrid++
			}
		}
		if changed && len(s.Recent) > 0 {
			last = s
			if onFloat(s) {
				explained++
			} else {
				agreed++ // or nothing explains it: no case for floats
			}
		}
	})
	p.OnEnd(func() {
		switch {
		case said:
		case explained >= several && explained >= outweigh*agreed:
			p.Report(fmt.Sprintf("%d of %d positions do not agree with their sentence to the last digit, but are what a 32-bit float makes of it", explained, explained+agreed),
				p.See(first.Line, "the first of them"), p.SeeSource(rulebook.Origin(last.Recent[len(last.Recent)-1]), "what the receiver said before the last of them"))
		case onGrid >= enough && offGrid == 0:
			p.Report(fmt.Sprintf("all %d numbers sent stand on the grid of 32-bit floats", onGrid), p.See(first.Line, "the first of them"))
		}
	})
}

// onFloat says that no fix agrees with the position, but one sent through a float does.
func onFloat(s *rulebook.Sent) bool {
	fixes := s.Recent[max(0, len(s.Recent)-newest):]
	found := false
	for _, e := range fixes {
		at, _ := e.Fix.Point.Get()
		if geo.Agrees(s.LatText, s.LonText, at) {
			return false
		}
		kind, _ := geo.OnFloatGrid(s.LatText, s.LonText, at)
		found = found || kind != ""
	}
	return found
}

// grid says whether a number is what a 32-bit float prints, and whether the
// grid is wide enough to show in its decimals.
func grid(text string) (hit, shows bool) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return false, false
	}
	decimals := 0
	for i := range len(text) {
		if text[i] == '.' {
			decimals = len(text) - i - 1
		}
	}
	f := float32(v)
	step := float64(math.Nextafter32(float32(math.Abs(v)), math.MaxFloat32)) - math.Abs(float64(f))
	if step < wide*math.Pow10(-decimals) {
		return false, false
	}
	return strconv.FormatFloat(float64(f), 'f', decimals, 64) == text, true
}
