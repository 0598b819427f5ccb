package world

var sharedRadio = Fault{
	Name:  "shared-radio",
	Title: "one receiver serves network and satellites",
	Truth: "shared-radio",
	Doc: `
While the module is in the network the position engine hears nothing; with the
radio off (+CFUN=4) it works.`,
	Apply: sharedRadioApply,
}

func sharedRadioApply(c *Conditions, _ Params) {
	c.GNSS.Radio = "shared"
}
