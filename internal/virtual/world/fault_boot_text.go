package world

var bootText = Fault{
	Name:  "boot-text",
	Title: "the start-up program talks on the same wires",
	Truth: "somebody-else-on-the-line",
	Doc: `
The serial pins also serve a start-up program: before the module is ready, foreign
lines come at each start.`,
	Apply: bootTextApply,
}

func bootTextApply(c *Conditions, _ Params) {
	c.Module.BootText = true
}
