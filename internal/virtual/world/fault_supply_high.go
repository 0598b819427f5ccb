package world

var supplyHigh = Fault{
	Name:  "supply-high",
	Title: "the steady voltage is too high",
	Truth: "supply-wrong",
	Doc: `
Five volts on pins that bear 4.6: the module switches itself off a little after
it has started, each time.`,
	Takes: []string{"voltage_v"},
	Apply: supplyHighApply,
}

func supplyHighApply(c *Conditions, p Params) {
	c.Supply.VoltageV = p.VoltageV.Or(5.0)
}
