package world

var storeFails = Fault{
	Name:  "store-fails",
	Title: "the store for texts cannot be read or written",
	Truth: "store-fails",
	Doc: `
Every place ends in error 320, 'memory failure' (27.005 clause 3.2.5).`,
	Apply: storeFailsApply,
}

func storeFailsApply(c *Conditions, _ Params) {
	c.Card.Store.Fails = true
}
