package world

var quota = Fault{
	Name:  "quota",
	Title: "so many texts an hour and no more",
	Truth: "quota-used",
	Doc: `
Fair use, a prepaid limit: some texts leave, then every one is refused with cause
28, and after an hour it works again.`,
	Takes: []string{"count"},
	Apply: quotaApply,
}

func quotaApply(c *Conditions, p Params) {
	c.ServiceCentre.MostAnHour = p.Count.Or(2)
}
