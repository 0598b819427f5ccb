package bringup

import (
	"fmt"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/degreesminutes"
	"firstfix/internal/judge/rules/fewdigits"
	"firstfix/internal/judge/rules/floatdigits"
	"firstfix/internal/judge/rules/hemisphere"
	"firstfix/internal/judge/rules/lostzeros"
	"firstfix/internal/judge/rules/stalefix"
	"firstfix/internal/judge/rules/swappedaxes"
	"firstfix/internal/judge/rules/unprinted"
	"firstfix/internal/judge/rules/voidfix"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
	"firstfix/internal/wire/sms"
)

// report: the position reaches somebody, and it is the right one.
var report = &Check{Link: Report, Title: "Report", Needs: []string{Messages, Fix}, Ask: askReport, Verdict: judgeReport,
	Rules: []*rulebook.Rule{voidfix.Rule, degreesminutes.Rule, hemisphere.Rule, swappedaxes.Rule, lostzeros.Rule, unprinted.Rule, stalefix.Rule, floatdigits.Rule, fewdigits.Rule}}

// reportDecimals: the fifth decimal of a degree is worth a metre.
const reportDecimals = 5

func askReport(q *Questions) *procedure.Procedure {
	point, ok := q.Facts.Fix.LastSeen.Get()
	if q.Round > 0 || !ok {
		return nil
	}
	q.Walk.Composed = q.Options.Label + " " + geo.FormatGeoURI(point, reportDecimals)
	number := q.ownNumber()
	if !q.maySpend() || number == "" || !plainAlphabet(q.Facts.Texts.Alphabet) {
		return nil
	}
	return q.sendTo(number, q.Walk.Composed)
}

func judgeReport(f *Facts) Judgement {
	r := &f.Report
	switch {
	case r.Void.Is():
		return f.is(verdict.Broken, fmt.Sprintf("a position was given away %s while there was none", times(r.Void.Times)), show{r.Void.First, "no valid fix at this moment"}, show{f.Fix.Void.First, "void"})
	case r.Wrong.Is():
		return f.is(verdict.Broken, fmt.Sprintf("the position given away is up to %.1f km from the fix", r.WorstM/1000), show{r.Wrong.First, "not where the receiver was"}, show{f.Fix.Valid.First, "the fix"})
	case r.Unreadable.Is():
		return f.is(verdict.Broken, "the text with the position cannot be read at the other end", show{r.Unreadable.First, "not readable"})
	case r.Stale.Is():
		return f.is(verdict.Weak, fmt.Sprintf("a position was given away %s after it was measured, as if it were new", rulebook.Span(r.OldestBy)), show{r.Stale.First, "old by now"}, show{f.Fix.Valid.Last, "the fix it is from"})
	case r.Right.Is() && r.Mistakes[digitsMistake].Is():
		return f.is(verdict.Weak, "the position given away has lost digits", show{r.Mistakes[digitsMistake].First, "coarser than the fix"}, show{f.Fix.Valid.First, "the fix"})
	case r.Right.Is():
		return f.is(verdict.Holds, fmt.Sprintf("%s given away, as the receiver told it", plural(r.Right.Times, "position", "positions")), show{r.Right.First, "the position"})
	case r.Sent.Is():
		return f.is(verdict.NotShown, "a position was given away, with no fix in this dialogue to compare it with", show{r.Sent.First, "the position"})
	case f.Walk != nil && f.Walk.Composed != "":
		fit := sms.Measure(f.Walk.Composed)
		return notShown(fmt.Sprintf("not sent; it would be %q, %d characters in %s", f.Walk.Composed, len([]rune(f.Walk.Composed)), plural(fit.Parts, "text", "texts")))
	}
	return notShown("no position was given away")
}
