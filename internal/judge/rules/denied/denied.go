// Package denied reports a network that refuses the module.
package denied

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "denied",
	Title:    "the network refuses the registration",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.007, 7.2 (+CREG, stat 3), 10.1.20, 10.1.22", "3GPP TS 24.008, annex G (causes)", "3GPP TS 24.301, annex A (causes; from memory)"},
	Doc: `
Status 3 is not "no signal": the network heard the module and said no. Why, it says with a number,
which AT+CREG=3 (or AT+CEREG=3) adds to the answer and AT+CEER may put into words. Causes 2, 3, 5, 6
and 8 are about the subscription or the device: asking again does not help. 11 to 15 are about this
network or place. 17 and 22 pass. On LTE a wrong access point name also ends in 3. Many modules do
not try again after a final refusal until the radio is switched off and on.`,
	Silent: `
The module was let in within two minutes: while it looks for a network it may try a forbidden one
first.`,
	Remedy: `Read the cause (AT+CREG=3 or AT+CEREG=3, AT+CEER); for subscription causes ask the operator, for network causes try another network or place; do not hammer.`,
	Watch:  watch,
}

// causes in our own words, with what they call for: 24.008 annex G, 24.301 annex A (from memory).
var causes = map[int]string{
	2:  "subscriber unknown: ask the operator about the card",
	3:  "subscriber refused: ask the operator about the card",
	5:  "device identity refused: ask the operator about the device",
	6:  "device refused: ask the operator about the device",
	7:  "no packet service for this card: ask the operator",
	8:  "neither packet nor other service for this card: ask the operator",
	11: "this network is not for this card: try another one",
	12: "this area is not for this card: try another place",
	13: "no roaming here for this card: try another network",
	14: "no packet service in this network for this card: try another one",
	15: "no suitable cell in this area",
	17: "trouble in the network: wait and try again",
	19: "the data session was refused: look at the access point name (+CGDCONT)",
	22: "congestion: wait and try again",
	33: "the data session is not subscribed: look at the access point name (+CGDCONT)",
}

// patience: a choice of network with a forbidden one in it is over by then. Our estimate.
const patience = 2 * time.Minute

func watch(p *rulebook.Pass) {
	type refusal struct {
		r    witness.Registration
		said bool
	}
	refused := map[string]*refusal{} // at most one for each registration command
	report := func(f *refusal) {
		if f == nil || f.said {
			return
		}
		f.said = true
		message := f.r.Command + " says 3: the network refuses the registration"
		if n, ok := f.r.Cause.Get(); ok && f.r.CauseType.Or(0) == 0 {
			message += fmt.Sprintf(", cause %d", n)
			if text := causes[n]; text != "" {
				message += " (" + text + ")"
			}
		} else {
			message += "; the cause is not shown"
		}
		if other, ok := p.Known().Registered(); ok && other.Command != f.r.Command {
			message += fmt.Sprintf("; %s is registered (%d), so the card and the signal are good and one kind of service is missing", other.Command, other.Stat)
			p.Report(message, p.See(f.r.Line, "refused"), p.See(other.Line, "let in here"))
			return
		}
		p.Report(message, p.See(f.r.Line, "refused"))
	}
	p.OnRegistration(func(r *witness.Registration) {
		f := refused[r.Command]
		switch {
		case r.Registered():
			delete(refused, r.Command)
		case r.Stat != 3:
		case f == nil:
			refused[r.Command] = &refusal{r: *r}
		case p.TimesKnown() && r.Line.Began.Sub(f.r.Line.Began) > patience:
			report(f)
		}
	})
	p.OnEnd(func() {
		for _, command := range [...]string{"+CREG", "+CGREG", "+CEREG", "+C5GREG"} {
			report(refused[command])
		}
	})
}
