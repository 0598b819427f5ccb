package world

var slowRegistration = Fault{
	Name:  "slow-registration",
	Title: "registration takes minutes",
	Truth: "slow-registration",
	Doc: `
The first search over all bands of a new place. A controller that starts the module
anew after a minute never gets there.`,
	Takes: []string{"wait_s"},
	Apply: slowRegistrationApply,
}

func slowRegistrationApply(c *Conditions, p Params) {
	c.Coverage.RegisterAfterS = p.WaitS.Or(200)
}
