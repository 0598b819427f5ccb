package track

import "time"

// Pacer finds the gaps: where the line of a track does not join. Use [NewPacer].
//
// What is long depends on the device: one speaks every second, another every twenty minutes.
// So the first sightings are held until the usual interval is known.
type Pacer struct {
	gapS  float64 // 0: not known yet
	held  []Judged
	kept  int // of held
	last  Moment
	began bool
}

const (
	// learnt is how many kept sightings tell the usual interval. maxHeld bounds what is held
	// where most is set apart.
	learnt  = 256
	maxHeld = 1024

	// A gap is three usual intervals long, and at least five seconds. Our choice.
	gapFactor = 3
	leastGapS = 5.0
)

// NewPacer returns a pacer; gap is what a gap is longer than, 0: by the usual interval.
func NewPacer(gap time.Duration) *Pacer { return &Pacer{gapS: gap.Seconds()} }

// LimitS is how long a gap is at least, in seconds; 0 while that is not known yet.
func (p *Pacer) LimitS() float64 { return p.gapS }

// Add takes what came out of a sieve and returns what is ready, in the same order, with
// Gap filled in. The slice is only lent until the next call.
func (p *Pacer) Add(list []Judged) []Judged {
	if p.gapS == 0 {
		p.held = append(p.held, list...)
		for i := range list {
			if list[i].Kept() {
				p.kept++
			}
		}
		if p.kept < learnt && len(p.held) < maxHeld {
			return nil
		}
		return p.End()
	}
	for i := range list {
		if list[i].Kept() {
			list[i].Gap = p.gap(&list[i])
		}
	}
	return list
}

// End returns what is held.
func (p *Pacer) End() []Judged {
	list := p.held
	p.held = nil
	if p.gapS == 0 {
		p.learn(list)
	}
	return p.Add(list)
}

// learn finds the usual interval.
func (p *Pacer) learn(list []Judged) {
	var h spans
	var last *Judged
	for i := range list {
		j := &list[i]
		if !j.Kept() {
			continue
		}
		if last != nil && j.Moment.Known && last.Moment.Known && !j.Moved && !j.Break && j.Moment.NS > last.Moment.NS {
			h.add(j.Moment.Sub(last.Moment).Seconds())
		}
		last = j
	}
	usual, _ := h.share(0.5)
	p.gapS = max(gapFactor*usual, leastGapS)
}

func (p *Pacer) gap(j *Judged) (why string) {
	switch {
	case !p.began:
		p.began = true
	case j.Moved:
		why = j.Note
	case j.Break:
		why = "the file begins a new piece of track"
	case j.Moment.Known && p.last.Known && j.Moment.Sub(p.last).Seconds() > p.gapS:
		why = "nothing to believe was heard"
	}
	p.last = j.Moment
	return why
}
