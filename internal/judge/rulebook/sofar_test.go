package rulebook

import (
	"fmt"
	"testing"

	"firstfix/internal/judge/finding"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// A rule that takes back what a later record disproves, and one that speaks at the end.
func TestWithdrawAndSoFar(t *testing.T) {
	var open *Reported
	refused := &Rule{Name: "refused", Severity: finding.Error, Watch: func(p *Pass) {
		p.OnAnswered(func(x *dialogue.Exchange) {
			switch {
			case x.Result.Kind == at.Error:
				open = p.Report("refused", p.See(x.Final, "refused"))
			case open != nil:
				open.Withdraw()
				open.Withdraw() // twice is as good as once
			}
		})
	}}
	counts := &Rule{Name: "counts", Severity: finding.Note, Watch: func(p *Pass) {
		n := 0
		var last dialogue.Line
		p.OnAnswered(func(x *dialogue.Exchange) { n, last = n+1, x.Final })
		p.OnEnd(func() {
			if n < 3 {
				p.Report(fmt.Sprintf("only %d", n), p.See(last, "the last"))
			}
		})
	}}
	for _, places := range []int{0, 1} {
		j := NewJudge([]*Rule{refused, counts}, capture.Info{TimesKnown: true}, Options{PlacesPerRule: places})
		number := 0
		say := func(from capture.Direction, text string) {
			number++
			j.Feed(capture.Record{Number: number, At: when.Instant(number) * when.Second, From: from, Bytes: text})
		}
		state := func() string {
			s := fmt.Sprintf("%d found", len(j.Findings()))
			for _, x := range j.SoFar(func(*Rule) bool { return false }) {
				s += ", so far " + x.Message
			}
			return s
		}
		var got []string
		for _, answer := range []string{"ERROR", "ERROR", "OK", "OK"} {
			say(capture.Controller, "AT+CSQ\r")
			say(capture.Module, "\r\n"+answer+"\r\n")
			got = append(got, state())
		}
		want := "[1 found, so far only 1 2 found, so far only 2 1 found 1 found]"
		if places == 1 { // the second is only counted, and so is its withdrawal
			want = "[1 found, so far only 1 1 found, so far only 2 1 found 1 found]"
		}
		if fmt.Sprint(got) != want {
			t.Errorf("%d places: %v: want %s", places, got, want)
		}
		j.End()
		if n := len(j.Findings()); n != 1 {
			t.Errorf("%d places: at the end %d findings: want 1", places, n)
		}
		if except := j.SoFar(func(r *Rule) bool { return r == counts }); len(except) != 0 {
			t.Errorf("a rule that is not to be asked said %v", except)
		}
	}
}
