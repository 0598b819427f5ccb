package world

var noAddress = Fault{
	Name:  "no-address",
	Title: "the packet context has no address",
	Truth: "no-address",
	Doc: `
The context counts as active, and its address is 0.0.0.0: nothing can be sent.`,
	Apply: noAddressApply,
}

func noAddressApply(c *Conditions, _ Params) {
	c.Packet.NoAddress = true
}
