package world

var engineOff = Fault{
	Name:  "engine-off",
	Title: "the position engine does not start",
	Truth: "engine-off",
	Doc: `
The module accepts the command that powers the engine, and nothing runs: a
missing supply pin, a part without GNSS.`,
	Apply: engineOffApply,
}

func engineOffApply(c *Conditions, _ Params) {
	c.GNSS.Engine = "silent"
}
