package world

var radioLeftOff = Fault{
	Name:  "radio-left-off",
	Title: "the radio is switched off",
	Truth: "radio-off",
	Doc: `
An earlier program stored +CFUN=4 (27.007 clause 8.2): everything else works.`,
	Apply: radioLeftOffApply,
}

func radioLeftOffApply(c *Conditions, _ Params) {
	c.Settings.CFUN = 4
}
