package world

var engineStops = Fault{
	Name:  "engine-stops",
	Title: "the position engine stops",
	Truth: "engine-stops",
	Doc: `
It ran, and then it does not: a restart that nobody noticed, a hiccup of its supply.
It starts again when it is switched off and on.`,
	Apply: engineStopsApply,
}

func engineStopsApply(c *Conditions, _ Params) {
	c.GNSS.Engine = "stopped"
}
