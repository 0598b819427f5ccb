package world

var supplyLow = Fault{
	Name:  "supply-low",
	Title: "the steady voltage is too low",
	Truth: "supply-wrong",
	Doc: `
A regulator set for another part: hardly more than the module needs. Short leads
keep it alive, and it complains whenever it sends.`,
	Takes: []string{"voltage_v"},
	Apply: supplyLowApply,
}

func supplyLowApply(c *Conditions, p Params) {
	c.Supply.VoltageV = p.VoltageV.Or(3.36)
	c.Supply.SourceOhm = min(c.Supply.SourceOhm, 0.012)
}
