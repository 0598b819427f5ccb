package world

var cardBusy = Fault{
	Name:  "card-busy",
	Title: "the card needs long to be ready",
	Truth: "card-busy",
	Doc: `
For some time after a start everything that needs the card is answered with error
14, 'busy' (27.007 clause 9.2).`,
	Takes: []string{"wait_s"},
	Apply: cardBusyApply,
}

func cardBusyApply(c *Conditions, p Params) {
	c.Card.BusyS = p.WaitS.Or(40)
}
