package world

var wiresCrossed = Fault{
	Name:  "wires-crossed",
	Title: "no byte gets through in either direction",
	Truth: "wiring",
	Doc: `
The two data wires lead to the wrong sides: both outputs on one wire, both inputs
on the other.`,
	Apply: wiresCrossedApply,
}

func wiresCrossedApply(c *Conditions, _ Params) {
	c.Line.Broken = "both"
}
