package world

var falseSignals = Fault{
	Name:  "false-signals",
	Title: "false signals lead the position astray",
	Truth: "false-signals",
	Doc: `
Somebody transmits what satellites would, stronger: all levels rise and look alike,
and the position jumps by kilometres without a break.`,
	Takes: []string{"distance_m"},
	Apply: falseSignalsApply,
}

func falseSignalsApply(c *Conditions, p Params) {
	c.GNSS.FalseEastM = p.DistanceM.Or(4200)
	c.GNSS.FalseNorthM = 0.6 * c.GNSS.FalseEastM
	c.Sky.CN0OffsetDB += 3
}
