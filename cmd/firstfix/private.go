package main

import (
	"slices"
	"strconv"
	"strings"

	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/report"
	"firstfix/internal/talk/capture"
	"firstfix/internal/wire/sms"
)

// maxPlaces is how many coordinates of one text stay readable: a text has room for six.
const maxPlaces = 8

// hidePrivate makes a verdict fit to be shared: numbers and identities become
// placeholders everywhere, the same for the same number, and what somebody wrote
// to somebody is shown by its shape only. docs/decisions/0005 says why and how.
func hidePrivate(v *verdict.Verdict) {
	h := hider{privacy: capture.NewPrivacy()}
	for i := range v.Chain {
		h.quoted(v.Chain[i].Quotes)
	}
	for i := range v.Findings {
		h.quoted(v.Findings[i].Quotes)
	}
	v.Headline = h.sentence(v.Headline)
	h.sentences(v.Assumed)
	for i := range v.Chain {
		v.Chain[i].Says = h.sentence(v.Chain[i].Says)
		v.Chain[i].Quotes = nil
		h.evidence(v.Chain[i].Evidence)
	}
	for i := range v.Findings {
		v.Findings[i].Message = h.sentence(v.Findings[i].Message)
		v.Findings[i].Quotes = nil
		h.evidence(v.Findings[i].Evidence)
	}
	for i := range v.Causes {
		h.sentences(v.Causes[i].Because)
		h.sentences(v.Causes[i].Against)
	}
	h.comparison(v.Against)
	for i := range v.PDUs {
		p := &v.PDUs[i]
		p.Fields = report.HideFields(p.Fields, h.field)
		p.Fault, _, _ = strings.Cut(p.Fault, ": had ") // what stood there may be part of a number
	}
}

// comparison hides what is private in both dialogues.
func (h *hider) comparison(c *verdict.Comparison) {
	if c == nil {
		return
	}
	c.Says = h.sentence(c.Says)
	differences := c.Differences
	if c.First != nil {
		c.First.Here, c.First.There = slices.Clone(c.First.Here), slices.Clone(c.First.There) // the same lines stand in the list
		h.difference(c.First)
	}
	for i := range differences {
		h.difference(&differences[i])
	}
	for i := range c.Settings {
		s := &c.Settings[i]
		s.Here, s.There = h.sentence(s.Here), h.sentence(s.There)
		h.evidence(s.Evidence)
	}
}

func (h *hider) difference(d *verdict.Difference) {
	d.Says = h.sentence(d.Says)
	h.evidence(d.Here)
	h.evidence(d.There)
}

// A hider knows what was replaced so far.
type hider struct {
	privacy *capture.Privacy
	quotes  []string // old and new in turn, as strings.NewReplacer wants them
}

// quoted notes texts that sentences repeat between quotation marks.
func (h *hider) quoted(texts []string) {
	for _, t := range texts {
		if t == "" {
			continue
		}
		h.quotes = append(h.quotes, strconv.Quote(t), strconv.Quote(h.body(t)))
	}
}

// sentence hides what is private in a sentence of ours.
func (h *hider) sentence(s string) string {
	if len(h.quotes) > 0 {
		s = strings.NewReplacer(h.quotes...).Replace(s)
	}
	return h.privacy.Hide(s)
}

func (h *hider) sentences(list []string) {
	for i := range list {
		list[i] = h.sentence(list[i])
	}
}

// field returns what stands for the value of a private field: the placeholder of a number,
// the shape of a text.
func (h *hider) field(f *sms.Field) string {
	if strings.Contains(f.Name, "number") {
		if hidden := h.privacy.Hide(f.Value); hidden != f.Value {
			return hidden
		}
		return "hidden" // a short number, or a name
	}
	if text, err := strconv.Unquote(f.Value); err == nil && f.Name == "TP-UD" {
		return strconv.Quote(h.body(text))
	}
	return "hidden"
}

// body returns the shape of a text; coordinates stay readable however they are spelled.
func (h *hider) body(text string) string {
	var keep [][2]int
	for _, r := range geo.FindAll(text, maxPlaces) {
		keep = append(keep, [2]int{r.At, r.At + r.Len})
	}
	return h.privacy.Body(text, keep...)
}

func (h *hider) evidence(list []finding.Evidence) {
	for i := range list {
		e := &list[i]
		e.Note = h.sentence(e.Note)
		if e.Body {
			e.Text = h.body(e.Text)
		} else {
			e.Text = h.privacy.Hide(e.Text)
		}
	}
}
