package world

var slowStart = Fault{
	Name:  "slow-start",
	Title: "the module takes long to start",
	Truth: "slow-start",
	Doc: `
Half a minute and more from power to its first word.`,
	Takes: []string{"wait_s"},
	Apply: slowStartApply,
}

func slowStartApply(c *Conditions, p Params) {
	c.Timing.BootS = p.WaitS.Or(32)
}
