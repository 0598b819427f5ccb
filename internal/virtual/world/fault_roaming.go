package world

var roaming = Fault{
	Name:  "roaming",
	Title: "the module is a guest in another network",
	Truth: "roaming",
	Doc: `
Registered is 5 and not 1 (27.007 clause 7.2). Who waits for 1 waits for ever.`,
	Apply: roamingApply,
}

func roamingApply(c *Conditions, _ Params) {
	c.Coverage.Registration = "roaming"
	if len(c.Operators) > 1 {
		home := c.Operators[0]
		c.Operators = append(append([]Operator(nil), c.Operators[1:]...), home)
	}
}
