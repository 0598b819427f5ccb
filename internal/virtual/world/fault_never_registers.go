package world

var neverRegisters = Fault{
	Name:  "never-registers",
	Title: "the module searches for ever",
	Truth: "never-registers",
	Doc: `
There is a signal, but no network in it that would take the module: other
bands, another generation, or an operator that has gone.`,
	Apply: neverRegistersApply,
}

func neverRegistersApply(c *Conditions, _ Params) {
	c.Coverage.Registration = "none"
}
