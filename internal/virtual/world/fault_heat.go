package world

var heat = Fault{
	Name:  "heat",
	Title: "the module gets too hot and switches itself off",
	Truth: "overheats",
	Doc: `
The tracker lies behind glass in the sun, or beside its own regulator. Above 85
degrees (our choice for the demo module) it says that it powers down, and does.`,
	Takes: []string{"temperature_c"},
	Apply: heatApply,
}

func heatApply(c *Conditions, p Params) {
	c.TemperatureC = p.TemperatureC.Or(92)
}
