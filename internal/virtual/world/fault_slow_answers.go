package world

var slowAnswers = Fault{
	Name:  "slow-answers",
	Title: "every answer takes far longer than usual",
	Truth: "slow-module",
	Doc: `
The module is busy with itself. A controller with one short limit for all commands
gives up too early and takes a late answer for the next one's.`,
	Takes: []string{"times"},
	Apply: slowAnswersApply,
}

func slowAnswersApply(c *Conditions, p Params) {
	c.Timing.Slower = p.Times.Or(40)
}
