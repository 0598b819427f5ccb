package world

var noDate = Fault{
	Name:  "no-date",
	Title: "the date is empty though the position is valid",
	Truth: "date-missing",
	Doc: `
A receiver that has the time of week and not yet the week; this one stays so.`,
	Apply: noDateApply,
}

func noDateApply(c *Conditions, _ Params) {
	c.GNSS.Sentences.NoDate = true
}
