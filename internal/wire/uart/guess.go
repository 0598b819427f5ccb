package uart

import (
	"bytes"
	"cmp"
	"math"
	"slices"
)

// StandardSpeeds are the speeds of +IPR (ITU-T V.250, clause 6.2.10) from 1200
// up, and the faster ones that modules offer (common practice, no source).
var StandardSpeeds = []int{1200, 2400, 4800, 9600, 14400, 19200, 28800, 38400, 57600, 115200, 230400, 460800, 921600}

// Guess is a speed that would explain the bytes read.
type Guess struct {
	Baud    int
	Score   float64 // share of belief among all standard speeds, 0 to 1
	Bits    float64 // how much better it explains the bytes than noise, in bits
	Example string  // what was probably sent: a piece of text that is read as these bytes
}

const (
	// More bytes say no more about a speed, and cost time.
	guessBytes = 192

	// Evidence needed before a word is said. Twenty bits more than noise needs
	// are seen by chance once in a million; the model is not that exact, so the
	// test measures the true rate of false guesses.
	enoughBits = 20

	// A speed with less belief than this is not named beside a better one.
	enoughBelief = 0.02

	// Beyond this ratio of speeds one byte read spans so many characters that
	// nothing can be told.
	farthest = 32
)

// GuessSpeed finds the speed at which bytes were probably sent, when reading
// them at readBaud gave no sense. It knows what modules say and what a
// receiver makes of it (see [Hear]), and asks of each standard speed how likely
// it would produce these bytes. The best comes first. It returns nothing when
// the evidence is weak, or when the bytes are text at the speed they were read.
func GuessSpeed(read []byte, readBaud int) []Guess {
	if len(read) > guessBytes {
		read = read[:guessBytes]
	}
	if len(read) == 0 || readBaud <= 0 {
		return nil
	}
	t := learn(talkSample)
	noise := noiseBits(read)
	var found []Guess
	best := math.Inf(-1)
	sawOwn := false
	for _, baud := range append([]int{readBaud}, StandardSpeeds...) {
		ratio := float64(baud) / float64(readBaud)
		if baud == readBaud && sawOwn || ratio > farthest || ratio < 1.0/farthest {
			continue
		}
		sawOwn = sawOwn || baud == readBaud
		g := Guess{Baud: baud, Bits: noise - t.bits(read, float64(baud), float64(readBaud))}
		best = max(best, g.Bits)
		found = append(found, g)
	}
	var sum float64
	for i := range found {
		found[i].Score = math.Exp2(found[i].Bits - best)
		sum += found[i].Score
	}
	for i := range found {
		found[i].Score /= sum
	}
	slices.SortStableFunc(found, func(a, b Guess) int { return -cmp.Compare(a.Score, b.Score) })
	if found[0].Bits < enoughBits || found[0].Baud == readBaud {
		return nil
	}
	found = slices.DeleteFunc(found, func(g Guess) bool {
		return g.Bits < enoughBits || g.Score < enoughBelief || g.Baud == readBaud
	})
	for i := range found {
		found[i].Example = example(read, found[i].Baud, readBaud)
	}
	return found
}

// noiseBits is how many bits the bytes need without any idea of text: as equal
// chances, or counted as they come, so that a line that repeats one byte, stuck
// low or high, is no evidence of a speed.
func noiseBits(read []byte) float64 {
	var count [256]float64
	const start = 1.0 / 16 // the weight of a byte not seen yet
	adaptive, total := 0.0, 256*start
	last := -1
	for _, b := range read {
		p := (count[b] + start) / total
		if int(b) == last { // a repeated byte is half expected
			p = max(p, 0.5)
		}
		adaptive -= math.Log2(p)
		count[b]++
		total++
		last = int(b)
	}
	return min(8*float64(len(read)), adaptive)
}

// phrases are pieces of talk that begin after silence, or anywhere for those
// that do not begin with a line end; the longest explain most.
var phrases = []string{
	"\r\n+CME ERROR: ", "AT\r\r\nOK\r\n", "\r\nERROR\r\n", "\r\n+CREG: 1\r\n", "\r\n+CPIN: READY\r\n", "\r\n+CMTI: \"SM\",",
	"\r\n+CSQ: ", "\r\nNO CARRIER\r\n", "\r\nCONNECT\r\n", "\r\nRING\r\n", "$GPRMC,", "$GNRMC,", "$GPGGA,", "$GNGGA,", "$GPGSV,",
	"\r\nOK\r\n", "AT\r", "AT+",
}

// example returns the phrase whose misheard bytes stand in what was read and
// explain most of it.
func example(read []byte, sentBaud, readBaud int) string {
	best, longest := "", 0
	for _, phrase := range phrases {
		heard, _ := Mishear([]byte(phrase), float64(sentBaud), float64(readBaud), EightN1)
		// What follows the phrase may change the bytes that its last character is part of.
		more, _ := Mishear([]byte(phrase+"A"), float64(sentBaud), float64(readBaud), EightN1)
		n := 0
		for n < len(heard) && n < len(more) && heard[n] == more[n] {
			n++
		}
		switch {
		case len(heard) > longest && bytes.Contains(read, heard):
			best, longest = phrase, len(heard)
		case n > longest && bytes.Contains(read, heard[:n]):
			best, longest = phrase, n
		}
	}
	return best
}
