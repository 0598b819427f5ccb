package world

var reflections = Fault{
	Name:  "reflections",
	Title: "reflected signals lead the position astray",
	Truth: "position-jumps",
	Doc: `
Between silos and walls: each range is wrong by metres to tens of metres, for a
while, then by something else. A parked trailer wanders.`,
	Takes: []string{"distance_m"},
	Apply: reflectionsApply,
}

func reflectionsApply(c *Conditions, p Params) {
	c.GNSS.ReflectionsM = p.DistanceM.Or(28)
}
