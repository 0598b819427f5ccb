package world

var leapSeconds = Fault{
	Name:  "leap-seconds",
	Title: "the time is seconds wrong until the almanac has come",
	Truth: "leap-seconds",
	Doc: `
The leap seconds come with the almanac, within 12.5 minutes (IS-GPS-200 clause
20.3.3.5.1.6). Until then the engine uses the number it was built with.`,
	Takes: []string{"count"},
	Apply: leapSecondsApply,
}

func leapSecondsApply(c *Conditions, p Params) {
	c.GNSS.LeapErrorS = p.Count.Or(2)
}
