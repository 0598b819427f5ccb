package world

var tooFast = Fault{
	Name:  "too-fast",
	Title: "more sentences than the line can carry",
	Truth: "line-overfull",
	Doc: `
Ten positions a second are some 5000 bytes; 9600 baud carry 960. Lines pile up, come
ever later, and are lost.`,
	Takes: []string{"rate_hz"},
	Apply: tooFastApply,
}

func tooFastApply(c *Conditions, p Params) {
	c.GNSS.RateHz = p.RateHz.Or(10)
}
