package world

var pinWanted = Fault{
	Name:  "pin-wanted",
	Title: "the card asks for a PIN that nobody has given",
	Truth: "pin-wanted",
	Doc: `
The PIN is 4711. Each wrong one costs a try; after the last the card wants its
PUK (27.007 clause 8.3).`,
	Takes: []string{"tries_left"},
	Apply: pinWantedApply,
}

func pinWantedApply(c *Conditions, p Params) {
	c.Card.PIN = "4711"
	c.Card.TriesLeft = p.TriesLeft.Or(3)
}
