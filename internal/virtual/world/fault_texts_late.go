package world

var textsLate = Fault{
	Name:  "texts-late",
	Title: "texts arrive late",
	Truth: "texts-late",
	Doc: `
The service centre keeps them for a long time. What the command got was its
reference, not a delivery.`,
	Takes: []string{"wait_s"},
	Apply: textsLateApply,
}

func textsLateApply(c *Conditions, p Params) {
	c.ServiceCentre.DelayS = p.WaitS.Or(600)
}
