package world

var noCard = Fault{
	Name:  "no-card",
	Title: "the card holder is empty",
	Truth: "no-card",
	Doc: `
No card answers. 27.007 clause 9.2: error 10.`,
	Apply: noCardApply,
}

func noCardApply(c *Conditions, _ Params) {
	c.Card.Present = false
}
