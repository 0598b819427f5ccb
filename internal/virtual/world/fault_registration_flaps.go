package world

var registrationFlaps = Fault{
	Name:  "registration-flaps",
	Title: "registration comes and goes",
	Truth: "registration-flaps",
	Doc: `
The edge of a cell. While the fault is on there is no network; give every_s and
for_s.`,
	Apply: registrationFlapsApply,
}

func registrationFlapsApply(c *Conditions, _ Params) {
	c.Coverage.Registration = "none"
	c.Coverage.RSSIdBm -= 12
}
