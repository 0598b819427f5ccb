package world

var controllerBuffer = Fault{
	Name:  "controller-buffer",
	Title: "the controller's receive buffer runs over",
	Truth: "buffer-too-small",
	Doc: `
So many bytes find room while the controller is busy elsewhere; the rest of a long
answer is lost, and what comes later is there again.`,
	Takes: []string{"bytes", "wait_s"},
	Apply: controllerBufferApply,
}

func controllerBufferApply(c *Conditions, p Params) {
	c.Line.ControllerBufferBytes = p.Bytes.Or(64)
	c.Line.ControllerReadsEveryMS = 1000 * p.WaitS.Or(0.4)
}
