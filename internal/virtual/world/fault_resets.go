package world

var resets = Fault{
	Name:  "resets",
	Title: "the module starts anew by itself",
	Truth: "module-restarts",
	Doc: `
Nothing is wrong with the supply: its own program fails. All settings that were not
stored are gone. Each time the fault comes on is one restart.`,
	Apply: resetsApply,
}

func resetsApply(c *Conditions, _ Params) {
	c.Module.Resets = true
}
