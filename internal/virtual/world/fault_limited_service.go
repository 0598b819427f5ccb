package world

var limitedService = Fault{
	Name:  "limited-service",
	Title: "the network allows emergency calls only",
	Truth: "emergency-only",
	Doc: `
There is a signal, and no network that serves this card: the module stays where
only emergency calls would go.`,
	Apply: limitedServiceApply,
}

func limitedServiceApply(c *Conditions, _ Params) {
	c.Coverage.Registration = "limited"
}
