package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/maybe"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/x/ansi"
)

// TextOptions are what a person may choose about the terminal's report.
type TextOptions struct {
	Colour bool
	Width  int  // columns; 0 means 100
	Brief  bool // leave out the timing table and the assumptions
}

// Text writes the verdict for a terminal.
func Text(w io.Writer, v *verdict.Verdict, o TextOptions) error {
	if o.Width <= 0 {
		o.Width = 100
	}
	t := &textPage{v: v, o: o}
	t.head()
	t.chain()
	t.against()
	t.causes()
	t.findings()
	if !o.Brief {
		t.pdus()
		t.timings()
		t.assumed()
	}
	t.cautions()
	_, err := io.WriteString(w, t.b.String())
	return err
}

type textPage struct {
	v *verdict.Verdict
	o TextOptions
	b strings.Builder
}

// The colours of the terminal's report: the sixteen every terminal has, so that
// a person's own choice of palette holds.
var (
	bold   = lipgloss.NewStyle().Bold(true)
	dim    = lipgloss.NewStyle().Faint(true)
	green  = lipgloss.NewStyle().Foreground(lipgloss.Color("2"))
	yellow = lipgloss.NewStyle().Foreground(lipgloss.Color("3")).Bold(true)
	red    = lipgloss.NewStyle().Foreground(lipgloss.Color("1")).Bold(true)
)

func (t *textPage) paint(s lipgloss.Style, text string) string {
	if !t.o.Colour {
		return text
	}
	return s.Render(text)
}

func (t *textPage) stateStyle(s verdict.State) lipgloss.Style {
	switch s {
	case verdict.Holds:
		return green
	case verdict.Weak:
		return yellow
	case verdict.Broken:
		return red
	}
	return dim
}

func (t *textPage) severityStyle(s finding.Severity) lipgloss.Style {
	switch s {
	case finding.Error:
		return red
	case finding.Warning:
		return yellow
	}
	return dim
}

func (t *textPage) line(format string, args ...any) { fmt.Fprintf(&t.b, format+"\n", args...) }

func (t *textPage) section(title string) { t.line("\n%s", t.paint(bold, title)) }

// wrapped writes text with a first lead and an equal hanging indent.
func (t *textPage) wrapped(lead, text string) {
	indent := ansi.StringWidth(lead)
	lines := strings.Split(ansi.Wordwrap(text, max(t.o.Width-indent, 30), ""), "\n")
	for i, l := range lines {
		if i == 0 {
			t.line("%s%s", lead, l)
		} else {
			t.line("%s%s", strings.Repeat(" ", indent), l)
		}
	}
}

func (t *textPage) head() {
	simulated := ""
	if t.v.Simulated {
		simulated = "   (simulated: no hardware was involved)"
	}
	t.line("%s of %s%s", t.v.Kind, t.v.Input, simulated)
	t.line("")
	t.wrapped("  ", t.paint(bold, t.v.Headline))
}

func (t *textPage) chain() {
	if len(t.v.Chain) == 0 {
		return
	}
	t.section("Chain")
	for _, l := range t.v.Chain {
		style := t.stateStyle(l.State)
		name := fmt.Sprintf("  %s %-9s ", mark(l.State), l.Name)
		says := l.Says
		if l.State == verdict.NotReached || l.State == verdict.NotShown {
			says = string(l.State) + ": " + says
		}
		t.wrapped(t.paint(style, name), says)
		if l.State == verdict.Broken || l.State == verdict.Weak {
			t.evidence("      ", l.Evidence)
		}
	}
}

func (t *textPage) evidence(indent string, list []finding.Evidence) {
	t.evidenceOf(indent, list, t.v.TimesKnown)
}

// evidenceOf shows lines of this recording, or of another whose times may be known.
func (t *textPage) evidenceOf(indent string, list []finding.Evidence, timesKnown bool) {
	width := 0
	for _, e := range list {
		width = max(width, ansi.StringWidth(place(e, timesKnown)))
	}
	for _, e := range list {
		where := place(e, timesKnown)
		note := ""
		if e.Note != "" {
			note = t.paint(dim, "   ("+e.Note+")")
		}
		t.line("%s%s%s  %s %s%s", indent, t.paint(dim, where), strings.Repeat(" ", width-ansi.StringWidth(where)), arrow(e.From), quote(e.Text), note)
	}
}

