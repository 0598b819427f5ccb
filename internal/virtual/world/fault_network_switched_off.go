package world

var networkSwitchedOff = Fault{
	Name:  "network-switched-off",
	Title: "the networks this module knows are switched off here",
	Truth: "never-registers",
	Doc: `
A part for the second generation where that no longer exists: nothing is heard on
its bands.`,
	Apply: networkSwitchedOffApply,
}

func networkSwitchedOffApply(c *Conditions, _ Params) {
	c.Coverage.Registration, c.Coverage.RSSIdBm = "none", silentDBm
	c.Operators = nil
}
