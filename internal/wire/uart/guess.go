package uart

import (
	"bytes"
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// StandardSpeeds are the speeds of +IPR (ITU-T V.250, clause 6.2.10) from 1200
// up, and the faster ones that modules offer (common practice, no source).
var StandardSpeeds = []int{1200, 2400, 4800, 9600, 14400, 19200, 28800, 38400, 57600, 115200, 230400, 460800, 921600}

// usual is how often a speed is met, where the bytes cannot tell two apart. Our estimate.
func usual(baud int) float64 {
	switch baud {
	case 115200, 9600:
		return 4
	case 4800, 38400, 57600:
		return 2
	}
	return 1
}

// Guess is a speed that would explain the bytes read.
type Guess struct {
	Baud    int
	Score   float64 // share of belief among all standard speeds, 0 to 1
	Bits    float64 // how much better it explains the bytes than noise, in bits
	Example string  // what was probably sent: a piece of text that is read as these bytes; "" when not known
}

const (
	guessBytes = 192 // more bytes say no more about a speed, and cost time
	trialBytes = 64  // enough to choose between clocks that are a little off

	// Twenty bits better than noise happen by chance once in a million, if the
	// model were exact. It is not: the test measures the true rate of false guesses.
	enoughBits = 20

	// Answers that repeat look like a pattern, which counts as noise. Then it
	// is enough to beat plain noise by more, and every other speed too.
	enoughPlainBits = 40
	enoughLead      = 24
	enoughValues    = 4 // different bytes: a line that is stuck or rings has fewer

	enoughBelief = 0.02 // a speed with less is not named beside a better one

	// Beyond this ratio one byte read spans so many characters, or one bit sent
	// so many bytes, that nothing can be told.
	farthest = 32

	// Clocks differ by this much at most, or the two would not work at the right
	// speed either (see Tolerance), in steps that move no sample by more than half a bit.
	skewSteps = 6
	skewStep  = 0.005
)

// candidate is one speed with what was found about it.
type candidate struct {
	baud   int
	needs  float64 // bits for the bytes, the cost of choosing a clock included
	chosen offsets
}

// GuessSpeed finds the speed at which bytes were probably sent, when reading
// them at readBaud gave no sense. It knows what modules say and what a
// receiver makes of it (see [Hear]), and asks of each standard speed how likely
// it would produce these bytes. The best comes first. It returns nothing when
// the evidence is weak, or when the bytes are text at the speed they were read.
//
// Bytes of a sender more than nine times slower are all 0: they tell nothing
// more, see [SlowerThan]. For a sender more than ten times faster some two
// hundred bytes are needed. It takes some 50 ms, a few times that for bytes that
// fit nothing: call it for a stretch of garbage, not for each piece.
func GuessSpeed(read []byte, readBaud int) []Guess {
	if len(read) > guessBytes {
		read = read[:guessBytes]
	}
	if len(read) == 0 || readBaud <= 0 {
		return nil
	}
	t := learn(talkSample)
	speeds := speedsNear(readBaud)
	for i := range speeds {
		c := &speeds[i]
		c.chosen = offsetsFor(float64(c.baud), float64(readBaud))
		c.needs = t.bits(read, c.chosen)
	}
	found := weigh(read, readBaud, speeds)
	if found == nil && readsNoSense(read) {
		for i := range speeds {
			speeds[i].tryClocks(t, read, readBaud)
		}
		found = weigh(read, readBaud, speeds)
	}
	for i := range found {
		found[i].Example = example(read, found[i].Baud, readBaud)
	}
	return found
}

// SlowerThan says that all bytes are 0, as they are when each low bit of the
// sender lasts longer than a whole character of the receiver: the sender's speed
// is at most baud, or the line is held low (a missing supply, a crossed ground).
func SlowerThan(read []byte, readBaud int) (baud int, ok bool) {
	const few = 4 // start-up glitches make a zero or two
	for _, b := range read {
		if b != 0 {
			return 0, false
		}
	}
	// A single low bit covers the start bit and eight data bits up to the middle of the last.
	return int(float64(readBaud) / (8.5 + senseDelay)), len(read) >= few
}

// speedsNear lists readBaud first, then the standard speeds not too far from it.
func speedsNear(readBaud int) []candidate {
	speeds := []candidate{{baud: readBaud}}
	for _, baud := range StandardSpeeds {
		ratio := float64(baud) / float64(readBaud)
		if baud != readBaud && ratio <= farthest && ratio >= 1.0/farthest {
			speeds = append(speeds, candidate{baud: baud})
		}
	}
	return speeds
}

// readsNoSense says that the bytes are not simply text.
func readsNoSense(read []byte) bool {
	text := 0
	for _, b := range read {
		if _, ok := letterOf(b); ok {
			text++
		}
	}
	return text*10 < len(read)*9
}

// tryClocks looks whether a clock that is a little off explains more. A slower
// sender has its samples well inside its bits: only a faster one needs it.
func (c *candidate) tryClocks(t *talk, read []byte, readBaud int) {
	if c.baud <= readBaud {
		return
	}
	trial := read[:min(len(read), trialBytes)]
	best, tried := t.bits(trial, c.chosen), []offsets{c.chosen}
	chosen := c.chosen
	for n := -skewSteps; n <= skewSteps; n++ {
		o := offsetsFor(float64(c.baud)*(1+float64(n)*skewStep), float64(readBaud))
		if slices.Contains(tried, o) {
			continue
		}
		tried = append(tried, o)
		if needs := t.bits(trial, o); needs < best {
			best, chosen = needs, o
		}
	}
	if chosen != c.chosen {
		c.chosen = chosen
		c.needs = t.bits(read, chosen)
	}
	c.needs += math.Log2(float64(len(tried)))
}

// weigh decides which speeds are worth a word.
func weigh(read []byte, readBaud int, speeds []candidate) []Guess {
	ranked := slices.Clone(speeds)
	for i := range ranked {
		ranked[i].needs -= math.Log2(usual(ranked[i].baud))
	}
	slices.SortStableFunc(ranked, func(a, b candidate) int { return cmp.Compare(a.needs, b.needs) })
	best := ranked[0]
	if best.baud == readBaud {
		return nil
	}
	plain := plainNoiseBits(read)
	noise := min(plain, patternBits(read))
	if noise-best.needs < enoughBits {
		noise = plain
		if plain-best.needs < enoughPlainBits || ranked[1].needs-best.needs < enoughLead || values(read) < enoughValues {
			return nil
		}
	}
	var sum float64
	for _, c := range ranked {
		sum += math.Exp2(best.needs - c.needs)
	}
	var found []Guess
	for _, c := range ranked {
		score := math.Exp2(best.needs-c.needs) / sum
		if score >= enoughBelief && c.baud != readBaud {
			found = append(found, Guess{Baud: c.baud, Score: score, Bits: noise - c.needs})
		}
	}
	return found
}

func values(read []byte) int {
	var seen [256]bool
	n := 0
	for _, b := range read {
		if !seen[b] {
			seen[b] = true
			n++
		}
	}
	return n
}

// plainNoiseBits is how many bits the bytes need without any idea of text:
// equal chances for all, or a line that flips now and then by itself.
func plainNoiseBits(read []byte) float64 {
	flips, stays := 0.0, 0.0
	for _, b := range read {
		changed := bits.OnesCount8(b ^ b<<1) // the bit before the first is the start bit, low
		flips += float64(changed)
		stays += float64(8 - changed)
	}
	share := (flips + 0.5) / (flips + stays + 1)
	wobble := -flips*math.Log2(share) - stays*math.Log2(1-share)
	return min(8*float64(len(read)), wobble)
}

// patternBits is how many bits the bytes need when they are counted as they
// come, so that what repeats is cheap.
func patternBits(read []byte) float64 {
	var count [256]float64
	const start = 1.0 / 16 // the weight of a byte not seen yet
	needs, total := 0.0, 256*start
	last := -1
	for _, b := range read {
		p := (count[b] + start) / total
		if int(b) == last { // a repeated byte is half expected
			p = max(p, 0.5)
		}
		needs -= math.Log2(p)
		count[b]++
		total++
		last = int(b)
	}
	return needs
}

// phrases are pieces of talk that begin after silence, or anywhere for those
// that do not begin with a line end.
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
