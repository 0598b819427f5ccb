package pump

import (
	"fmt"
	"math/rand/v2"

	"firstfix/internal/when"
	"firstfix/internal/wire/uart"
)

// Wire is the line between two machines in simulated time.
type Wire struct {
	Baud           int        // of an end whose machine is no [Speaker]; 0: as the other end
	Frame          uart.Frame // the zero Frame is 8N1
	PieceBytes     int        // how many bytes a receiver hands over at once; 0: 16, as a small UART does
	LostPerMillion float64    // bytes that vanish on the way
	Chance         *rand.Rand // decides which; needed when LostPerMillion is not 0
}

// Limits of a wire.
const (
	usualPiece = 16
	usualBaud  = 115200 // when neither end says
	// What a sender may have waiting: four minutes of text at 9600 baud. A
	// machine that says more has lost its mind, or the line is far too slow for it.
	maxWaitingBytes = 256 << 10
	// Ends whose speeds differ by less hear each other well: the whole tolerance
	// of an 8N1 frame is 5 %, see uart.TolerancePercent.
	sameSpeed = 0.02
)

// lane is one direction of a wire: bytes on their way, in pieces.
type lane struct {
	bytes  []byte // of all pieces, one after the other
	pieces []piece
	first  int // pieces before it have arrived
	taken  int // bytes before it have arrived
	free   when.Instant
}

// piece is some bytes that are handed over together, when the last of them is in.
type piece struct {
	at when.Instant
	n  int
}

// next is when the next piece arrives.
func (l *lane) next() when.Instant {
	if l.first == len(l.pieces) {
		return when.Never
	}
	return l.pieces[l.first].at
}

// take removes the next piece. Its bytes are good until the next put.
func (l *lane) take() []byte {
	n := l.pieces[l.first].n
	b := l.bytes[l.taken : l.taken+n]
	l.first++
	l.taken += n
	return b
}

// put sends bytes from now on. lost says how many found no room.
func (l *lane) put(w *Wire, now when.Instant, b []byte, fromBaud, toBaud int) (lost int) {
	if l.first == len(l.pieces) {
		l.bytes, l.pieces, l.first, l.taken = l.bytes[:0], l.pieces[:0], 0, 0
	}
	if room := maxWaitingBytes - (len(l.bytes) - l.taken); len(b) > room {
		lost, b = len(b)-room, b[:room]
	}
	if l.taken > maxWaitingBytes {
		l.compact()
	}
	if len(b) == 0 {
		return lost
	}
	fromBaud, toBaud = agreed(fromBaud, toBaud)
	begin := max(now, l.free)
	perByte := float64(w.Frame.Bits()) * 1e9 / float64(fromBaud)
	lasts := func(n int) when.Instant { return begin + when.Instant(float64(n)*perByte) }
	l.free = lasts(len(b))
	sent := len(b)
	b = w.heard(b, fromBaud, toBaud)
	step := w.PieceBytes
	if step <= 0 {
		step = usualPiece
	}
	for from := 0; from < len(b); from += step {
		to := min(from+step, len(b))
		kept := survivors(b[from:to], w.LostPerMillion, w.Chance)
		if len(kept) == 0 {
			continue
		}
		l.bytes = append(l.bytes, kept...)
		l.pieces = append(l.pieces, piece{lasts((to*sent + len(b) - 1) / len(b)), len(kept)})
	}
	return lost
}

// compact gives back the room of what has arrived.
func (l *lane) compact() {
	l.bytes = l.bytes[:copy(l.bytes, l.bytes[l.taken:])]
	l.pieces = l.pieces[:copy(l.pieces, l.pieces[l.first:])]
	l.first, l.taken = 0, 0
}

// agreed replaces a speed that is not known by the other end's.
func agreed(from, to int) (int, int) {
	if from <= 0 {
		from = to
	}
	if to <= 0 {
		to = from
	}
	if from <= 0 {
		return usualBaud, usualBaud
	}
	return from, to
}

// heard is what the other end reads.
func (w *Wire) heard(b []byte, fromBaud, toBaud int) []byte {
	if ratio := float64(fromBaud) / float64(toBaud); ratio > 1-sameSpeed && ratio < 1+sameSpeed {
		return b
	}
	read, _ := uart.Mishear(b, float64(fromBaud), float64(toBaud), w.Frame)
	return read
}

// survivors is what is left after a wire has lost some bytes.
func survivors(b []byte, lostPerMillion float64, chance *rand.Rand) []byte {
	if lostPerMillion <= 0 {
		return b
	}
	kept := make([]byte, 0, len(b))
	for _, c := range b {
		if chance.Float64()*1e6 >= lostPerMillion {
			kept = append(kept, c)
		}
	}
	return kept
}

func speedEvent(baud int) string { return fmt.Sprintf("speed %d", baud) }

func overrun(n int) string { return fmt.Sprintf("overrun: %d bytes lost", n) }
