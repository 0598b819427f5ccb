// Package identitiesinlog reports identities of device and card that stand in the recording.
package identitiesinlog

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "identitiesinlog",
	Title:    "identities of device or card can be read in the recording",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 27.007, 5.4 (+CGSN), 5.6 (+CIMI)", "GDPR, Art. 32 (from memory; or the law of your place)"},
	Doc: `
The recording holds the number of the device (IMEI), of the subscriber (IMSI), of the card (ICCID) or the card's telephone number. With them and
some good will a person can be found, a contract ended or a device forged. They help nobody to help you: a report without them says as
much. firstfix leaves them out of its reports unless it is told otherwise; a raw log does not.`,
	Silent: `
The digits are masked. A check of firstfix's own. It is said once.`,
	Remedy: `Before you share a recording, let the tool make a report of it, or replace all but the last two digits of each number by the same sign.`,
	Watch:  watch,
}

// names are the commands whose answer is an identity, with what it is.
var names = []struct{ command, what string }{
	{"+CGSN", "the device's number (IMEI)"},
	{"+GSN", "the device's number (IMEI)"},
	{"+CIMI", "the subscriber's number (IMSI)"},
	{"+CCID", "the card's number (ICCID)"},
	{"+CNUM", "the card's telephone number"},
}

const least = 11 // digits of an identity

func watch(p *rulebook.Pass) {
	if p.Info().Kind == "check" {
		return
	}
	said := false
	for _, n := range names {
		p.OnResult(n.command, func(x *dialogue.Exchange, c *at.Command) {
			if said || c.Form == at.Test || x.Result.Kind != at.OK {
				return
			}
			for _, l := range x.Info {
				if digits(l.Text) >= least {
					said = true
					p.Report(n.what+" can be read in this recording", p.See(x.Command, "its answer holds it"))
					return
				}
			}
		})
	}
}

// digits is the longest row of digits in a text.
func digits(t string) (longest int) {
	row := 0
	for i := range len(t) {
		if t[i] >= '0' && t[i] <= '9' {
			row++
			longest = max(longest, row)
		} else {
			row = 0
		}
	}
	return longest
}
