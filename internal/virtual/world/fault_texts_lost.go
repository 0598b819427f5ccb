package world

var textsLost = Fault{
	Name:  "texts-lost",
	Title: "texts leave and never arrive",
	Truth: "texts-lost",
	Doc: `
The service centre takes them and nothing comes of it: a filter, a full telephone,
an expired one.`,
	Takes: []string{"percent"},
	Apply: textsLostApply,
}

func textsLostApply(c *Conditions, p Params) {
	c.ServiceCentre.LosesPercent = p.Percent.Or(100)
	c.ServiceCentre.Report = "failed"
}
