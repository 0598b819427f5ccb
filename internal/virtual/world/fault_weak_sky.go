package world

var weakSky = Fault{
	Name:  "weak-sky",
	Title: "all satellites are weak",
	Truth: "weak-gnss-signal",
	Doc: `
A patch that looks sideways, metal above it, a long thin cable: satellites high in
the sky are heard as if they stood at the horizon.`,
	Takes: []string{"loss_db"},
	Apply: weakSkyApply,
}

func weakSkyApply(c *Conditions, p Params) {
	c.Sky.CN0OffsetDB -= p.LossDB.Or(14)
}
