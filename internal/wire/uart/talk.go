package uart

// What modules and controllers say, as a model of text: how likely a character
// is after another. It is learnt from a sample of standard talk: V.250, 3GPP TS
// 27.005 and 27.007 spellings and IEC 61162-1 sentences, with invented values.
const talkSample = "AT\r\r\nOK\r\nAT\r\nATE0\r\r\nOK\r\nAT+CMEE=1\r\r\nOK\r\n" +
	"AT+CPIN?\r\r\n+CPIN: READY\r\n\r\nOK\r\nAT+CREG?\r\r\n+CREG: 0,1\r\n\r\nOK\r\n" +
	"AT+CSQ\r\r\n+CSQ: 17,99\r\n\r\nOK\r\nAT+CGMI\r\r\nAT+CMGF=1\r\r\nOK\r\n" +
	"AT+CMGS=\"+12025550143\"\r\r\n> trailer 07 at 51.710217,-0.307367\x1a\r\n+CMGS: 12\r\n\r\nOK\r\n" +
	"\r\nERROR\r\n\r\n+CME ERROR: 10\r\n\r\n+CMS ERROR: 321\r\n\r\nERROR\r\n\r\nOK\r\n\r\nOK\r\n\r\nOK\r\n" +
	"\r\nRING\r\n\r\nNO CARRIER\r\n\r\nCONNECT\r\n\r\n+CMTI: \"SM\",3\r\n\r\n+CREG: 1\r\n\r\n+CREG: 2\r\n\r\n+CGREG: 1\r\n\r\n+CEREG: 5\r\n" +
	"\r\n+CPIN: SIM PIN\r\n\r\n+CPIN: NOT READY\r\n\r\nREADY\r\n\r\nCall Ready\r\n\r\nSMS Ready\r\n\r\n+CFUN: 1\r\n" +
	"$GPRMC,101530.00,A,5142.61300,N,00018.44200,W,0.02,,040326,,,A*74\r\n" +
	"$GPVTG,,T,,M,0.022,N,0.041,K,A*2A\r\n$GPGGA,101530.00,5142.61300,N,00018.44200,W,1,08,1.01,87.2,M,46.9,M,,*4E\r\n" +
	"$GPGSA,A,3,05,13,20,30,07,09,,,,,,,1.90,1.01,1.61*0C\r\n$GPGSV,3,1,11,05,62,110,44,13,48,250,41,20,33,060,38,30,18,300,29*76\r\n" +
	"$GPGLL,5142.61300,N,00018.44200,W,101530.00,A,A*7E\r\n" +
	"$GNRMC,101531.00,V,,,,,,,040326,,,N*6B\r\n$GNGGA,101531.00,,,,,0,00,99.99,,,,,,*7B\r\n$GNGSA,A,1,,,,,,,,,,,,,99.99,99.99,99.99*2E\r\n" +
	"$GLGSV,1,1,00*65\r\n$GPTXT,01,01,02,ANTENNA OK*35\r\n"

const (
	firstPrintable = 0x20
	lastPrintable  = 0x7e
	letters        = lastPrintable - firstPrintable + 1 + 3 // and CR, LF, Ctrl-Z
	letterCR       = letters - 3
	letterLF       = letters - 2
	letterSub      = letters - 1
)

// letterOf numbers the characters of the model; ok is false for those outside.
func letterOf(b byte) (letter int, ok bool) {
	switch {
	case b >= firstPrintable && b <= lastPrintable:
		return int(b - firstPrintable), true
	case b == '\r':
		return letterCR, true
	case b == '\n':
		return letterLF, true
	case b == 0x1a:
		return letterSub, true
	}
	return 0, false
}

func byteOf(letter int) byte {
	switch letter {
	case letterCR:
		return '\r'
	case letterLF:
		return '\n'
	case letterSub:
		return 0x1a
	}
	return byte(letter) + firstPrintable
}

// follow is one character that follows another, and how likely.
type follow struct {
	letter int
	share  float64
}

// talk is the model.
type talk struct {
	alone [letters]float64  // how likely a character is, whatever came before
	after [letters][]follow // after a character, for pairs in the sample; sums to pairShare, or is empty
	level [10][letters]byte // the level of each bit of each character, start and stop bit included
}

const (
	// How far the pairs of the sample are trusted: the rest is left to talk
	// that the sample does not hold. Our estimate.
	pairShare = 0.8

	// Every printable character may occur, seen or not.
	unseen = 0.3
)

// learn counts the sample. Digits stand for each other: a sample cannot hold all numbers.
func learn(sample string) *talk {
	var t talk
	var pairs [letters][letters]float64
	var sum float64
	spread := func(letter int, f func(letter int, share float64)) {
		if zero, _ := letterOf('0'); letter >= zero && letter <= zero+9 {
			for d := range 10 {
				f(zero+d, 0.1)
			}
			return
		}
		f(letter, 1)
	}
	for i := range t.alone {
		t.alone[i] = unseen
		sum += unseen
	}
	last := letterLF
	for i := range len(sample) {
		letter, _ := letterOf(sample[i])
		sum++
		spread(letter, func(to int, share float64) {
			t.alone[to] += share
			spread(last, func(from int, fromShare float64) { pairs[from][to] += share * fromShare })
		})
		last = letter
	}
	for i := range t.alone {
		t.alone[i] /= sum
	}
	for from := range pairs {
		var total float64
		for _, n := range pairs[from] {
			total += n
		}
		for to, n := range pairs[from] {
			if n > 0 {
				t.after[from] = append(t.after[from], follow{to, pairShare * n / total})
			}
		}
	}
	for letter := range letters {
		for bit := range 8 {
			t.level[1+bit][letter] = byteOf(letter) >> bit & 1
		}
		t.level[9][letter] = 1
	}
	return &t
}

// next turns the shares of characters that end into those of characters that
// begin: into[x] += sum over c of ending[c] P(x after c).
func (t *talk) next(ending, into *[letters]float64) {
	var loose float64
	for c, share := range ending {
		if share == 0 {
			continue
		}
		if len(t.after[c]) == 0 {
			loose += share
			continue
		}
		loose += share * (1 - pairShare)
		for _, f := range t.after[c] {
			into[f.letter] += share * f.share
		}
	}
	for x := range into {
		into[x] += loose * t.alone[x]
	}
}
