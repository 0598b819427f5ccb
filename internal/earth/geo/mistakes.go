package geo

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Kind is one known way to spoil a coordinate between the receiver and the reader.
type Kind string

// The kinds of mistake.
const (
	MinutesAsDecimals Kind = "degrees and minutes divided by 100" // 5142.6130 becomes 51.426130
	FractionAsSeconds Kind = "fraction of the minute read as seconds"
	MinutesCut        Kind = "fraction of the minute dropped"
	NotConverted      Kind = "degrees and minutes not converted" // 5142.6130 stays
	ZerosLost         Kind = "leading zeros of the fraction lost"
	LatSign           Kind = "side of the equator wrong"
	LonSign           Kind = "side of Greenwich wrong"
	Swapped           Kind = "latitude and longitude swapped"
	Float32Degrees    Kind = "degrees kept in a 32-bit float"
	Float32Minutes    Kind = "degrees and minutes kept in a 32-bit float"
	FewDigits         Kind = "decimals cut"
	DecimalComma      Kind = "decimal comma"
)

// Mistake is a set of known mistakes that together turn the true point into
// what was sent.
type Mistake struct {
	Kinds       []Kind // usually one
	Exact       bool   // to the last digit sent; otherwise the place had moved a little in between
	ResidualDeg float64
	Sent        Point   // as a reader takes it: decimal degrees
	ErrorM      float64 // from the truth to Sent; means something only with ErrorKnown
	ErrorKnown  bool    // Sent is a place on earth
	Explanation string  // one sentence
}

// Is says whether the mistake is of that kind, alone or with others.
func (m *Mistake) Is(k Kind) bool { return slices.Contains(m.Kinds, k) }

const (
	// A coarser last digit loses what a receiver knows: 2e-5 degrees are two
	// metres. Five decimals of a degree or three of a minute are finer. Our
	// estimate of what a tracker needs.
	enoughStepDeg = 2e-5

	// A device may send the fix of a moment later. It has gone this far at most,
	// in degrees: 30 m, a second on a motorway. Our estimate.
	movedDeg = 0.00027

	// A gross mistake must stand out of that movement this many times.
	standsOut = 20
)

