package world

var sleeps = Fault{
	Name:  "sleeps",
	Title: "the first characters after a pause are lost",
	Truth: "asleep",
	Doc: `
Sleep is stored in the module: after some seconds of silence the first byte only
wakes it, and what follows within some ten milliseconds is lost as well.`,
	Takes: []string{"wait_s"},
	Apply: sleepsApply,
}

func sleepsApply(c *Conditions, p Params) {
	c.Settings.Sleep = true
	c.Module.SleepAfterS = p.WaitS.Or(3)
}
