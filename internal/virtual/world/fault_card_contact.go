package world

var cardContact = Fault{
	Name:  "card-contact",
	Title: "the card's springs let go now and then",
	Truth: "card-contact",
	Doc: `
Vibration, cold or dirt part the contacts for a moment; give every_s and for_s.
The module loses its registration with the card, and asks for the PIN again.`,
	Apply: cardContactApply,
}

func cardContactApply(c *Conditions, _ Params) {
	c.Card.Contact = false
}
