// Package textsbarred reports texts that the operator refuses for the contract's sake.
package textsbarred

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "textsbarred",
	Title:    "the operator does not let this card send texts",
	Severity: finding.Error,
	Cites:    []string{"3GPP TS 27.005, 3.2.5 (CMS 0 to 127: causes of TS 24.011)", "3GPP TS 24.011, annex E (causes 8, 10, 29, 50; from memory)"},
	Doc: `
+CMS ERROR: 8 and 10 mean barred, 29 that the facility was rejected, 50 that the contract does not hold it. The text reached
the network, so antenna, signal and settings are fine. The card is not activated, has no credit, has used up its allowance,
is bound to another device, or its contract is for data only. Trying again changes nothing.`,
	Silent: `
Other causes, which have to do with the number, the network or the centre. Each cause is reported once.`,
	Remedy: `Look at the card's state in the operator's portal (active, credit, allowance, bound to which device), and try the card in a telephone.`,
	Watch:  watch,
}

func watch(p *rulebook.Pass) {
	said := map[int]bool{} // four causes at most
	p.OnResult("+CMGS", func(x *dialogue.Exchange, _ *at.Command) {
		code := rulebook.Code(x.Result)
		if !rulebook.IsCMS(x.Result, 8, 10, 29, 50) || said[code] {
			return
		}
		said[code] = true
		p.Report("a text was refused with "+rulebook.Failure(x.Result)+": a matter of the contract", p.See(x.Final, "the refusal"), p.See(x.Command, "the command"))
	})
}
