// Package flapping reports a registration that comes and goes.
package flapping

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "flapping",
	Title:    "registration comes and goes",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 7.2 (+CREG)", "common practice, no source (4 changes in 10 min)"},
	Doc: `
Registered, searching, registered, searching: the module sits at the edge of coverage, or between two
networks, or its supply dips whenever it sends. Each change costs energy, and a text sent in a gap is
refused. Compare the signal in the good moments with other places; if it is strong, look at the
supply and the antenna plug.`,
	Silent: `
Fewer than four changes within ten minutes, as on a drive through a valley; changes with a restart of the
module between them; or the times are not known.`,
	Remedy:    `Compare AT+CSQ with a telephone at the same spot, tighten the antenna plug, check the supply under load, and wait for 30 s of steady registration before sending.`,
	Watch:     watch,
	OneDevice: true,
}

const (
	changes = 4
	within  = 10 * time.Minute
)

func watch(p *rulebook.Pass) {
	type state struct {
		known, registered, said bool
		at                      [changes]witness.Registration // the last changes, oldest first
		count                   int
	}
	domains := map[string]*state{}
	p.OnRestart(func(witness.Restart) { clear(domains) }) // a start begins without a network
	p.OnRegistration(func(r *witness.Registration) {
		s := domains[r.Command]
		if s == nil {
			s = &state{}
			domains[r.Command] = s
		}
		changed := s.known && s.registered != r.Registered()
		s.known, s.registered = true, r.Registered()
		if !changed || !p.TimesKnown() {
			return
		}
		copy(s.at[:], s.at[1:])
		s.at[changes-1] = *r
		s.count++
		span := r.Line.Began.Sub(s.at[0].Line.Began)
		if s.count < changes || span > within {
			s.said = s.said && s.count >= changes && span <= within
			return
		}
		if s.said {
			return
		}
		s.said = true
		p.Report(fmt.Sprintf("%s changed between registered and not %d times within %s", r.Command, changes, rulebook.Span(span)),
			p.See(r.Line, fmt.Sprintf("status %d", r.Stat)),
			p.See(s.at[0].Line, fmt.Sprintf("status %d", s.at[0].Stat)),
			p.See(s.at[1].Line, fmt.Sprintf("status %d", s.at[1].Stat)),
			p.See(s.at[2].Line, fmt.Sprintf("status %d", s.at[2].Stat)))
	})
}
