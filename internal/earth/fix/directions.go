package fix

import (
	"math"
	"math/bits"
	"slices"

	"firstfix/internal/maybe"
)

const (
	// minCell is how many sightings of a part of the sky count: a few seconds say nothing.
	minCell = 20
	// unheardDBHz is taken for a satellite that is not heard: receivers give up at about that level.
	// "Tracking can go lower" than what a fix wants; our estimate.
	unheardDBHz = 18
	// blockedDB is from which loss on a side counts as blocked: a quarter of the power is left. Our estimate.
	blockedDB = 6
	// highestBlock: what stands beside an antenna seldom reaches the zenith.
	highestBlock = 60
)

func (h *Hearing) cellFigures() (out []CellFigures) {
	for b := range bands {
		// What the best sectors of this elevation have: the upper quarter of them.
		var levels []float64
		for s := range sectors {
			if c := &h.cells[s][b]; c.listed >= minCell {
				levels = append(levels, c.level())
			}
		}
		slices.Sort(levels)
		for s := range sectors {
			c := &h.cells[s][b]
			if c.listed == 0 {
				continue
			}
			f := CellFigures{FromDeg: float64(s) * 360 / sectors, ToDeg: float64(s+1) * 360 / sectors, LowDeg: bandsDeg[b], HighDeg: 90,
				Listed: c.listed, Satellites: bits.OnesCount64(c.who), HeardShare: float64(c.heard) / float64(c.listed)}
			if b+1 < bands {
				f.HighDeg = bandsDeg[b+1]
			}
			if c.heard > 0 {
				f.MeanDBHz = maybe.Known(c.sum / float64(c.heard))
			}
			if c.listed >= minCell && len(levels) >= 3 {
				f.LossDB = maybe.Known(max(0, levels[len(levels)*3/4]-c.level()))
			}
			out = append(out, f)
		}
	}
	return out
}

// level is the mean level of a part of the sky, with what is not heard at the least level.
func (c *cell) level() float64 {
	return (c.sum + unheardDBHz*float64(c.listed-c.heard)) / float64(c.listed)
}

// arcs joins sectors that lose much. A sector in which no satellite ever was says nothing:
// from the middle latitudes none ever stands in the north. It joins two blocked sectors, but makes none.
func arcs(cells []CellFigures) []Arc {
	const (
		unknown = iota
		free
		blocked
	)
	var state [sectors]int
	var loss, weight, heard, listed [sectors]float64
	var satellites [sectors]int
	for i := range cells {
		c := &cells[i]
		l, ok := c.LossDB.Get()
		if !ok || c.LowDeg >= highestBlock {
			continue
		}
		s := int(c.FromDeg / (360 / sectors))
		n := float64(c.Listed)
		loss[s], weight[s] = loss[s]+l*n, weight[s]+n
		heard[s], listed[s] = heard[s]+c.HeardShare*n, listed[s]+n
		satellites[s] += c.Satellites
	}
	frees := 0
	for s := range sectors {
		if weight[s] == 0 {
			continue
		}
		if state[s] = free; loss[s]/weight[s] >= blockedDB {
			state[s] = blocked
		} else {
			frees++
		}
	}
	if frees == 0 {
		return nil // nothing to compare with
	}
	first := slices.Index(state[:], free)
	var out []Arc
	for i := 1; i <= sectors; i++ {
		s := (first + i) % sectors
		if state[s] != blocked {
			continue
		}
		a := Arc{FromDeg: float64(s) * 360 / sectors}
		var w, l, hs, ls float64
		end := i
		for j := i; j < i+sectors && state[(first+j)%sectors] != free; j++ {
			k := (first + j) % sectors
			if state[k] == blocked {
				end = j
			}
			w, l, hs, ls = w+weight[k], l+loss[k], hs+heard[k], ls+listed[k]
			a.Satellites += satellites[k]
		}
		a.ToDeg = math.Mod(float64((first+end)%sectors+1)*360/sectors, 360)
		a.LossDB, a.HeardShare = l/w, hs/ls
		out = append(out, a)
		i = end
	}
	return out
}

// WidthDeg is how wide the arc is.
func (a *Arc) WidthDeg() float64 { return math.Mod(a.ToDeg-a.FromDeg+360, 360) }

// rise is how much stronger satellites above 30 degrees are than those below.
func rise(cells []CellFigures) maybe.Value[float64] {
	var sum, n [2]float64
	for i := range cells {
		c := &cells[i]
		if level, ok := c.MeanDBHz.Get(); ok && c.Listed >= minCell {
			k := 0
			if c.LowDeg >= 30 {
				k = 1
			}
			count := float64(c.Listed) * c.HeardShare
			sum[k], n[k] = sum[k]+level*count, n[k]+count
		}
	}
	if n[0] < minCell || n[1] < minCell {
		return maybe.Value[float64]{}
	}
	return maybe.Known(sum[1]/n[1] - sum[0]/n[0])
}

// uneven is the deviation of levels between parts of the sky of one elevation.
func uneven(cells []CellFigures) maybe.Value[float64] {
	var squares, n float64
	for _, low := range bandsDeg {
		var levels []float64
		mean := 0.0
		for i := range cells {
			c := &cells[i]
			if level, ok := c.MeanDBHz.Get(); ok && c.LowDeg == low && c.Listed >= minCell {
				levels = append(levels, level)
				mean += level
			}
		}
		if len(levels) < 2 {
			continue
		}
		mean /= float64(len(levels))
		for _, l := range levels {
			squares += (l - mean) * (l - mean)
		}
		n += float64(len(levels) - 1)
	}
	if n < 3 {
		return maybe.Value[float64]{}
	}
	return maybe.Known(math.Sqrt(squares / n))
}
