package world

var noNetworkTime = Fault{
	Name:  "no-network-time",
	Title: "the network does not tell the time",
	Truth: "clock-unset",
	Doc: `
The module's clock stands where its counter began, years ago.`,
	Apply: noNetworkTimeApply,
}

func noNetworkTimeApply(c *Conditions, _ Params) {
	c.Coverage.NetworkTime = false
}
