package world

var mergedSentences = Fault{
	Name:  "merged-sentences",
	Title: "sentences run into each other",
	Truth: "sentences-damaged",
	Doc: `
Part of one is missing and the next begins in its middle: a buffer too small for a
second's sentences.`,
	Takes: []string{"percent"},
	Apply: mergedSentencesApply,
}

func mergedSentencesApply(c *Conditions, p Params) {
	c.GNSS.Sentences.MergedPerThousand = 10 * p.Percent.Or(12)
}
