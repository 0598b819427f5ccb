package world

var weakSignal = Fault{
	Name:  "weak-signal",
	Title: "hardly any signal",
	Truth: "weak-signal",
	Doc: `
A hollow, a metal box, a bad cable: the cellular signal alone is weak, the sky is
as good as before.`,
	Takes: []string{"loss_db"},
	Apply: weakSignalApply,
}

func weakSignalApply(c *Conditions, p Params) {
	c.Coverage.RSSIdBm -= p.LossDB.Or(37)
}
