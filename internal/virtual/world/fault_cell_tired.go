package world

var cellTired = Fault{
	Name:  "cell-tired",
	Title: "the cell gives way under every burst, and recovers",
	Truth: "low-battery",
	Doc: `
An old or cold cell has a high resistance inside. At rest it looks well; at the
first burst the module restarts, the cell recovers, and so on until it is flat.
Registration itself sends, so the module hardly ever gets beyond it.`,
	Takes: []string{"voltage_v", "source_ohm"},
	Apply: cellTiredApply,
}

func cellTiredApply(c *Conditions, p Params) {
	c.Supply.VoltageV = p.VoltageV.Or(3.62)
	c.Supply.SourceOhm = p.SourceOhm.Or(0.6)
	c.TemperatureC = -14
}
