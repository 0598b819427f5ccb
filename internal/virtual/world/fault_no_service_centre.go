package world

var noServiceCentre = Fault{
	Name:  "no-service-centre",
	Title: "the card holds no service centre number",
	Truth: "no-service-centre",
	Doc: `
Texts cannot leave: 27.005 clause 3.2.5, error 330.`,
	Apply: noServiceCentreApply,
}

func noServiceCentreApply(c *Conditions, _ Params) {
	c.ServiceCentre.Number = ""
}
