package world

var startNoise = Fault{
	Name:  "start-noise",
	Title: "the line wavers at each start",
	Truth: "start-noise",
	Doc: `
While the supply comes up the output wavers: some bytes that nobody sent come
before the first word.`,
	Apply: startNoiseApply,
}

func startNoiseApply(c *Conditions, _ Params) {
	c.Module.StartNoise = true
}
