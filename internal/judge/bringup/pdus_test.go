package bringup

import (
	"fmt"
	"strings"
	"testing"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/intake"
)

// A message of a published example (TS 23.040 9.2.2.1 names its fields): "Hello" would do as well.
const delivered = "00040B912120550541F300006230400151004005C8329BFD06"

// dialogueOfPDUs is a dialogue in which n messages arrive, the octet at the end of each another.
func dialogueOfPDUs(n int) string {
	var b strings.Builder
	b.WriteString("PDUs arrive.\n\n")
	for i := range n {
		fmt.Fprintf(&b, "%d.000 < \\r\\n+CMT: ,23\\r\\n%s%02X06\\r\\n", i, delivered[:len(delivered)-4], 0x80+i%8)
		b.WriteString("\n")
	}
	return b.String()
}

// reviewPDUs reviews a dialogue with a rule that finds fault with messages of these numbers.
func reviewPDUs(t *testing.T, n int, at func(p *rulebook.Pass, number int, m *witness.Message)) *verdict.Verdict {
	t.Helper()
	talk, err := intake.ParseTalk(strings.NewReader(dialogueOfPDUs(n)))
	if err != nil {
		t.Fatal(err)
	}
	rule := &rulebook.Rule{Name: "pointer", Title: "points", Severity: finding.Note, Watch: func(p *rulebook.Pass) {
		number := 0
		p.OnMessage(func(m *witness.Message) { at(p, number, m); number++ })
	}}
	r := NewReviewer(talk.Info, nil, Options{Rules: []*rulebook.Rule{rule}})
	for _, record := range talk.Records {
		r.Feed(record)
	}
	return r.End(talk.Info)
}

// TestPDUsOfVerdict: eight messages at most, those that findings show first, whether they show
// the message or its header, each with every octet.
func TestPDUsOfVerdict(t *testing.T) {
	for _, c := range []struct {
		n     int
		point []int
		want  string // numbers of records
		more  int
	}{
		{0, nil, "[]", 0},
		{3, nil, "[1 2 3]", 0},
		{12, []int{10, 2}, "[3! 11! 1 2 4 5 6 7]", 4},
		{200, []int{190}, "[191! 1 2 3 4 5 6 7]", 192},
		{200, []int{100}, "[1 2 3 4 5 6 7 8]", 192}, // neither among the first nor the last: bounded
	} {
		v := reviewPDUs(t, c.n, func(p *rulebook.Pass, number int, m *witness.Message) {
			for i, at := range c.point {
				switch {
				case at == number && i%2 == 0:
					p.Report("here", p.See(m.Line, "the message"))
				case at == number:
					p.Report("here", p.See(m.Head, "the header"))
				}
			}
		})
		var got []string
		for _, d := range v.PDUs {
			words := fmt.Sprint(d.Record)
			if len(d.Rules) > 0 {
				words += "!"
			}
			got = append(got, words)
			octets := 0
			for _, f := range d.Fields {
				octets += f.Length
			}
			if octets != len(delivered)/2 || d.From != "module" || d.Kind != "DELIVER" || d.Fault != "" {
				t.Errorf("%d octets of %d: %+v", octets, len(delivered)/2, d)
			}
		}
		if fmt.Sprint(got) != c.want || v.MorePDUs != c.more {
			t.Errorf("%d messages, findings at %v: %v and %d more, want %s and %d", c.n, c.point, got, v.MorePDUs, c.want, c.more)
		}
	}
}
