package world

var gnssAntennaMissing = Fault{
	Name:  "gnss-antenna-missing",
	Title: "the GNSS antenna is not connected",
	Truth: "gnss-antenna-missing",
	Doc: `
Under an open sky not one satellite is heard. The engine measures no antenna
current and says so in a text sentence.`,
	Apply: gnssAntennaMissingApply,
}

func gnssAntennaMissingApply(c *Conditions, _ Params) {
	c.AntennaGNSS, c.GNSS.ReportsAntenna = "missing", true
}
