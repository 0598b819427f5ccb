package world

var softwareSerial = Fault{
	Name:  "software-serial",
	Title: "the controller's port cannot send and receive at once",
	Truth: "software-serial",
	Doc: `
A port made of software misses what arrives while it sends and just after, and its
interrupts come late: echoes are torn, now and then a bit is wrong.`,
	Takes: []string{"per_million"},
	Apply: softwareSerialApply,
}

func softwareSerialApply(c *Conditions, p Params) {
	c.Line.DeafAfterSendingMS = 3
	c.Line.BitErrorsPerMillion = p.PerMillion.Or(1500)
}
