package world

var deafAfterPrompt = Fault{
	Name:  "deaf-after-prompt",
	Title: "the first letters of a text are lost",
	Truth: "deaf-after-prompt",
	Doc: `
For a moment after its prompt the module takes nothing in. A fast controller loses
the beginning of every text; common practice is to wait a little, no source.`,
	Takes: []string{"wait_s"},
	Apply: deafAfterPromptApply,
}

func deafAfterPromptApply(c *Conditions, p Params) {
	c.Timing.PromptDeafMS = 1000 * p.WaitS.Or(0.15)
}
