package world

import "time"

// cellsChangeStep is how long one cell holds; our choice.
const cellsChangeStep = 7 * time.Second

var cellsChange = Fault{
	Name:  "cells-change",
	Title: "the module is handed to and fro between two cells",
	Truth: "cells-change",
	Doc: `
It stands between two masts. Registration holds; area and cell change all the time,
and every change is a report for who asked for them (+CREG=2, 27.007 clause 7.2).`,
	Step:  cellsChangeStep,
	Moves: cellsChangeMoves,
}

func cellsChangeMoves(c *Conditions, _ Params, on time.Duration) {
	if on/cellsChangeStep%2 == 1 {
		c.Coverage.AreaCode, c.Coverage.CellID = "00C4", "0000A217"
		c.Coverage.RSSIdBm -= 6
	}
}
