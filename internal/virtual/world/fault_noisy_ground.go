package world

var noisyGround = Fault{
	Name:  "noisy-ground",
	Title: "some bytes have a wrong bit",
	Truth: "no-common-ground",
	Doc: `
The two sides share no good ground, or a long unshielded wire: single characters
are wrong, at any speed, in both directions.`,
	Takes: []string{"per_million"},
	Apply: noisyGroundApply,
}

func noisyGroundApply(c *Conditions, p Params) {
	c.Line.BitErrorsPerMillion = p.PerMillion.Or(12000)
}
