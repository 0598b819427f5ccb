package world

var networkLock = Fault{
	Name:  "network-lock",
	Title: "the module takes cards of one network only",
	Truth: "locked-device",
	Doc: `
It was sold with a contract. +CPIN? says PH-NET PIN (27.007 clause 8.3).`,
	Apply: networkLockApply,
}

func networkLockApply(c *Conditions, _ Params) {
	c.Card.Lock = "network"
}
