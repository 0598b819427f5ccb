package world

var echoStays = Fault{
	Name:  "echo-stays",
	Title: "the echo cannot be switched off",
	Truth: "echo-stays",
	Doc: `
ATE0 is answered with OK, and the module goes on repeating what it hears. A
controller that takes the echo for an answer is lost.`,
	Apply: echoStaysApply,
}

func echoStaysApply(c *Conditions, _ Params) {
	c.Module.EchoStays = true
}
