package world

var contextRefused = Fault{
	Name:  "context-refused",
	Title: "the packet context is refused",
	Truth: "apn-wrong",
	Doc: `
A wrong access point, or none in the contract: 133, 'service option not subscribed'
(27.007 clause 9.2.2), at each try.`,
	Takes: []string{"cause"},
	Apply: contextRefusedApply,
}

func contextRefusedApply(c *Conditions, p Params) {
	c.Packet.Activate, c.Packet.Cause = "refused", p.Cause.Or(133)
}
