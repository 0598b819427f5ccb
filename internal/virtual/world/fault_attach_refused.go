package world

var attachRefused = Fault{
	Name:  "attach-refused",
	Title: "the packet network refuses the module",
	Truth: "attach-refused",
	Doc: `
Texts work and data does not: 107, 'GPRS services not allowed' (27.007 clause 9.2.2).`,
	Takes: []string{"cause"},
	Apply: attachRefusedApply,
}

func attachRefusedApply(c *Conditions, p Params) {
	c.Packet.Attach, c.Packet.Cause = "refused", p.Cause.Or(107)
}
