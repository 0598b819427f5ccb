package world

var textsShuffled = Fault{
	Name:  "texts-shuffled",
	Title: "texts arrive in another order",
	Truth: "texts-shuffled",
	Doc: `
The service centre delivers what it has in any order.`,
	Takes: []string{"wait_s"},
	Apply: textsShuffledApply,
}

func textsShuffledApply(c *Conditions, p Params) {
	c.ServiceCentre.Shuffles = true
	c.ServiceCentre.DelayS = p.WaitS.Or(45)
}
