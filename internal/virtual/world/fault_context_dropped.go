package world

var contextDropped = Fault{
	Name:  "context-dropped",
	Title: "the network ends the packet context",
	Truth: "context-lost",
	Doc: `
After a while of quiet, or once a day. +CGEV says so to who asked for it (27.007
clause 10.1.19); all others find out by failing.`,
	Takes: []string{"wait_s"},
	Apply: contextDroppedApply,
}

func contextDroppedApply(c *Conditions, p Params) {
	c.Packet.DropsAfterS = p.WaitS.Or(45)
}
