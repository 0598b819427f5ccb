package world

var frozenPosition = Fault{
	Name:  "frozen-position",
	Title: "the position stands still to the last digit",
	Truth: "position-frozen",
	Doc: `
The engine holds what it had, and tells it with the present time and valid.`,
	Apply: frozenPositionApply,
}

func frozenPositionApply(c *Conditions, _ Params) {
	c.GNSS.Frozen = true
}
