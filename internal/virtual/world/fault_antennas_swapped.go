package world

var antennasSwapped = Fault{
	Name:  "antennas-swapped",
	Title: "each antenna is on the other one's socket",
	Truth: "antennas-swapped",
	Doc: `
Both radios hear a little through the wrong antenna: weak network and hardly a
satellite, at the same time.`,
	Apply: antennasSwappedApply,
}

func antennasSwappedApply(c *Conditions, _ Params) {
	c.AntennaGNSS, c.AntennaCellular = "swapped", "swapped"
}
