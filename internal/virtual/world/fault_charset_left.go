package world

var charsetLeft = Fault{
	Name:  "charset-left",
	Title: "the character set is left at UCS2",
	Truth: "character-set",
	Doc: `
An earlier program stored +CSCS="UCS2" (27.007 clause 5.5): numbers and texts now
have to be written as hex digits.`,
	Apply: charsetLeftApply,
}

func charsetLeftApply(c *Conditions, _ Params) {
	c.Settings.CSCS = "UCS2"
}