// maxApart are the differences that a terminal shows; the page and JSON have all.
const maxApart = 8

// against shows where the dialogue parts from one that worked.
func (t *textPage) against() {
	c := t.v.Against
	if c == nil {
		return
	}
	t.section("Compared with " + c.Good)
	t.wrapped("  ", c.Says)
	for i, d := range c.Differences {
		if i >= maxApart {
			t.line("  and %d more", len(c.Differences)-maxApart+c.More)
			break
		}
		t.wrapped("  - ", d.Says)
		t.evidence("      ", d.Here)
		t.evidenceOf("      good: ", d.There, c.TimesKnown)
	}
	for _, s := range c.Settings {
		t.wrapped("  setting ", s.Name+": "+settingSays(s.Here)+"; in the good one "+settingSays(s.There))
	}
	for _, x := range c.Timing {
		t.wrapped("  time ", fmt.Sprintf("%s: %s; in the good one %s", x.What, milliseconds(x.HereMS, true), milliseconds(x.ThereMS, true)))
	}
}

func settingSays(value string) string {
	if value == "" {
		return "neither set nor read"
	}
	return value
}

// likelyEnough is from when on a cause is shown with all its reasons; the first always is.
const likelyEnough = 0.15

func (t *textPage) causes() {
	if len(t.v.Causes) > 0 {
		t.section("Likely causes")
	}
	for _, o := range t.v.Observed {
		t.wrapped("  you saw: ", o.Means)
	}
	if t.v.Together != nil {
		t.wrapped("  ", togetherSays(t.v.Together))
	}
	for i, c := range t.v.Causes {
		t.wrapped(fmt.Sprintf("  %d. ", i+1), t.paint(bold, c.Title)+", "+chance(c.Probability))
		for _, b := range c.Because {
			t.wrapped("     for      ", b)
		}
		for _, a := range c.Against {
			t.wrapped("     against  ", a)
		}
		if c.Remedy != "" && (i == 0 || c.Probability >= likelyEnough) {
			t.wrapped("     remedy   ", c.Remedy)
		}
	}
	if n := t.v.Next; n != nil {
		t.section("Measure next")
		t.wrapped("  ", n.Do)
		t.wrapped("  tells    ", n.Tells)
		t.wrapped("  takes    ", takes(n))
		if n.Caution != "" {
			t.wrapped("  caution  ", n.Caution)
		}
		if say := outcomes(n); say != "" {
			t.wrapped("  then     ", say)
		}
	}
}

// togetherSays tells that two causes are there at once.
func togetherSays(two *verdict.Together) string {
	return fmt.Sprintf("Two at once explain it best (%s and %s, %.0f %%).", two.Causes[0], two.Causes[1], min(two.Probability*100, 99))
}

// outcomes says how to tell what came of a measurement.
func outcomes(n *verdict.Measurement) string {
	if n.Name == "" || len(n.Answers) == 0 {
		return ""
	}
	var words []string
	for _, a := range n.Answers {
		words = append(words, a.Name)
	}
	say := fmt.Sprintf("tell the outcome with --saw %s=%s", n.Name, strings.Join(words, "|"))
	if n.Unit != "" {
		say += ", or a figure in " + n.Unit
	}
	return say + "; --ask leads through them one by one"
}

func takes(n *verdict.Measurement) string {
	text := fmt.Sprintf("about %d min", n.Minutes)
	if n.Minutes <= 1 {
		text = "about a minute"
	}
	if n.Tools != "" {
		text += "; " + n.Tools
	}
	return text
}

