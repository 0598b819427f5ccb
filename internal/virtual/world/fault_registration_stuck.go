package world

var registrationStuck = Fault{
	Name:  "registration-stuck",
	Title: "the network is lost and the module does not look for it",
	Truth: "registration-stuck",
	Doc: `
It falls out of the network and stays out, silent and content, until somebody
switches the radio off and on or asks for an operator.`,
	Apply: registrationStuckApply,
}

func registrationStuckApply(c *Conditions, _ Params) {
	c.Coverage.Stuck = true
}
