package world

var numericResults = Fault{
	Name:  "numeric-results",
	Title: "results come as digits",
	Truth: "results-wordless",
	Doc: `
Somebody stored ATV0 (V.250 clause 6.2.6): OK is 0 and ERROR is 4.`,
	Apply: numericResultsApply,
}

func numericResultsApply(c *Conditions, _ Params) {
	c.Settings.Numeric = true
}
