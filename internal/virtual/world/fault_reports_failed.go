package world

var reportsFailed = Fault{
	Name:  "reports-failed",
	Title: "the status report says that the text failed",
	Truth: "texts-undelivered",
	Doc: `
The recipient is gone: status 0x46, 'validity period expired' (3GPP TS 23.040
clause 9.2.3.15).`,
	Apply: reportsFailedApply,
}

func reportsFailedApply(c *Conditions, _ Params) {
	c.ServiceCentre.Report = "failed"
	c.ServiceCentre.LosesPercent = 100
}
