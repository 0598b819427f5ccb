package world

var centreRefuses = Fault{
	Name:  "centre-refuses",
	Title: "the service centre refuses texts",
	Truth: "texts-refused",
	Doc: `
Every text ends in the same cause; 21 is 'rejected' (3GPP TS 24.011 annex E-2).`,
	Takes: []string{"percent", "cause"},
	Apply: centreRefusesApply,
}

func centreRefusesApply(c *Conditions, p Params) {
	c.ServiceCentre.RefusesPercent, c.ServiceCentre.RefusesCause = p.Percent.Or(100), p.Cause.Or(21)
}
