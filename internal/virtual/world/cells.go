package world

import (
	"math"

	"firstfix/internal/earth/geo"
	"firstfix/internal/when"
)

// Cell is one radio cell: coverage by place. Where a world has cells, the
// strongest one that reaches the module gives it level, registration and names;
// where none does there is no network.
type Cell struct {
	Name         string  `yaml:"name"`
	LatDeg       float64 `yaml:"lat_deg"`
	LonDeg       float64 `yaml:"lon_deg"`
	AtOneKMdBm   float64 `yaml:"at_1km_dbm"`   // its level at a distance of 1 km
	ReachM       float64 `yaml:"reach_m"`      // farther away it is not heard
	Registration string  `yaml:"registration"` // one of Registrations; "": as coverage says
	Access       string  `yaml:"access"`       // one of Accesses; "": as coverage says
	AreaCode     string  `yaml:"area_code"`
	CellID       string  `yaml:"cell_id"`
}

// Over open country the level falls by about 35 dB when the distance grows ten
// times; common practice for a cell over flat land, no source.
const decadeLossDB = 35

// nearestM keeps the level finite at the mast's foot; our choice.
const nearestM = 50

// coverageAt puts the strongest cell's coverage into c.
func (l *Life) coverageAt(c *Coverage, now when.Instant) {
	here := l.Where(now)
	best := math.Inf(-1)
	var from *Cell
	for i := range l.world.Cells {
		cell := &l.world.Cells[i]
		distance := geo.DistanceM(geo.Point{LatDeg: here.LatDeg, LonDeg: here.LonDeg}, geo.Point{LatDeg: cell.LatDeg, LonDeg: cell.LonDeg})
		if distance > cell.ReachM {
			continue
		}
		if level := cell.AtOneKMdBm - decadeLossDB*math.Log10(max(distance, nearestM)/1000); level > best {
			best, from = level, cell
		}
	}
	if from == nil {
		c.Registration, c.RSSIdBm = "none", silentDBm
		return
	}
	// Whole decibels: processors differ in the last bits of a logarithm.
	c.RSSIdBm = math.Round(best)
	c.AreaCode, c.CellID = from.AreaCode, from.CellID
	if from.Registration != "" {
		c.Registration = from.Registration
	}
	if from.Access != "" {
		c.Access = from.Access
	}
}

// silentDBm is the level where no network is heard.
const silentDBm = -125
