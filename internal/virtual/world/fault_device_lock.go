package world

var deviceLock = Fault{
	Name:  "device-lock",
	Title: "the module takes one card only",
	Truth: "locked-device",
	Doc: `
It is tied to the card it was sold with. +CPIN? says PH-SIM PIN (27.007 clause 8.3).`,
	Apply: deviceLockApply,
}

func deviceLockApply(c *Conditions, _ Params) {
	c.Card.Lock = "device"
}
