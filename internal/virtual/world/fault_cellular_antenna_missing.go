package world

var cellularAntennaMissing = Fault{
	Name:  "cellular-antenna-missing",
	Title: "the cellular antenna is not connected",
	Truth: "cellular-antenna-missing",
	Doc: `
The socket is empty: next to a mast something is heard, elsewhere nothing.`,
	Apply: cellularAntennaMissingApply,
}

func cellularAntennaMissingApply(c *Conditions, _ Params) {
	c.AntennaCellular = "missing"
}
