package world

var jammed = Fault{
	Name:  "jammed",
	Title: "something nearby transmits on the satellites' frequency",
	Truth: "jammed",
	Doc: `
All satellites fall together, high ones and low ones, and with them the fix.`,
	Takes: []string{"loss_db"},
	Apply: jammedApply,
}

func jammedApply(c *Conditions, p Params) {
	c.GNSS.JammedDB = p.LossDB.Or(26)
}
