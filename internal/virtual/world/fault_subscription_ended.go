package world

var subscriptionEnded = Fault{
	Name:  "subscription-ended",
	Title: "the contract of the card has ended",
	Truth: "subscription-inactive",
	Doc: `
The network does not know the card any more: cause 2, 'not known in the home
register' (3GPP TS 24.008 annex G).`,
	Takes: []string{"cause"},
	Apply: subscriptionEndedApply,
}

func subscriptionEndedApply(c *Conditions, p Params) {
	c.Coverage.Registration, c.Coverage.DeniedCause = "denied", p.Cause.Or(2)
}
