package world

var otherMaster = Fault{
	Name:  "other-master",
	Title: "another program talks to the module",
	Truth: "somebody-else-on-the-line",
	Doc: `
A background service on the same port asks questions of its own. The controller
sees echoes and answers that belong to nobody, and settings change behind it.`,
	Apply: otherMasterApply,
}

func otherMasterApply(c *Conditions, _ Params) {
	c.Line.OtherMaster = true
}
