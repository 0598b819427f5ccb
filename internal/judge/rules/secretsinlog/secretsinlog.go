// Package secretsinlog notes PINs and passwords that can be read in the recording.
package secretsinlog

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "secretsinlog",
	Title:    "a PIN or password can be read in the recording",
	Severity: finding.Note,
	Cites:    []string{"3GPP TS 27.007, 8.3 (+CPIN), 7.4 (+CLCK), 7.5 (+CPWD), 10.1.31 (+CGAUTH; from memory)", "common practice, no source (mask before sharing)"},
	Doc: `
Logs are shared when help is wanted. A log that holds a PIN, an access password or an identity gives it
away. Mask such values in what the firmware writes, and in the recording before it leaves the house.`,
	Silent: `
The value is masked with asterisks or x. In a check, which sends what it was given and masks its own recording as
it is written.`,
	Remedy: `Let the firmware write **** in place of PINs and passwords, and mask this recording before you share it.`,
	Watch:  watch,
}

// secrets say which parameter of which command is secret, counted from 0.
var secrets = []struct {
	name  string
	param int
}{{"+CPIN", 0}, {"+CPIN", 1}, {"+CLCK", 2}, {"+CPWD", 1}, {"+CPWD", 2}, {"+CGAUTH", 3}}

func watch(p *rulebook.Pass) {
	if p.Info().Kind == "check" {
		return
	}
	said := map[string]bool{} // by name of the command
	for _, s := range secrets {
		p.OnCommand(s.name, func(x *dialogue.Exchange, c *at.Command) {
			value := rulebook.Text(c.Params, s.param)
			if c.Form != at.Set || value == "" || strings.Trim(value, "*xX#?•.") == "" || said[s.name] {
				return
			}
			said[s.name] = true
			p.Report("the value of AT"+s.name+" can be read in this recording", p.See(x.Command, "masked here, not in the file"))
		})
	}
}
