package world

var storeFull = Fault{
	Name:  "store-full",
	Title: "the store for texts is full",
	Truth: "store-full",
	Doc: `
Every place on the card holds an old text. New ones wait at the service centre
(27.005 clause 3.2.2: used equals total).`,
	Apply: storeFullApply,
}

func storeFullApply(c *Conditions, _ Params) {
	c.Card.Store.Used = c.Card.Store.Size
}
