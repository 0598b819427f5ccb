package world

var callerMissing = Fault{
	Name:  "caller-missing",
	Title: "the network does not tell the caller",
	Truth: "caller-unknown",
	Doc: `
RING comes, and no +CLIP between, though it was asked for.`,
	Apply: callerMissingApply,
}

func callerMissingApply(c *Conditions, _ Params) {
	c.Calls.Caller = "missing"
}
