package world

var flowCharacters = Fault{
	Name:  "flow-characters",
	Title: "two characters never arrive",
	Truth: "flow-characters-eaten",
	Doc: `
One end takes 0x11 and 0x13 for flow control (V.250 clause 6.2.12) and keeps them.
In the alphabet of short messages 0x11 is the underscore (3GPP TS 23.038).`,
	Apply: flowCharactersApply,
}

func flowCharactersApply(c *Conditions, _ Params) {
	c.Line.EatsFlowCharacters = true
}
