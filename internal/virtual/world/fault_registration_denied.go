package world

var registrationDenied = Fault{
	Name:  "registration-denied",
	Title: "the network refuses the card",
	Truth: "registration-denied",
	Doc: `
The signal is good and the answer is no. The cause is one of 3GPP TS 24.008
clause 10.5.3.6; 11 is 'network not allowed'.`,
	Takes: []string{"cause"},
	Apply: registrationDeniedApply,
}

func registrationDeniedApply(c *Conditions, p Params) {
	c.Coverage.Registration = "denied"
	c.Coverage.DeniedCause = p.Cause.Or(11)
}
