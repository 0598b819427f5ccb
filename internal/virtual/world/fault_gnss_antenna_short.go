package world

var gnssAntennaShort = Fault{
	Name:  "gnss-antenna-short",
	Title: "the GNSS antenna is shorted",
	Truth: "gnss-antenna-missing",
	Doc: `
A crushed cable: the supply of the antenna is switched off, hardly a satellite is
heard, and a text sentence says so.`,
	Apply: gnssAntennaShortApply,
}

func gnssAntennaShortApply(c *Conditions, _ Params) {
	c.AntennaGNSS, c.GNSS.ReportsAntenna = "short", true
}
