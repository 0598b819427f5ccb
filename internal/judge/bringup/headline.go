package bringup

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
)

// headline is the whole outcome in one sentence or two: the first link that does not
// hold, what shows it, and what is behind it.
func (f *Facts) headline(v *verdict.Verdict) string {
	link, broken := v.FirstBroken()
	switch {
	case f.Counts.Records == 0:
		return "The recording is empty."
	case f.Counts.Exchanges == 0 && f.Counts.Sentences == 0 && f.Counts.Unsolicited == 0 && !broken:
		return fmt.Sprintf("None of the %s could be read as a dialogue with a module.", plural(int(f.Counts.Bytes), "byte", "bytes"))
	case broken:
		where := "The chain breaks at the "
		if link.State == verdict.Weak {
			where = "The weakest link is the "
		}
		return fmt.Sprintf("%s%s: %s.%s", where, link.Name, link.Says, causeSentence(v))
	case grave(v.Findings) > 0:
		return findingsHeadline(v)
	}
	return f.holdsHeadline(v)
}

func causeSentence(v *verdict.Verdict) string {
	causes := v.Causes
	switch {
	case len(causes) == 0:
		return ""
	case causes[0].Name == SomethingElse:
		return " None of the listed causes explains it well."
	case v.Together != nil:
		return fmt.Sprintf(" %s two things at once: %s; and %s.", upperFirst(Wording(v.Together.Probability)), titleOf(v.Together.Causes[0]), titleOf(v.Together.Causes[1]))
	case causes[0].Probability < 0.25:
		return " No single cause stands out."
	case len(causes) > 1 && causes[1].Probability >= 0.25 && causes[1].Name != SomethingElse:
		return fmt.Sprintf(" %s %s; or %s.", upperFirst(Wording(causes[0].Probability)), causes[0].Title, causes[1].Title)
	}
	return fmt.Sprintf(" %s %s.", upperFirst(Wording(causes[0].Probability)), causes[0].Title)
}

// findingsHeadline: no link is broken, but the controller does something wrong.
func findingsHeadline(v *verdict.Verdict) string {
	var worst *finding.Finding
	kinds := map[string]bool{}
	for i := range v.Findings {
		x := &v.Findings[i]
		if x.Severity < finding.Warning {
			continue
		}
		kinds[x.Rule] = true
		if worst == nil {
			worst = x
		}
	}
	where := ""
	if len(worst.Evidence) > 0 {
		where = fmt.Sprintf(" at record %d", worst.Evidence[0].Record)
		if line := worst.Evidence[0].SourceLine; line > 0 {
			where = fmt.Sprintf(" at line %d", line)
		}
	}
	return fmt.Sprintf("No link is broken, but %s found; the gravest%s: %s.", plural(len(kinds), "kind of mistake was", "kinds of mistakes were"), where, worst.Title)
}

func (f *Facts) holdsHeadline(v *verdict.Verdict) string {
	var holds, silent []string
	for _, l := range v.Chain {
		if l.State == verdict.Holds {
			holds = append(holds, l.Name)
		} else {
			silent = append(silent, l.Name)
		}
	}
	switch {
	case len(silent) == 0:
		return fmt.Sprintf("All %d links hold, from the supply to the report.", len(holds))
	case len(holds) == 0:
		return "Nothing wrong was found, and nothing was shown to work either."
	case len(holds) == 1:
		return fmt.Sprintf("Nothing wrong was found. Shown to hold: %s.", holds[0])
	}
	return fmt.Sprintf("Nothing wrong was found. Shown to hold: %s; not shown: %s.", strings.Join(holds, ", "), strings.Join(silent, ", "))
}

func titleOf(name string) string {
	for _, c := range Causes {
		if c.Name == name {
			return c.Title
		}
	}
	return name
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// cautions are the warnings that apply to what the reader may do next.
func (f *Facts) cautions(v *verdict.Verdict) []string {
	radio := f.Network.Asked.Is() || f.Texts.Sends > 0 || f.Network.Levels+f.Network.NoLevels > 0
	power := f.Module.Restarted > 0 || f.Supply.Undervoltage.Is() || f.Supply.Readings > 0
	where := f.placed || f.Fix.Valid.Is() || f.Report.Sent.Is()
	out := []string{}
	for _, c := range []struct {
		when bool
		text string
	}{
		{radio, "Have an antenna on the cellular socket before anything transmits, and transmit only on networks and bands you may use."},
		{power, "Supplies and lithium cells can burn: limit the current, do not short the pins, keep to the module's voltage range; ask a qualified person where you are not sure."},
		{where, "A position that can be tied to a person is personal data: track people and their vehicles only with their consent and within local law, and do not pass recordings on unmasked."},
		{f.Texts.Sends > 0 || f.Texts.Arrived.Is(), "A text is not a guaranteed alarm: it may be late or lost, so nobody's safety may hang on it."},
		{f.Card.PIN.Is() || f.Card.PUK.Is(), "Do not guess PINs: after three wrong ones the card wants its PUK, after ten wrong PUKs it is lost."},
		{f.Walk != nil, "Local rules for radio, vehicles and privacy come first; where they say otherwise, follow them."},
	} {
		if c.when {
			out = append(out, c.text)
		}
	}
	return out
}
