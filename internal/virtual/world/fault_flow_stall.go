package world

var flowStall = Fault{
	Name:  "flow-stall",
	Title: "long answers stop in the middle",
	Truth: "flow-control",
	Doc: `
The module waits for a handshake wire that nobody drives. Short answers get
through; a longer one stops at the same place and goes on when the wire floats
back. Nothing is lost.`,
	Takes: []string{"bytes", "wait_s"},
	Apply: flowStallApply,
}

func flowStallApply(c *Conditions, p Params) {
	c.Line.StallsAfterBytes = p.Bytes.Or(64)
	c.Line.StallS = p.WaitS.Or(20)
}
