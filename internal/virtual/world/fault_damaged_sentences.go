package world

var damagedSentences = Fault{
	Name:  "damaged-sentences",
	Title: "some sentences are damaged",
	Truth: "sentences-damaged",
	Doc: `
A character is wrong, and the checksum behind the star no longer fits.`,
	Takes: []string{"percent"},
	Apply: damagedSentencesApply,
}

func damagedSentencesApply(c *Conditions, p Params) {
	c.GNSS.Sentences.DamagedPerThousand = 10 * p.Percent.Or(12)
}
