package world

var indicationsForgotten = Fault{
	Name:  "indications-forgotten",
	Title: "the module forgets how it was to report texts",
	Truth: "arrivals-not-reported",
	Doc: `
+CNMI is back at its first values (27.005 clause 3.4.1): texts are stored and
nobody is told. Each time the fault comes on it forgets once.`,
	Apply: indicationsForgottenApply,
}

func indicationsForgottenApply(c *Conditions, _ Params) {
	c.Module.ForgetsIndications = true
}
