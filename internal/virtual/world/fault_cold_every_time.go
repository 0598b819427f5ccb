package world

var coldEveryTime = Fault{
	Name:  "cold-every-time",
	Title: "every start of the engine is a cold one",
	Truth: "cold-starts",
	Doc: `
Its backup supply is not connected: time, place and orbits are forgotten, and each
start waits for the whole message again (30 s a frame, IS-GPS-200 clause 20.3.2).`,
	Apply: coldEveryTimeApply,
}

func coldEveryTimeApply(c *Conditions, _ Params) {
	c.GNSS.KeepsNothing = true
}
