// Package numberformat reports telephone numbers that are written so that they work here and now at best.
package numberformat

import (
	"slices"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "numberformat",
	Title:    "telephone number not in international form",
	Severity: finding.Warning,
	Cites:    []string{"ITU-T E.164, 6 (up to 15 digits, country code first)", "3GPP TS 27.005, 3.1 <da>, <toda>", "3GPP TS 27.007, 5.5 (+CSCS)"},
	Doc: `
A number in national form works at home and fails abroad, and it never equals the +country form in which
calls and texts arrive, so that a list of allowed numbers does not match. Blanks and dashes are refused by
many modules. The number stands in quotes. While AT+CSCS="UCS2" is in force, it must be written in hex
digits like everything else.`,
	Silent: `
"+" and country code; digits with type 145 behind them; short codes of up to six digits. Each number is
reported once.`,
	Remedy: `Store and send numbers as "+", country code and digits, nothing else, in quotes.`,
	Watch:  watch,
}

// maxSaid bounds the numbers remembered as reported: a tracker texts a handful.
const maxSaid = 32

func watch(p *rulebook.Pass) {
	var said []string
	p.OnResult("+CMGS", func(x *dialogue.Exchange, c *at.Command) {
		if c.Form != at.Set || len(c.Params) == 0 || !c.Params[0].Quoted && len(c.Params[0].Text) <= 3 {
			return // a length: PDU mode
		}
		number := c.Params[0]
		if slices.Contains(said, number.Text) || len(said) == maxSaid {
			return
		}
		var problems []string
		if set, ok := p.Known().Setting("+CSCS"); ok && !set.Lost && set.First() == "UCS2" {
			plain, isHex := sms.FromUCS2Hex(number.Text)
			if !isHex {
				problems = []string{`+CSCS="UCS2" is in force, so it must be written in hex digits`}
			} else {
				problems = sms.ReadNumber(plain).Problems
			}
		} else {
			problems = sms.ReadNumber(number.Text).Problems
		}
		if rulebook.Text(c.Params, 1) == "145" { // international without its "+"
			problems = slices.DeleteFunc(problems, func(s string) bool { return !strings.HasPrefix(number.Text, "0") })
		}
		if !number.Quoted {
			problems = append(problems, "it is not in quotes")
		}
		if len(problems) == 0 {
			return
		}
		said = append(said, number.Text)
		message := "the number " + number.Text + ": " + strings.Join(problems, "; ")
		evidence := []finding.Evidence{}
		if x.Result.Failed() {
			message += "; the text failed with " + rulebook.Failure(x.Result)
			evidence = append(evidence, p.See(x.Final, "the failure"))
		}
		p.Report(message, p.See(x.Command, "the number"), evidence...)
	})
}
