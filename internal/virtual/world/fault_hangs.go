package world

var hangs = Fault{
	Name:  "hangs",
	Title: "the module stops answering for good",
	Truth: "module-hangs",
	Doc: `
Its program has stopped in the middle of something. Only taking its supply away
helps: when the fault ends, it starts anew.`,
	Apply: hangsApply,
}

func hangsApply(c *Conditions, _ Params) {
	c.Module.Hangs = true
}
