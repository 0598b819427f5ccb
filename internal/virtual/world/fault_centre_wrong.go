package world

var centreWrong = Fault{
	Name:  "centre-wrong",
	Title: "the service centre number is wrong",
	Truth: "foreign-service-centre",
	Doc: `
A copied script wrote another country's number to the card. The module sends, and
the network answers with an error.`,
	Takes: []string{"from", "cause"},
	Apply: centreWrongApply,
}

func centreWrongApply(c *Conditions, p Params) {
	c.ServiceCentre.Number = or(p.From, "+447700900999")
	c.ServiceCentre.RefusesPercent, c.ServiceCentre.RefusesCause = 100, p.Cause.Or(38)
}
