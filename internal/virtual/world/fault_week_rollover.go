package world

var weekRollover = Fault{
	Name:  "week-rollover",
	Title: "the date is 1024 weeks wrong",
	Truth: "date-rollover",
	Doc: `
The week number of the message has ten bits (IS-GPS-200 clause 20.3.3.3.1.1), and
the engine's program is too old to know in which round it lives.`,
	Takes: []string{"weeks"},
	Apply: weekRolloverApply,
}

func weekRolloverApply(c *Conditions, p Params) {
	c.GNSS.WeekShift = p.Weeks.Or(-1024)
}
