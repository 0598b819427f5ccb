package world

var halfSky = Fault{
	Name:  "half-sky",
	Title: "half of the sky is hidden",
	Truth: "half-sky",
	Doc: `
A wall stands close by. What is left lies on one side, and the geometry suffers.`,
	Takes: []string{"loss_db"},
	Apply: halfSkyApply,
}

func halfSkyApply(c *Conditions, p Params) {
	c.Sky.Obstacles = append(append([]Obstacle(nil), c.Sky.Obstacles...), Obstacle{FromDeg: 10, ToDeg: 190, UpToDeg: 75, LossDB: p.LossDB.Or(35)})
}
