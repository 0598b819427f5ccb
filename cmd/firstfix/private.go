package main

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/capture"
)

// hidePrivate replaces numbers and identities everywhere in a verdict by
// placeholders, the same for the same number, so that a report can be shared.
func hidePrivate(v *verdict.Verdict) {
	p := capture.NewPrivacy()
	each := func(texts []string) {
		for i := range texts {
			texts[i] = p.Hide(texts[i])
		}
	}
	evidence := func(list []finding.Evidence) {
		for i := range list {
			list[i].Text = p.Hide(list[i].Text)
			list[i].Note = p.Hide(list[i].Note)
		}
	}
	v.Headline = p.Hide(v.Headline)
	each(v.Assumed)
	for i := range v.Chain {
		v.Chain[i].Says = p.Hide(v.Chain[i].Says)
		evidence(v.Chain[i].Evidence)
	}
	for i := range v.Findings {
		v.Findings[i].Message = p.Hide(v.Findings[i].Message)
		evidence(v.Findings[i].Evidence)
	}
	for i := range v.Causes {
		each(v.Causes[i].Because)
		each(v.Causes[i].Against)
	}
}
