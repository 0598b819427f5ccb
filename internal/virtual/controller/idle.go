package controller

// idle looks for waits.
type idle struct {
	again bool
}

func (c *Core) hurry(limit Cycle) {
	if !c.sprint(limit) || c.cycle < limit {
		c.step()
	}
}