// Mistakes says which known mistakes turn the position truth into the two
// numbers that were sent, the likeliest first: fewest mistakes at once, then
// the smallest remainder. It returns nil for numbers that are right or that no
// known mistake explains. truth is the true point with all digits the receiver gave.
func Mistakes(sentLatText, sentLonText string, truth Point) []Mistake {
	lat, okLat := readSent(sentLatText)
	lon, okLon := readSent(sentLonText)
	if !okLat || !okLon || !truth.Valid() {
		return nil
	}
	c := comparison{lat: lat, lon: lon, truth: truth}
	c.sent = Point{LatDeg: lat.deg, LonDeg: lon.deg}
	var found []Mistake
	residual := max(math.Abs(lat.deg-truth.LatDeg), math.Abs(lon.deg-truth.LonDeg))
	decimals, padded := c.meaningful()
	switch {
	case lat.near(truth.LatDeg) && lon.near(truth.LonDeg):
		found = c.fine(found, decimals, padded)
	case padded && residual <= 1.001*math.Pow10(-decimals):
		found = c.gross(c.fine(found, decimals, padded)) // or a spoiled number that happens to end in zeros
	default:
		found = c.gross(found)
		if len(found) == 0 || !found[0].Exact {
			found = c.grid(found)
		}
	}
	if (lat.comma || lon.comma) && (len(found) > 0 || residual <= movedDeg) {
		found = c.addComma(found)
	}
	slices.SortStableFunc(found, func(a, b Mistake) int {
		if a.Exact != b.Exact {
			if a.Exact {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(len(a.Kinds), len(b.Kinds)), cmp.Compare(a.ResidualDeg, b.ResidualDeg))
	})
	return found
}

// sent is one number as it was sent.
type sent struct {
	text     string
	deg      float64 // as decimal degrees, even where that is no place
	decimals int     // of the last number
	step     float64 // worth of the last digit, in degrees
	comma    bool
	parts    int // 1: decimal degrees
}

// readSent reads one coordinate. A bare number is taken as decimal degrees,
// whatever its size: that is what its reader will do.
func readSent(text string) (v sent, ok bool) {
	text = strings.TrimSpace(text)
	s := scanner{text: text, comma: true}
	for _, parts := range []int{1, 2, 3, free} {
		a, ok := s.angleAt(0, parts)
		if ok && a.end+1 < len(text) && text[a.end] == ',' {
			if letter, end := s.hemisphereAt(a.end + 1); letter != 0 { // the fields of a sentence
				a.hemisphere, a.end = letter, end
			}
		}
		if !ok || a.end != len(text) {
			continue
		}
		lat := a.axis() == 'N'
		if a.hemisphere != 0 {
			a.together = a.runTogether(lat)
		}
		v.text, v.comma = text, a.part[0].comma
		v.deg, _ = a.degrees(lat)
		v.step, v.decimals = a.stepDeg(), a.part[a.parts-1].decimals
		_, _, _, v.parts = a.split()
		return v, true
	}
	return v, false
}

// near says that the number is right to its last digit, rounded or cut off.
func (v sent) near(deg float64) bool { return math.Abs(v.deg-deg) <= v.tolerance() }

// tolerance is a step of the last digit, and a hair for the digits that the
// receiver's own sentence rounds away (1e-7 minutes).
func (v sent) tolerance() float64 { return 1.001*v.step + 2e-9 }

// comparison is one call of Mistakes.
type comparison struct {
	lat, lon sent
	sent     Point
	truth    Point
}

// add appends a mistake with its size and its sentence.
func (c *comparison) add(found []Mistake, exact bool, residual float64, explanation string, kinds ...Kind) []Mistake {
	m := Mistake{Kinds: kinds, Exact: exact, ResidualDeg: residual, Sent: c.sent}
	if c.sent.Valid() {
		m.ErrorM, m.ErrorKnown = DistanceM(c.truth, c.sent), true
	}
	size := "which is no place on earth"
	if m.ErrorKnown {
		size = FormatMetres(m.ErrorM) + " from the true place"
	}
	m.Explanation = explanation + ", " + size
	return append(found, m)
}

// FormatMetres writes a distance as people say it: "0.8 m", "42 m", "5.2 km", "1460 km".
func FormatMetres(m float64) string {
	switch {
	case m < 10:
		return fmt.Sprintf("%.1f m", m)
	case m < 1000:
		return fmt.Sprintf("%.0f m", m)
	case m < 100e3:
		return fmt.Sprintf("%.1f km", m/1000)
	}
	return fmt.Sprintf("%.0f km", m/1000)
}

// spoiling is a way to get the number of one coordinate wrong.
type spoiling struct {
	kind Kind
	// apply spoils the size of a coordinate; ok is false where it changes nothing.
	apply func(size float64) (spoiled float64, ok bool)
}

// spoilings are tried on both coordinates: one piece of code made both. Trade
// lore, see the words of each kind; the arithmetic is that of the format.
var spoilings = []spoiling{
	{MinutesAsDecimals, func(v float64) (float64, bool) { d, m := degMin(v); return d + m/100, true }},
	{NotConverted, func(v float64) (float64, bool) { d, m := degMin(v); return d*100 + m, true }},
	{FractionAsSeconds, func(v float64) (float64, bool) {
		d, m := degMin(v)
		whole, frac := math.Modf(m)
		return d + whole/60 + frac*100/3600, true
	}},
	{MinutesCut, func(v float64) (float64, bool) { d, m := degMin(v); return d + math.Floor(m)/60, true }},
	{ZerosLost, func(v float64) (float64, bool) {
		whole, frac := math.Modf(v)
		frac, ok := withoutZeros(frac)
		return whole + frac, ok
	}},
	{ZerosLost, func(v float64) (float64, bool) {
		d, m := degMin(v)
		whole, frac := math.Modf(m)
		frac, ok := withoutZeros(frac)
		return d + (whole+frac)/60, ok
	}},
}

// degMin cuts a size into whole degrees and minutes.
func degMin(v float64) (deg, minutes float64) {
	deg = math.Floor(v)
	return deg, (v - deg) * 60
}

// withoutZeros drops the zeros between the point and the first other digit, as
// printing the fraction as a whole number does: 0.0846 becomes 0.846.
func withoutZeros(frac float64) (float64, bool) {
	const most = 6 // 0.1 m: there are no more digits behind so many zeros
	zeros := 0
	for frac > 1e-12 && frac*10 < 1 && zeros < most {
		frac *= 10
		zeros++
	}
	return frac, zeros > 0
}

// signsWrong are the ways to lose a side.
var signsWrong = []struct {
	lat, lon float64
	kinds    []Kind
}{
	{1, 1, nil}, {1, -1, []Kind{LonSign}}, {-1, 1, []Kind{LatSign}}, {-1, -1, []Kind{LatSign, LonSign}},
}

// gross tries the mistakes of kilometres: a number spoiled, a side lost, the
// axes swapped, and all of these at once.
func (c *comparison) gross(found []Mistake) []Mistake {
	for n := -1; n < len(spoilings); n++ {
		lat, lon := c.truth.LatDeg, c.truth.LonDeg
		var kinds []Kind
		if n >= 0 {
			sizeLat, okLat := spoilings[n].apply(math.Abs(lat))
			sizeLon, okLon := spoilings[n].apply(math.Abs(lon))
			if !okLat && !okLon {
				continue
			}
			if okLat {
				lat = math.Copysign(sizeLat, lat)
			}
			if okLon {
				lon = math.Copysign(sizeLon, lon)
			}
			kinds = append(kinds, spoilings[n].kind)
		}
		for _, side := range signsWrong {
			if side.lat < 0 && math.Abs(lat) <= c.lat.tolerance() || side.lon < 0 && math.Abs(lon) <= c.lon.tolerance() {
				continue // a zero has no side
			}
			found = c.tryBothOrders(found, lat*side.lat, lon*side.lon, append(kinds[:len(kinds):len(kinds)], side.kinds...))
		}
	}
	return found
}

func (c *comparison) tryBothOrders(found []Mistake, lat, lon float64, kinds []Kind) []Mistake {
	for _, swap := range []bool{false, true} {
		if swap {
			lat, lon = lon, lat
			kinds = append(kinds[:len(kinds):len(kinds)], Swapped)
		}
		if len(kinds) == 0 {
			continue
		}
		dLat, dLon := math.Abs(c.lat.deg-lat), math.Abs(c.lon.deg-lon)
		residual := max(dLat, dLon)
		off := max(math.Abs(c.lat.deg-c.truth.LatDeg), math.Abs(c.lon.deg-c.truth.LonDeg))
		exact := dLat <= c.lat.tolerance() && dLon <= c.lon.tolerance()
		if !exact && (residual > movedDeg || off < standsOut*residual) {
			continue
		}
		if already(found, kinds) {
			continue
		}
		found = c.add(found, exact, residual, c.explain(kinds), kinds...)
	}
	return found
}

func already(found []Mistake, kinds []Kind) bool {
	return slices.ContainsFunc(found, func(m Mistake) bool { return slices.Equal(m.Kinds, kinds) })
}

// explain is the sentence for gross mistakes.
func (c *comparison) explain(kinds []Kind) string {
	words := make([]string, len(kinds))
	for i, k := range kinds {
		words[i] = string(k)
	}
	decimals := max(c.lat.decimals, c.lon.decimals, 4)
	return fmt.Sprintf("%s: the receiver's %s is %s, but %s,%s was sent", strings.Join(words, " and "),
		FormatDM(c.truth, 4, Blanks), FormatDecimal(c.truth, decimals), c.lat.text, c.lon.text)
}

// fine looks at numbers that are right as far as they go: are there enough digits?
func (c *comparison) fine(found []Mistake, decimals int, padded bool) []Mistake {
	step := max(c.lat.step, c.lon.step)
	if padded {
		step = math.Pow10(-decimals)
	}
	if step <= enoughStepDeg {
		return found
	}
	latM, lonM := MetresPerDegree(c.truth.LatDeg)
	worth := FormatMetres(step*latM) + " by " + FormatMetres(step*lonM)
	text := fmt.Sprintf("%s,%s was sent: its last digit is worth %s", c.lat.text, c.lon.text, worth)
	if padded {
		text = fmt.Sprintf("%s,%s was sent: behind decimal %d there are only zeros, and that one is worth %s",
			c.lat.text, c.lon.text, decimals, worth)
	}
	residual := max(math.Abs(c.lat.deg-c.truth.LatDeg), math.Abs(c.lon.deg-c.truth.LonDeg))
	return c.add(found, true, residual, text, FewDigits)
}

// meaningful counts the decimals that carry something. padded says that zeros
// were put behind: both numbers end in at least two, and the truth does not.
func (c *comparison) meaningful() (decimals int, padded bool) {
	decimals = min(c.lat.decimals, c.lon.decimals)
	if c.lat.parts != 1 || c.lon.parts != 1 {
		return decimals, false
	}
	zeros := min(trailingZeros(c.lat.text), trailingZeros(c.lon.text), decimals)
	bare := decimals - zeros
	step := math.Pow10(-bare)
	if zeros < 2 || math.Abs(math.Remainder(c.truth.LatDeg, step)) < c.lat.step/2 &&
		math.Abs(math.Remainder(c.truth.LonDeg, step)) < c.lon.step/2 {
		return decimals, false
	}
	return bare, true
}

func trailingZeros(number string) int {
	digits := strings.TrimRight(number, " NSEWnsew\u00b0")
	return len(digits) - len(strings.TrimRight(digits, "0"))
}

// Agrees says that the two numbers are the point to their last digit, rounded or cut off.
func Agrees(sentLatText, sentLonText string, p Point) bool {
	lat, okLat := readSent(sentLatText)
	lon, okLon := readSent(sentLonText)
	return okLat && okLon && lat.near(p.LatDeg) && lon.near(p.LonDeg)
}

// floats are the ways to lose digits in 32-bit floating point.
var floats = []struct {
	kind   Kind
	of     func(deg float64) float64
	stepAt func(deg float64) float64
	what   string
}{
	{Float32Degrees, throughFloat32, float32Step, "a 32-bit float holds only steps of %.2g degrees here"},
	{Float32Minutes, minutesThroughFloat32, func(deg float64) float64 { return float32Step(deg*100) / 60 },
		"degrees and minutes in one 32-bit float hold only steps of %.2g degrees here"},
}

// OnFloatGrid says whether the two numbers are what a 32-bit float makes of the
// point while the point itself reads differently, and how many of their last
// digits one step of that float is worth. A grid that is only ten digits wide is
// met by chance one time in ten: then it takes several positions to be sure.
func OnFloatGrid(sentLatText, sentLonText string, truth Point) (kind Kind, digits float64) {
	lat, okLat := readSent(sentLatText)
	lon, okLon := readSent(sentLonText)
	if !okLat || !okLon || !truth.Valid() || lat.near(truth.LatDeg) && lon.near(truth.LonDeg) {
		return "", 0
	}
	for _, f := range floats {
		if !lat.prints(f.of(truth.LatDeg)) || !lon.prints(f.of(truth.LonDeg)) {
			continue
		}
		if !lat.near(truth.LatDeg) {
			digits = f.stepAt(truth.LatDeg) / lat.step
		}
		if !lon.near(truth.LonDeg) {
			digits = max(digits, f.stepAt(truth.LonDeg)/lon.step)
		}
		return f.kind, digits
	}
	return "", 0
}

// surelyGrid is the width of a float's grid, in last digits, from which one
// position is enough: seven decimals of a degree, mostly.
const surelyGrid = 35

// grid adds the mistake of the floats where it is sure.
func (c *comparison) grid(found []Mistake) []Mistake {
	kind, digits := OnFloatGrid(c.lat.text, c.lon.text, c.truth)
	for _, f := range floats {
		if f.kind != kind || digits < surelyGrid {
			continue
		}
		step := max(f.stepAt(c.truth.LatDeg), f.stepAt(c.truth.LonDeg))
		residual := max(math.Abs(c.lat.deg-f.of(c.truth.LatDeg)), math.Abs(c.lon.deg-f.of(c.truth.LonDeg)))
		found = c.add(found, true, residual, fmt.Sprintf(f.what, step), kind)
	}
	return found
}

// prints says that deg, rounded or cut to the decimals sent, is the number sent.
func (v sent) prints(deg float64) bool {
	if v.parts != 1 {
		return false
	}
	pow := math.Pow10(v.decimals)
	n, want := deg*pow, math.Round(v.deg*pow)
	return math.Round(n) == want || math.Trunc(n) == want
}

func throughFloat32(deg float64) float64 { return float64(float32(deg)) }

// minutesThroughFloat32 does what small firmware does: the field of the
// sentence in a float, whole degrees off, minutes over 60.
func minutesThroughFloat32(deg float64) float64 {
	d, m := degMin(math.Abs(deg))
	field := float32(d*100 + m)
	whole := float32(int(field / 100))
	return math.Copysign(float64(whole+(field-whole*100)/60), deg)
}

// float32Step is the distance to the next 32-bit float.
func float32Step(deg float64) float64 {
	v := float32(math.Abs(deg))
	return float64(math.Nextafter32(v, math.MaxFloat32) - v)
}

// addComma joins the decimal comma to what was found, or reports it alone.
func (c *comparison) addComma(found []Mistake) []Mistake {
	for i := range found {
		found[i].Kinds = append(found[i].Kinds, DecimalComma)
	}
	if len(found) == 0 {
		residual := max(math.Abs(c.lat.deg-c.truth.LatDeg), math.Abs(c.lon.deg-c.truth.LonDeg))
		found = append(found, Mistake{Kinds: []Kind{DecimalComma}, Exact: true, Sent: c.sent, ResidualDeg: residual,
			ErrorM: DistanceM(c.truth, c.sent), ErrorKnown: c.sent.Valid(),
			Explanation: "a decimal comma was sent: a reader that expects a point takes " + c.lat.text + " for two numbers"})
	}
	return found
}