func (t *textPage) findings() {
	if len(t.v.Findings) == 0 {
		return
	}
	t.section("Findings")
	for _, f := range t.v.Findings {
		t.wrapped("  "+t.paint(t.severityStyle(f.Severity), fmt.Sprintf("%-8s", f.Severity)), t.paint(bold, f.Title)+" ["+f.Rule+"]")
		t.wrapped("          ", f.Message)
		t.evidence("          ", f.Evidence)
		if f.More > 0 {
			t.line("          and %d more like it", f.More)
		}
		t.wrapped("          do: ", f.Remedy)
		t.wrapped("          ", t.paint(dim, "source: "+strings.Join(f.Cites, "; ")))
	}
}

func (t *textPage) timings() {
	if len(t.v.Timings) == 0 {
		return
	}
	t.section("Timing per command")
	if !t.v.TimesKnown {
		t.line("  The recording has no times: nothing could be measured.")
		return
	}
	t.line("  %-16s %6s %5s %9s %9s %9s %9s %9s %9s", "command", "count", "none", "shortest", "median", "95 %", "longest", "gave up", "wait for")
	var notes []string // each reason once, by letter
	for _, r := range t.v.Timings {
		letter, known := "", false
		for i, n := range notes {
			if n == limitReason(r.Reason) {
				letter, known = noteLetter(i), true
			}
		}
		if !known && r.Reason != "" {
			letter = noteLetter(len(notes))
			notes = append(notes, limitReason(r.Reason))
		}
		gaveUp, sign := measured(r.GaveUpMaxMS), " "
		if r.TooShort {
			sign = "!"
		}
		t.line("%s", strings.TrimRight(fmt.Sprintf("  %-16s %6d %5d %9s %9s %9s %9s %8s%s %9s %s", r.Command, r.Count, r.Unanswered,
			measured(r.MinMS), measured(r.MedianMS), measured(r.P95MS), measured(r.MaxMS), gaveUp, sign, measured(r.RecommendedWait), letter), " "))
	}
	if slices.ContainsFunc(t.v.Timings, func(r verdict.Timing) bool { return r.TooShort }) {
		t.wrapped("  !  ", "the controller went on without a result earlier than it should be ready to wait")
	}
	for i, n := range notes {
		t.wrapped("  "+noteLetter(i)+"  ", n)
	}
}

// limitReason is a reason without its figures, which stand in the table.
func limitReason(reason string) string {
	if i := strings.LastIndex(reason, "; "); i >= 0 && strings.Contains(reason[i:], "measured") {
		return reason[:i]
	}
	return reason
}

// noteLetter names a footnote: a, b, … z, then numbers.
func noteLetter(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return fmt.Sprint(i + 1)
}

func measured(ms maybe.Value[float64]) string {
	value, known := ms.Get()
	if !known {
		return "-"
	}
	return milliseconds(value, true)
}

func (t *textPage) assumed() {
	c := t.v.Counts
	t.section("What was understood")
	t.wrapped("  ", understood(c))
	for _, a := range t.v.Assumed {
		t.wrapped("  assumed: ", a)
	}
}

// understood sums the counts up in a sentence.
func understood(c verdict.Counts) string {
	parts := []string{
		fmt.Sprintf("%d records, %d bytes", c.Records, c.Bytes),
		fmt.Sprintf("%d exchanges (%d finished, %d with an error, %d overtaken, %d unanswered)", c.Exchanges, c.Finished, c.Failed, c.Overtaken, c.Unanswered),
		fmt.Sprintf("%d unsolicited lines", c.Unsolicited),
		fmt.Sprintf("%d sentences in %d epochs, %d of them a valid fix", c.Sentences, c.Epochs, c.ValidFixes),
		fmt.Sprintf("%d messages", c.Messages),
	}
	if c.Garbled > 0 {
		parts = append(parts, fmt.Sprintf("%d stretches of bytes that fit nothing", c.Garbled))
	}
	if c.Stray > 0 {
		parts = append(parts, fmt.Sprintf("%d controller lines that are no command", c.Stray))
	}
	return strings.Join(parts, "; ") + "."
}

func (t *textPage) cautions() {
	if len(t.v.Cautions) == 0 {
		return
	}
	t.section("Cautions")
	for _, c := range t.v.Cautions {
		t.wrapped("  - ", c)
	}
}
