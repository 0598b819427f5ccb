package world

var moduleDeaf = Fault{
	Name:  "module-deaf",
	Title: "the module does not hear the controller",
	Truth: "level-mismatch",
	Doc: `
The controller's high level is not high enough for the module's input. It never
echoes and never answers; what it says by itself comes through.`,
	Apply: moduleDeafApply,
}

func moduleDeafApply(c *Conditions, _ Params) {
	c.Line.Broken = "to-module"
}
