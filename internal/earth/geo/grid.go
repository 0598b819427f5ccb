package geo

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// UTM is a place on the Universal Transverse Mercator grid. Source of zones,
// bands and squares: NGA.SIG.0012 (universal grids), from memory; checked
// against an independent library (oracle/geo).
type UTM struct {
	Zone      int  // 1 to 60
	Band      byte // C to X
	EastingM  float64
	NorthingM float64
}

const (
	utmScale       = 0.9996
	falseEastingM  = 500e3
	falseNorthingM = 10e6 // in the southern half
	squareM        = 100e3

	lowestLat, highestLat = -80, 84 // beyond is the polar grid, which is not read here
	bands                 = "CDEFGHJKLMNPQRSTUVWX"
	rows                  = "ABCDEFGHJKLMNPQRSTUV" // of the squares, again and again
	rowsEvenFrom          = 5                      // in even zones they begin at F
)

// columns are the letters of the squares from west to east, by zone modulo three.
var columns = [3]string{"STUVWXYZ", "ABCDEFGH", "JKLMNPQR"}

// ToUTM returns the place on the grid; ok is false in the polar regions.
func ToUTM(p Point) (u UTM, ok bool) {
	if !p.Valid() || p.LatDeg < lowestLat || p.LatDeg > highestLat {
		return u, false
	}
	u.Band = bands[min(int((p.LatDeg-lowestLat)/8), len(bands)-1)]
	if p.LatDeg < 0 && u.Band >= 'N' {
		u.Band = 'M' // a hair south of the equator, which rounding took for it
	}
	u.Zone = zoneOf(p, u.Band)
	east, north := mercator(p, meridianOf(u.Zone))
	u.EastingM, u.NorthingM = falseEastingM+utmScale*east, utmScale*north
	if p.LatDeg < 0 {
		u.NorthingM = min(u.NorthingM+falseNorthingM, math.Nextafter(falseNorthingM, 0)) // seven digits, also a hair south
	}
	return u, true
}

func meridianOf(zone int) float64 { return float64(6*zone - 183) }

// zoneOf is six degrees each, but for the wider ones of Norway and Svalbard.
func zoneOf(p Point, band byte) int {
	lon := p.LonDeg
	if lon >= 180 {
		lon -= 360
	}
	zone := int((lon+180)/6) + 1
	switch {
	case band == 'V' && zone == 31 && lon >= 3:
		return 32
	case band == 'X' && lon >= 0 && lon < 42:
		return 31 + 2*int((lon+3)/12)
	}
	return zone
}

// Point is the way back.
func (u UTM) Point() Point {
	north := u.NorthingM
	if u.Band < 'N' {
		north -= falseNorthingM
	}
	return unmercator((u.EastingM-falseEastingM)/utmScale, north/utmScale, meridianOf(u.Zone))
}

// String writes "30U 692095 5732534": whole metres, cut off as grids do.
func (u UTM) String() string {
	return fmt.Sprintf("%d%c %06.0f %07.0f", u.Zone, u.Band, math.Floor(u.EastingM), math.Floor(u.NorthingM))
}

// FormatMGRS writes a point as a reference of the military grid with 0 to 5
// digits each way: five name a square metre, four one of ten metres. ok is false
// in the polar regions.
func FormatMGRS(p Point, digits int) (text string, ok bool) {
	u, ok := ToUTM(p)
	if !ok {
		return "", false
	}
	digits = min(max(digits, 0), 5)
	east, north := int(math.Floor(u.EastingM)), int(math.Floor(u.NorthingM))
	column := columns[u.Zone%3][min(max(east/int(squareM)-1, 0), 7)]
	row := rows[(north/int(squareM)+rowOffset(u.Zone))%len(rows)]
	text = fmt.Sprintf("%d%c%c%c", u.Zone, u.Band, column, row)
	for _, v := range [2]int{east, north} {
		text += fmt.Sprintf("%05d", v%int(squareM))[:digits]
	}
	return text, true
}

func rowOffset(zone int) int {
	if zone%2 == 0 {
		return rowsEvenFrom
	}
	return 0
}

// parseGrid reads "30U 692095 5732534" and "30UXC9209532534". ok is false when
// the text is no grid reference at all.
func parseGrid(body string) (r Reading, ok bool, err error) {
	zone, rest := leadingNumber(body)
	rest = strings.TrimLeft(rest, " ")
	if zone == "" || len(zone) > 2 || len(rest) < 2 || strings.IndexByte(bands, upperCase(rest[0])) < 0 {
		return r, false, nil
	}
	u := UTM{Band: upperCase(rest[0])}
	u.Zone, _ = strconv.Atoi(zone)
	rest = strings.TrimLeft(rest[1:], " ")
	r.LatText, r.LonText, r.Len = body, body, len(body)
	switch {
	case rest != "" && isDigit(rest[0]):
		ok, err = r.readUTM(u, body, rest)
	case len(rest) >= 2 && isLetter(rest[0]) && isLetter(rest[1]):
		ok, err = r.readMGRS(u, body, rest)
	}
	return r, ok, err
}

