package world

var noResults = Fault{
	Name:  "no-results",
	Title: "results do not come at all",
	Truth: "results-wordless",
	Doc: `
Somebody stored ATQ1 (V.250 clause 6.2.5): information comes, and never an OK.`,
	Apply: noResultsApply,
}

func noResultsApply(c *Conditions, _ Params) {
	c.Settings.Quiet = true
}
