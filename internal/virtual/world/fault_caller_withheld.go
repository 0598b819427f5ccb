package world

var callerWithheld = Fault{
	Name:  "caller-withheld",
	Title: "callers withhold their number",
	Truth: "caller-unknown",
	Doc: `
+CLIP comes with an empty number and the reason 1, 'withheld by the caller' (27.007
clause 7.6).`,
	Apply: callerWithheldApply,
}

func callerWithheldApply(c *Conditions, _ Params) {
	c.Calls.Caller = "withheld"
}
