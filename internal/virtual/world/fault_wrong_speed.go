package world

var wrongSpeed = Fault{
	Name:  "wrong-speed",
	Title: "the module speaks at a speed nobody expects",
	Truth: "wrong-speed",
	Doc: `
An earlier owner set and stored another speed (+IPR, V.250 clause 6.2.10). At any
other speed both ends read rubbish.`,
	Takes: []string{"baud"},
	Apply: wrongSpeedApply,
}

func wrongSpeedApply(c *Conditions, p Params) {
	c.Line.Baud = p.Baud.Or(115200)
}
