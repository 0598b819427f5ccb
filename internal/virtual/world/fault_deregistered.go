package world

var deregistered = Fault{
	Name:  "deregistered",
	Title: "the module was told to stay out of the network",
	Truth: "radio-off",
	Doc: `
An earlier program stored +COPS=2 (27.007 clause 7.3).`,
	Apply: deregisteredApply,
}

func deregisteredApply(c *Conditions, _ Params) {
	c.Settings.COPS = 2
}
