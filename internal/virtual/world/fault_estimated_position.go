package world

var estimatedPosition = Fault{
	Name:  "estimated-position",
	Title: "without satellites the engine goes on guessing",
	Truth: "position-estimated",
	Doc: `
Under a roof it goes on as it went in. Mode E says so (NMEA 0183, RMC): who looks
at the position alone believes it.`,
	Apply: estimatedPositionApply,
}

func estimatedPositionApply(c *Conditions, _ Params) {
	c.GNSS.Estimates = true
	c.Sky.View = "none"
}
