package world

var congestion = Fault{
	Name:  "congestion",
	Title: "the cell is too busy for texts",
	Truth: "network-trouble",
	Doc: `
Part of the texts is refused: cause 42, 'congestion' (3GPP TS 24.011 annex E-2).`,
	Takes: []string{"percent"},
	Apply: congestionApply,
}

func congestionApply(c *Conditions, p Params) {
	c.ServiceCentre.RefusesPercent, c.ServiceCentre.RefusesCause = p.Percent.Or(70), 42
}
