package world

var powerKey = Fault{
	Name:  "power-key",
	Title: "somebody presses the power key",
	Truth: "power-key",
	Doc: `
The key switches a module that is on off, and one that is off on. A controller
that pulses it blindly at every start finds the module on every second time.
Each time the fault comes on is one press.`,
	Apply: powerKeyApply,
}

func powerKeyApply(c *Conditions, _ Params) {
	c.Module.KeyPressed = true
}
