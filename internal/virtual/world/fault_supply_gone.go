package world

var supplyGone = Fault{
	Name:  "supply-gone",
	Title: "the supply is gone for a moment",
	Truth: "hard-power-cuts",
	Doc: `
A loose plug, a rough track. Nothing warns: the module is cut off and starts anew
when the supply is back. Give every_s and for_s.`,
	Apply: supplyGoneApply,
}

func supplyGoneApply(c *Conditions, _ Params) {
	c.Supply.VoltageV = 0
}
