package world

var desensitised = Fault{
	Name:  "desensitised",
	Title: "satellites fade while the module transmits",
	Truth: "shared-radio",
	Doc: `
The two antennas are too close. In each text and each registration all levels fall
by the same amount.`,
	Takes: []string{"loss_db"},
	Apply: desensitisedApply,
}

func desensitisedApply(c *Conditions, p Params) {
	c.GNSS.DropWhileSendingDB = p.LossDB.Or(12)
}
