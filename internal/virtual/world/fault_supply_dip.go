package world

var supplyDip = Fault{
	Name:  "supply-dip",
	Title: "the supply falls for a moment, whatever the module does",
	Truth: "supply-sags",
	Doc: `
A starter motor on the same battery. Below its limit the module restarts even
while it only listens.`,
	Takes: []string{"voltage_v"},
	Apply: supplyDipApply,
}

func supplyDipApply(c *Conditions, p Params) {
	c.Supply.VoltageV = p.VoltageV.Or(2.9)
}
