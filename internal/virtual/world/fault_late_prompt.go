package world

var latePrompt = Fault{
	Name:  "late-prompt",
	Title: "the prompt for a text comes late",
	Truth: "late-prompt",
	Doc: `
Between the command and its prompt (27.005 clause 3.5.1) lie seconds. A controller
that sleeps and hopes sends its text too early.`,
	Takes: []string{"wait_s"},
	Apply: latePromptApply,
}

func latePromptApply(c *Conditions, p Params) {
	c.Timing.PromptS = p.WaitS.Or(6)
}
