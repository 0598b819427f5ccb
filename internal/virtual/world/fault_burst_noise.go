package world

var burstNoise = Fault{
	Name:  "burst-noise",
	Title: "bytes are damaged while the module transmits",
	Truth: "transmit-noise",
	Doc: `
The bursts of the radio couple into the data wires, 217 times a second. Nothing
is wrong while the radio is silent.`,
	Takes: []string{"per_million"},
	Apply: burstNoiseApply,
}

func burstNoiseApply(c *Conditions, p Params) {
	c.Line.SendingErrorsPerMillion = p.PerMillion.Or(60000)
}
