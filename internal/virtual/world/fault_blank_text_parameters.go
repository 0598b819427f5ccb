package world

var blankTextParameters = Fault{
	Name:  "blank-text-parameters",
	Title: "the text parameters announce a coding that the text does not have",
	Truth: "blank-text-parameters",
	Doc: `
Somebody stored +CSMP with another coding (8 is UCS2, 3GPP TS 23.038 clause 4).
Plain letters then arrive as foreign signs or as nothing.`,
	Takes: []string{"coding"},
	Apply: blankTextParametersApply,
}

func blankTextParametersApply(c *Conditions, p Params) {
	c.Settings.CSMP = []int{17, 167, 0, p.Coding.Or(8)}
}
