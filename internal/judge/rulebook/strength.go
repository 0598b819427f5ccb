package rulebook

import "firstfix/internal/talk/epoch"

// bestOf is how many satellites say how well a receiver hears: a fix needs four.
const bestOf = 4

// Strength is [Strength] of the epoch that is being handled; several rules ask for it.
func (p *Pass) Strength(e *epoch.Epoch) (heard int, meanDBHz float64) {
	k := &p.judge.strength
	if !k.known {
		k.heard, k.mean = Strength(e)
		k.known = true
	}
	return k.heard, k.mean
}

// Strength counts the satellites that an epoch hears and returns the mean of the
// best four (of all, where there are fewer). It does not allocate.
func Strength(e *epoch.Epoch) (heard int, meanDBHz float64) {
	var best [bestOf]float64 // descending
	for i := range e.Satellites {
		v, ok := e.Satellites[i].CN0DBHz.Get()
		if !ok || v <= 0 {
			continue
		}
		heard++
		for k := range best {
			if v > best[k] {
				best[k], v = v, best[k]
			}
		}
	}
	n := min(heard, bestOf)
	for _, v := range best[:n] {
		meanDBHz += v / float64(n)
	}
	return heard, meanDBHz
}
