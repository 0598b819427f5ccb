package world

var dataOnly = Fault{
	Name:  "data-only",
	Title: "texts and calls are refused, data is not",
	Truth: "data-only",
	Doc: `
Registered for packets and refused for circuits: +CGREG says 1 and +CREG 3.`,
	Takes: []string{"cause"},
	Apply: dataOnlyApply,
}

func dataOnlyApply(c *Conditions, p Params) {
	c.Coverage.Circuit, c.Coverage.DeniedCause = "denied", p.Cause.Or(2)
}
