package world

var noSky = Fault{
	Name:  "no-sky",
	Title: "the GNSS antenna does not see the sky",
	Truth: "no-sky",
	Doc: `
Under a roof satellites are heard faintly or not at all; the network is
as good as before.`,
	Apply: noSkyApply,
}

func noSkyApply(c *Conditions, _ Params) {
	c.Sky.View = "indoor"
}
