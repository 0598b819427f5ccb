package world

var noTexts = Fault{
	Name:  "no-texts",
	Title: "the contract has no texts",
	Truth: "subscription-inactive",
	Doc: `
A card for data. It registers everywhere, and each text is refused: cause 50,
'requested facility not subscribed' (3GPP TS 24.011 annex E-2).`,
	Apply: noTextsApply,
}

func noTextsApply(c *Conditions, _ Params) {
	c.Card.Contract.Texts = false
}
