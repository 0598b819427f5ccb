package sky

import (
	"math"
	"slices"
	"time"
)

// How the message is built: IS-GPS-200, 20.3.2 (50 bit/s; a word of 30 bits, a subframe of ten
// words, a frame of five subframes).
const (
	bitRateHz   = 50.0
	subframeS   = 6.0
	frameS      = 30.0
	subframeBit = 300
	// towS is how far into a subframe the time of week has passed: the first two words.
	towS = 1.2
)

// A Start is what a receiver still knows when it is switched on.
type Start struct {
	Name      string
	Meaning   string
	Ephemeris bool    // still valid: only the time is wanted
	SearchS   float64 // until the satellites are found; our estimate
}

// Starts are the kinds of start. What is kept is the usual meaning of the words (receiver
// test practice, from memory); how long the search takes depends on the receiver and is our estimate.
var Starts = [...]Start{
	{"cold", "nothing is known", false, 8},
	{"warm", "time, place and almanac are roughly known, the ephemeris is old", false, 3},
	{"hot", "the ephemeris is still valid, up to about four hours", true, 1},
}

// A View is how much of the signal the place leaves over.
type View struct {
	Name   string
	Title  string
	LossDB float64 // from every satellite
}

// Views are kinds of place: our estimates, in line with the usual span of 33 to 49 dB-Hz outdoors.
var Views = [...]View{
	{"open", "open sky, good antenna up", 0},
	{"light", "light trees, a plastic roof", 6},
	{"heavy", "wet trees, a car's dashboard", 12},
	{"indoor", "indoors near a window", 21},
}

// CN0 over an open sky with a good antenna: 35 dB-Hz at the horizon to 48 at the zenith; our
// estimate in the usual span.
const (
	horizonCN0dBHz = 35
	zenithGainDB   = 13
)

// ExpectedCN0dBHz is the carrier to noise density of a satellite at an elevation.
func ExpectedCN0dBHz(elevationDeg, lossDB float64) float64 {
	return horizonCN0dBHz + zenithGainDB*math.Sin(elevationDeg*math.Pi/180) - lossDB
}

const (
	// acquireDBHz is what a search finds: "a fix wants about 28 to 32 on four satellites".
	// Guidance, no standard.
	acquireDBHz = 28
	// decodeLossDB is what a receiver loses against theory when it decides bits; our estimate.
	decodeLossDB = 1.5
)

// SubframeChance is how probably a whole subframe of the message is read without a wrong bit
// at a carrier to noise density: for BPSK in white noise a bit is wrong with
// erfc(sqrt(Eb/N0))/2, and 300 bits must be right.
func SubframeChance(cn0dBHz float64) float64 {
	ebn0 := math.Pow(10, (cn0dBHz-decodeLossDB)/10) / bitRateHz
	wrong := math.Erfc(math.Sqrt(ebn0)) / 2
	return math.Pow(1-wrong, subframeBit)
}

// An Expectation is how long a first fix should take.
type Expectation struct {
	Possible bool // four satellites are strong enough
	Strong   int  // satellites that a search finds
	// FloorS is the least that the message allows, without any search.
	FloorS float64
	// MedianS and P95S are after how long half, and 95 of 100, of the starts have a fix;
	// they are infinite when so many never have within Patience.
	MedianS, P95S float64
}

// Patience is how long a first fix is waited for: the whole message takes 12.5 minutes
// (IS-GPS-200: 25 frames).
const Patience = 12*time.Minute + 30*time.Second

const (
	expectStepS = 0.5
	phases      = 60 // of the frame, at which a start may fall: every half second
)

// Strong is how many of the satellites in sight are strong enough to be found.
func Strong(view View, seen []Seen) (n int) {
	for i := range seen {
		if seen[i].Healthy && ExpectedCN0dBHz(seen[i].ElevationDeg, view.LossDB) >= acquireDBHz {
			n++
		}
	}
	return n
}

// Expect works out the first fix with the satellites in sight, from the time that the message
// takes: a satellite counts when subframes 1 to 3 have been read once each (a subframe must be
// whole; they may be of different frames), or with a valid ephemeris the next time of week. A
// fix wants four. All satellites send the same subframe at the same time (IS-GPS-200, 20.3.4).
func Expect(start Start, view View, seen []Seen) Expectation {
	var e Expectation
	var chance []float64
	for i := range seen {
		cn0 := ExpectedCN0dBHz(seen[i].ElevationDeg, view.LossDB)
		if seen[i].Healthy && cn0 >= acquireDBHz {
			chance = append(chance, SubframeChance(cn0))
		}
	}
	e.Strong = len(chance)
	e.FloorS = 3 * subframeS
	if start.Ephemeris {
		e.FloorS = towS
	}
	e.MedianS, e.P95S = math.Inf(1), math.Inf(1)
	e.Possible = len(chance) >= 4
	if !e.Possible {
		return e
	}
	done := make([]float64, len(chance))
	for t := e.FloorS; t <= Patience.Seconds(); t += expectStepS {
		share := 0.0
		for p := range phases {
			phase := (float64(p) + 0.5) * frameS / phases
			for i, c := range chance {
				done[i] = ready(start.Ephemeris, c, phase, t)
			}
			share += atLeastFour(done) / phases
		}
		if share >= 0.5 && math.IsInf(e.MedianS, 1) {
			e.MedianS = t + start.SearchS
		}
		if share >= 0.95 {
			e.P95S = t + start.SearchS
			break
		}
	}
	return e
}

// ready is how probably one satellite counts t seconds after a start that fell phase seconds
// into a frame, when a subframe is read with probability c.
func ready(ephemeris bool, c, phase, t float64) float64 {
	if ephemeris {
		// Times of week that passed whole: their words end towS into each subframe.
		first := math.Ceil(phase/subframeS) * subframeS
		n := math.Floor((phase+t-towS-first)/subframeS) + 1
		if n < 1 {
			return 0
		}
		return 1 - math.Pow(1-math.Pow(c, 60.0/subframeBit), n) // two words of 30 bits
	}
	all := 1.0
	for k := range 3 {
		begins := float64(k) * subframeS
		first := begins
		if begins < phase {
			first += frameS
		}
		n := math.Floor((phase+t-subframeS-first)/frameS) + 1
		if n < 1 {
			return 0
		}
		all *= 1 - math.Pow(1-c, n)
	}
	return all
}

// atLeastFour is how probably four or more of independent things are so.
func atLeastFour(chance []float64) float64 {
	var exactly [4]float64 // 0 to 3
	exactly[0] = 1
	for _, c := range chance {
		for k := 3; k > 0; k-- {
			exactly[k] = exactly[k]*(1-c) + exactly[k-1]*c
		}
		exactly[0] *= 1 - c
	}
	return max(0, 1-exactly[0]-exactly[1]-exactly[2]-exactly[3])
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}
