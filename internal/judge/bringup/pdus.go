package bringup

import (
	"slices"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

const (
	// maxPDUs is how many messages a verdict shows octet by octet: a page of each is
	// enough to see what is wrong, and message read shows them all.
	maxPDUs = 8
	// keptPDUs bounds the messages kept at either end of the dialogue until the findings
	// are known. A finding about one in between is shown without its octets.
	keptPDUs = 64
)

// A pduKeeper keeps messages in PDU mode for the report.
type pduKeeper struct {
	first []keptPDU
	last  []keptPDU // a ring
	total int
}

type keptPDU struct {
	number       int // in the order of the dialogue, from 0
	where        dialogue.Line
	headRecord   int
	head, octets string
	sent         bool
}

func newPDUKeeper(j *rulebook.Judge) *pduKeeper {
	k := &pduKeeper{}
	j.Listen(func(p *rulebook.Pass) {
		p.OnMessage(func(m *witness.Message) {
			if m.PDU {
				k.keep(m.Head, m.Line, m.Out)
			}
		})
		p.OnReport("+CDS", func(line, body dialogue.Line, a at.Answer) {
			if len(a.Params) == 1 && !body.IsZero() { // a status report in PDU mode, 27.005 4.1
				k.keep(line, body, false)
			}
		})
	})
	return k
}

func (k *pduKeeper) keep(head, line dialogue.Line, sent bool) {
	m := keptPDU{number: k.total, where: line, headRecord: head.Record, head: strings.Clone(head.Text), octets: strings.Clone(line.Text), sent: sent}
	m.where.Text = ""
	k.total++
	switch {
	case len(k.first) < keptPDUs:
		k.first = append(k.first, m)
	case len(k.last) < keptPDUs:
		k.last = append(k.last, m)
	default:
		k.last[m.number%keptPDUs] = m // keptPDUs stand in first, so this is the oldest
	}
}

// pointedAt lists the rules whose findings show the message or the line that announced it.
func (m *keptPDU) pointedAt(findings []finding.Finding) (rules []string) {
	for i := range findings {
		f := &findings[i]
		shows := slices.ContainsFunc(f.Evidence, func(e finding.Evidence) bool {
			return e.Record == m.where.Record && e.Text == m.octets || e.Record == m.headRecord && e.Text == m.head
		})
		if shows && !slices.Contains(rules, f.Rule) {
			rules = append(rules, f.Rule)
		}
	}
	return rules
}

// show picks the messages for the verdict: those that findings point at first, each group
// in the order of the dialogue. more says how many there were besides.
func (k *pduKeeper) show(findings []finding.Finding) (list []verdict.PDU, more int) {
	kept := append(slices.Clone(k.first), k.last...)
	slices.SortFunc(kept, func(a, b keptPDU) int { return a.number - b.number })
	rules := make([][]string, len(kept))
	for i := range kept {
		rules[i] = kept[i].pointedAt(findings)
	}
	list = []verdict.PDU{}
	for _, pointed := range []bool{true, false} {
		for i := range kept {
			if len(list) < maxPDUs && (len(rules[i]) > 0) == pointed {
				list = append(list, kept[i].read(rules[i]))
			}
		}
	}
	return list, k.total - len(list)
}

func (m *keptPDU) read(rules []string) verdict.PDU {
	p, err := sms.Decode(m.octets, m.sent)
	v := verdict.PDU{Record: m.where.Record, SourceLine: m.where.SourceLine, At: m.where.Began, From: capture.Module.String(), Kind: p.Kind.String(), Rules: rules, Fields: p.Anatomy(err)}
	if m.sent {
		v.From = capture.Controller.String()
	}
	if err != nil {
		v.Fault = err.Error()
	}
	return v
}
