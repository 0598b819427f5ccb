package world

var supplySags = Fault{
	Name:  "supply-sags",
	Title: "the supply gives way under the transmit burst",
	Truth: "supply-sags",
	Doc: `
Thin leads or a weak source: at the peak of a burst the pins see less than the
module needs, and it restarts (U = I x R; 2 A through 0.45 ohm is 0.9 V).`,
	Takes: []string{"source_ohm"},
	Apply: supplySagsApply,
}

func supplySagsApply(c *Conditions, p Params) {
	c.Supply.SourceOhm = p.SourceOhm.Or(0.45)
}
