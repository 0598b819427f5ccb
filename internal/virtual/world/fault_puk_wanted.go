package world

var pukWanted = Fault{
	Name:  "puk-wanted",
	Title: "the card wants its PUK",
	Truth: "puk-wanted",
	Doc: `
Three wrong PINs were given. Only the card's PUK helps (27.007 clause 8.3); ten
wrong ones end the card.`,
	Apply: pukWantedApply,
}

func pukWantedApply(c *Conditions, _ Params) {
	c.Card.PIN, c.Card.TriesLeft = "4711", 0
}
