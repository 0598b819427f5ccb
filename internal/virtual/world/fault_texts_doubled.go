package world

var textsDoubled = Fault{
	Name:  "texts-doubled",
	Title: "texts arrive twice",
	Truth: "texts-doubled",
	Doc: `
An acknowledgement got lost, and the service centre tries again.`,
	Takes: []string{"percent"},
	Apply: textsDoubledApply,
}

func textsDoubledApply(c *Conditions, p Params) {
	c.ServiceCentre.DoublesPercent = p.Percent.Or(100)
}
