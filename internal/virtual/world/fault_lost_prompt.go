package world

var lostPrompt = Fault{
	Name:  "lost-prompt",
	Title: "the prompt for a text never arrives",
	Truth: "lost-prompt",
	Doc: `
The module waits for the text and the four characters that say so got lost: the
controller waits for them, and the module for it.`,
	Apply: lostPromptApply,
}

func lostPromptApply(c *Conditions, _ Params) {
	c.Module.PromptLost = true
}
