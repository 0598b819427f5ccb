package world

import "time"

var supplyDrift = Fault{
	Name:  "supply-drift",
	Title: "the supply falls slowly",
	Truth: "supply-wrong",
	Doc: `
A cell runs empty, a regulator heats up: so many volts an hour, seen once a
minute. The module warns, then restarts at the next burst, then stays away.`,
	Takes: []string{"v_per_hour"},
	Step:  time.Minute,
	Moves: supplyDriftMoves,
}

func supplyDriftMoves(c *Conditions, p Params, on time.Duration) {
	c.Supply.VoltageV = max(c.Supply.VoltageV-p.VPerHour.Or(0.5)*on.Hours(), 0)
}
