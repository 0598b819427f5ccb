package world

var wrongZone = Fault{
	Name:  "wrong-zone",
	Title: "the network tells the wrong time zone",
	Truth: "zone-wrong",
	Doc: `
The time is right and the zone is not: summer time that was forgotten.`,
	Apply: wrongZoneApply,
}

func wrongZoneApply(c *Conditions, _ Params) {
	c.Coverage.ZoneErrorQuarterHours = 4
}
