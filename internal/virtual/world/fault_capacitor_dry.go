package world

var capacitorDry = Fault{
	Name:  "capacitor-dry",
	Title: "the capacitor at the pins has lost its capacity",
	Truth: "supply-sags",
	Doc: `
The leads were always thin, and a capacitor carried the bursts (577 us each,
3GPP TS 45.002). With what is left of it the pins see the whole drop.`,
	Takes: []string{"source_ohm"},
	Apply: capacitorDryApply,
}

func capacitorDryApply(c *Conditions, p Params) {
	c.Supply.SourceOhm = p.SourceOhm.Or(0.42)
	c.Supply.CapacitorUF = 47
}
