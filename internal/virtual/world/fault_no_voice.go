package world

var noVoice = Fault{
	Name:  "no-voice",
	Title: "calls do not reach the module",
	Truth: "no-voice",
	Doc: `
A network without circuit switching, a card without voice over packets: the caller
hears that nobody can be reached, and here nothing happens at all.`,
	Apply: noVoiceApply,
}

func noVoiceApply(c *Conditions, _ Params) {
	c.Calls.Voice = false
}
