package sms

// A Guess is a PDU of which nobody said which way it travels.
type Guess struct {
	PDU
	ToNetwork     bool
	WithoutCentre bool  // it begins with the message: there is no service centre part
	Sure          bool  // read whole, with nothing odd
	Err           error // what Decode said of it
}

// readWhole is the score of a message that was read whole.
const readWhole = 100

// GuessPDU reads a PDU both ways, with and without a service centre part, and keeps the
// reading that fits best. Nothing in the octets says which way they travel: of equals the
// message that arrives wins, then the one with a service centre part.
func GuessPDU(hex string) Guess {
	var best Guess
	top := 0
	for i, try := range [...]struct {
		decode    func(string, bool) (PDU, error)
		toNetwork bool
		bare      bool
	}{{Decode, FromNetwork, false}, {Decode, ToNetwork, false}, {DecodeTPDU, FromNetwork, true}, {DecodeTPDU, ToNetwork, true}} {
		p, err := try.decode(hex, try.toNetwork)
		score := fitness(&p, err)
		if try.bare {
			score -= readWhole / 4 // most PDUs have the part: a bare one must read much better
		}
		if i == 0 || score > top {
			top = score
			best = Guess{PDU: p, ToNetwork: try.toNetwork, WithoutCentre: try.bare, Sure: score >= readWhole/2, Err: err}
		}
	}
	return best
}

// fitness says how well a reading fits.
func fitness(p *PDU, err error) int {
	score := 0
	for part := PartSMSC; part <= PartText; part++ {
		if p.Has(part) {
			score++
		}
	}
	if err == nil && len(p.Left) == 0 && p.Kind != KindUnknown {
		score += readWhole
	}
	if p.Has(PartStamp) {
		if _, ok := p.Stamp.Time(); !ok {
			score -= readWhole / 2
		}
	}
	return score - 2*len(p.Notes)
}
