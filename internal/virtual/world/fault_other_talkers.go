package world

var otherTalkers = Fault{
	Name:  "other-talkers",
	Title: "sentences begin with GN",
	Truth: "talker-not-expected",
	Doc: `
An engine of several systems names its solution GN (NMEA 0183); who waits for $GPRMC
waits for ever.`,
	Apply: otherTalkersApply,
}

func otherTalkersApply(c *Conditions, _ Params) {
	c.GNSS.Sentences.Talker = "GN"
}
