package world

var voidFilled = Fault{
	Name:  "void-filled",
	Title: "void sentences carry the last position",
	Truth: "void-filled",
	Doc: `
Status V, and yet all fields are filled: who does not look at the status reports
where the trailer was an hour ago.`,
	Apply: voidFilledApply,
}

func voidFilledApply(c *Conditions, _ Params) {
	c.GNSS.Sentences.VoidFilled = true
	c.Sky.View = "none"
}
