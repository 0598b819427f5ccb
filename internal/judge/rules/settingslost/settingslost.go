// Package settingslost reports a controller that goes on after a restart of the
// module as if its settings were still there.
package settingslost

import (
	"fmt"
	"slices"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "settingslost",
	Title:    "settings were lost in a restart and not made again",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.2.3 (+CMGF), 3.4.1 (+CNMI)", "V.250, 6.1.1 (Z, profiles; from memory)"},
	Doc: `
Text mode, message reports, error codes, echo, character set: on many modules they last only until
the next start. If the module starts anew by itself, everything is at its default again while the
controller believes otherwise: texts are refused with +CMS ERROR: 304 or 305, arriving messages are
no longer reported. The controller must notice a restart (ready report, echo, a setting read back)
and run its whole set-up again.`,
	Silent: `
The controller made the settings again, or read them back and found them in place. While it has
not yet used text mode it is given 20 commands, for a set-up may begin by waiting for the network.`,
	Remedy:    `Run the whole set-up again on every ready report, and read one setting back (AT+CMGF?) every few minutes to notice a restart without one.`,
	Watch:     watch,
	OneDevice: true,
}

// patience is how many commands without a setting among them a controller may
// send after a restart before its set-up is believed not to come. Our estimate:
// a set-up may ask for the card and the network a dozen times first.
const patience = 20

// matters are the settings whose loss changes what happens next.
var matters = []string{"+CMGF", "+CNMI", "+CSCS", "+CSMP", "+CMEE", "+CLIP", "+CREG", "+CGREG", "+CEREG"}

func watch(p *rulebook.Pass) {
	var restart witness.Restart
	waiting, idle := false, 0
	p.OnRestart(func(r witness.Restart) {
		if !r.Asked {
			restart, waiting, idle = r, true, 0
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		if !waiting {
			return
		}
		idle++
		if slices.ContainsFunc(matters, x.Is) {
			idle = 0 // the set-up is going on
		}
		lost := stillLost(p)
		needsText := usesText(x) && slices.Contains(lost, "+CMGF") && !x.Is("+CMGF")
		if len(lost) == 0 || needsText || idle >= patience {
			waiting = false
		}
		if len(lost) > 0 && !waiting {
			p.Report(fmt.Sprintf("%s sent though the module restarted before (%s) and %s not set again", rulebook.LineName(x), restart.Why, list(lost)),
				p.See(x.Command, "goes on as if nothing had happened"), p.See(restart.Line, restart.Why))
		}
	})
}

func stillLost(p *rulebook.Pass) []string {
	var lost []string
	for _, name := range matters {
		if s, ok := p.Known().Setting(name); ok && s.Lost && !s.ReadBack && s.First() != "0" {
			lost = append(lost, name)
		}
	}
	return lost
}

// usesText says whether a command is written for text mode: an address where
// PDU mode has a length, a word where it has a number.
func usesText(x *dialogue.Exchange) bool {
	for _, name := range [...]string{"+CMGS", "+CMGL"} {
		if c, ok := x.Parsed.Find(name); ok && len(c.Params) > 0 {
			return c.Params[0].Quoted || len(c.Params[0].Text) > 3
		}
	}
	return false
}

func list(names []string) string {
	if len(names) == 1 {
		return names[0] + " was"
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1] + " were"
}
