package world

var earlyDate = Fault{
	Name:  "early-date",
	Title: "an old date is shown before the time is known",
	Truth: "date-default",
	Doc: `
Until the first message is read the engine writes the date of its own counter.`,
	Apply: earlyDateApply,
}

func earlyDateApply(c *Conditions, _ Params) {
	c.GNSS.Sentences.EarlyDate = true
}