func leadingNumber(s string) (digits, rest string) {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return s[:i], s[i:]
}

func upperCase(b byte) byte {
	if isLetter(b) {
		return b &^ 0x20
	}
	return b
}

// readUTM reads easting and northing: "692095 5732534", "692095mE 5732534.5mN".
func (r *Reading) readUTM(u UTM, body, rest string) (ok bool, err error) {
	rest = strings.NewReplacer("mE", " ", "mN", " ", "m E", " ", "m N", " ", ",", " ").Replace(rest)
	words := strings.Fields(rest)
	if len(words) != 2 || len(words[0]) < 5 || len(words[1]) < 5 {
		return false, nil // "12 N 34 E" are degrees
	}
	s := scanner{text: words[0]}
	east, okEast := s.numberAt(0)
	s.text = words[1]
	north, okNorth := s.numberAt(0)
	if !okEast || !okNorth || east.end != len(words[0]) || north.end != len(words[1]) || east.intDigits != 6 {
		return false, nil
	}
	u.EastingM, u.NorthingM = east.value, north.value
	r.Spelling, r.Digits = GridUTM, min(east.decimals, north.decimals)
	r.StepDeg = math.Pow10(-r.Digits) / metresInDegree
	return true, r.place(u, body)
}

// metresInDegree is a degree of latitude, for steps on a grid.
const metresInDegree = 111e3

// place takes over the point of a grid reference and checks that it lies in its zone and band.
func (r *Reading) place(u UTM, body string) error {
	if u.Zone < 1 || u.Zone > 60 {
		return &SyntaxError{Text: body, At: 0, Want: "a zone from 1 to 60"}
	}
	r.Point = u.Point()
	again, ok := ToUTM(r.Point)
	south := float64(strings.IndexByte(bands, u.Band))*8 + lowestLat
	// Squares on the edge of a band or a zone belong to both sides.
	const edge = 0.5 // degrees
	if !r.Point.Valid() || math.Abs(math.Remainder(r.Point.LonDeg-meridianOf(u.Zone), 360)) > 6+edge ||
		r.Point.LatDeg < south-edge || r.Point.LatDeg > south+12+edge {
		return &SyntaxError{Text: body, At: 0, Want: "numbers that lie in the zone and band named"}
	}
	if ok && (again.Zone != u.Zone || again.Band != u.Band) {
		r.Notes = append(r.Notes, fmt.Sprintf("the place lies in %d%c", again.Zone, again.Band))
	}
	return nil
}

// readMGRS reads the square's two letters and an even count of digits. The
// reference names a square; its middle is taken.
func (r *Reading) readMGRS(u UTM, body, rest string) (ok bool, err error) {
	column, row := upperCase(rest[0]), upperCase(rest[1])
	digits := strings.ReplaceAll(rest[2:], " ", "")
	if strings.Trim(digits, "0123456789") != "" {
		return false, nil
	}
	if len(digits)%2 != 0 || len(digits) > 10 {
		return true, &SyntaxError{Text: body, At: len(body), Want: "as many digits to the east as to the north, at most five each"}
	}
	if u.Zone < 1 || u.Zone > 60 {
		return true, &SyntaxError{Text: body, At: 0, Want: "a zone from 1 to 60"}
	}
	at := len(body) - len(rest)
	c, n := strings.IndexByte(columns[u.Zone%3], column), strings.IndexByte(rows, row)
	if c < 0 || n < 0 {
		return true, &SyntaxError{Text: body, At: at, Want: "a column of " + columns[u.Zone%3] + " and a row of " + rows}
	}
	half := len(digits) / 2
	cellM := squareM / math.Pow10(half)
	east, _ := strconv.ParseFloat("0"+digits[:half], 64)
	north, _ := strconv.ParseFloat("0"+digits[half:], 64)
	u.EastingM = float64(c+1)*squareM + (east+0.5)*cellM
	u.NorthingM = float64((n-rowOffset(u.Zone)+len(rows))%len(rows))*squareM + (north+0.5)*cellM
	u.NorthingM = nearestRow(u)
	r.Spelling, r.Digits = GridMGRS, half
	r.StepDeg = cellM / metresInDegree
	return true, r.place(u, body)
}

// nearestRow adds whole cycles of the twenty row letters until the square lies in its band.
func nearestRow(u UTM) float64 {
	const cycleM = 20 * squareM
	middle := float64(strings.IndexByte(bands, u.Band))*8 + lowestLat + 4
	want, _ := ToUTM(Point{LatDeg: middle, LonDeg: meridianOf(u.Zone)})
	return u.NorthingM + cycleM*math.Round((want.NorthingM-u.NorthingM)/cycleM)
}
