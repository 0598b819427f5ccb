package world

var breaksIn = Fault{
	Name:  "breaks-in",
	Title: "unsolicited lines come in the middle of answers",
	Truth: "lines-interleaved",
	Doc: `
The module does not wait for a pause: reports break into the answer that is being
given, even between two characters of a line.`,
	Apply: breaksInApply,
}

func breaksInApply(c *Conditions, _ Params) {
	c.Module.BreaksIn = true
}
