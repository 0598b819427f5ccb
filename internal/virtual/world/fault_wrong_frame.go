package world

var wrongFrame = Fault{
	Name:  "wrong-frame",
	Title: "the module speaks in another frame",
	Truth: "wrong-frame",
	Doc: `
Seven data bits and a parity bit, stored by an earlier owner (+ICF, V.250 clause
6.2.11). A receiver of eight bits sees the parity in the top bit of half of the
characters, and what it sends is refused for the same reason.`,
	Apply: wrongFrameApply,
}

func wrongFrameApply(c *Conditions, _ Params) {
	c.Line.Frame = "7E1"
}
