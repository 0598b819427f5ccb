package world

var slowToTrain = Fault{
	Name:  "slow-to-train",
	Title: "the module needs several lines to find the speed",
	Truth: "speed-not-found",
	Doc: `
It finds the speed from what it hears (+IPR=0, V.250 clause 6.2.10), does not say
that it has started, and the first command lines pass unanswered.`,
	Takes: []string{"count"},
	Apply: slowToTrainApply,
}

func slowToTrainApply(c *Conditions, p Params) {
	c.Line.Baud, c.Line.TrainingLines = 0, p.Count.Or(3)
}
