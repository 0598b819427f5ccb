package world

var reportsMissing = Fault{
	Name:  "reports-missing",
	Title: "status reports do not come",
	Truth: "reports-missing",
	Doc: `
They were asked for, and this network does not send any.`,
	Apply: reportsMissingApply,
}

func reportsMissingApply(c *Conditions, _ Params) {
	c.ServiceCentre.Report = "none"
}
