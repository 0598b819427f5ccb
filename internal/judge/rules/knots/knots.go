// Package knots reports a speed sent in another unit than it says.
package knots

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "knots",
	Title:    "the speed sent is not in the unit that it names",
	Severity: finding.Error,
	Cites:    []string{"IEC 61162-1, RMC field 7 (knots), VTG (knots and km/h)"},
	Doc: `
RMC gives the speed in knots; one knot is 1.852 km/h. "22 km/h" on a text while the receiver says 22.4 knots, which is 41.5 km/h, is the raw number with another
unit behind it. The same happens with metres per second. Name the unit in the variable, and convert once.`,
	Silent: `
A speed that agrees within a tenth; under three metres a second; a number without a unit; no fix within ten seconds.`,
	Remedy: `Multiply knots by 1.852 for km/h (0.5144 for m/s), or read the km/h field of VTG.`,
	Watch:  watch,
}

var told = regexp.MustCompile(`(?i)\b([0-9]{1,3}(?:\.[0-9]+)?) ?(km/?h|kph|kmph|mph|m/s|mps|knots?|kts?|kn)\b`)

// units are m/s in one of each.
var units = []struct {
	prefix, name string
	mps          float64
}{{"km", "km/h", 1 / 3.6}, {"kp", "km/h", 1 / 3.6}, {"mph", "mph", 0.44704}, {"m", "m/s", 1}, {"k", "knots", 0.514444}}

const (
	slow  = 3.0
	fresh = 10 * time.Second
)

func watch(p *rulebook.Pass) {
	said := 0
	p.OnMessage(func(m *witness.Message) {
		e := p.Known().LastValid()
		if !m.Out || e == nil || said == 3 {
			return
		}
		if age, timed := p.Age(e, m.Line); timed && age > fresh {
			return
		}
		speed, ok := e.Fix.SpeedMPS.Get()
		found := told.FindStringSubmatch(m.Body)
		if !ok || speed < slow || found == nil {
			return
		}
		value, _ := strconv.ParseFloat(found[1], 64)
		named, truly := "", ""
		for _, u := range units {
			if named == "" && strings.HasPrefix(strings.ToLower(found[2]), u.prefix) {
				if named = u.name; agrees(value, speed/u.mps) {
					return
				}
			}
			if agrees(value, speed/u.mps) {
				truly = u.name
			}
		}
		if named == "" || truly == "" {
			return
		}
		said++
		p.Report(fmt.Sprintf("%s was sent, and the receiver says %.1f m/s: the number is in %s", found[0], speed, truly), p.See(m.Line, "the speed sent"), p.SeeSource(rulebook.Origin(e), "the receiver's"))
	})
}

// agrees: rounded to whole numbers, and a second apart.
func agrees(value, truth float64) bool { return math.Abs(value-truth) <= max(0.6, truth/20) }
