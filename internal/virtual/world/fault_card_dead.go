package world

var cardDead = Fault{
	Name:  "card-dead",
	Title: "the card does not answer",
	Truth: "card-failed",
	Doc: `
It lies in its holder and touches, and is broken: error 13, always (27.007 clause
9.2).`,
	Apply: cardDeadApply,
}

func cardDeadApply(c *Conditions, _ Params) {
	c.Card.Contact = false
}
