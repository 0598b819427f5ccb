package world

var bytesLost = Fault{
	Name:  "bytes-lost",
	Title: "some bytes vanish on the line",
	Truth: "bytes-lost",
	Doc: `
A controller that listens too seldom, a bad plug: here and there a byte is missing.`,
	Takes: []string{"per_million"},
	Apply: bytesLostApply,
}

func bytesLostApply(c *Conditions, p Params) {
	c.Line.LostPerMillion = p.PerMillion.Or(4000)
}
