package geo

import (
	"math"
	"strconv"
	"strings"
)

// Marks says how degrees, minutes and seconds are told apart.
type Marks uint8

// The marks.
const (
	Blanks Marks = iota // "51 42.613 N": every alphabet has it, the one of short messages too
	Signs               // "51°42.613'N": the degree sign is not in the message alphabet (3GPP TS 23.038, clause 6.2.1)
)

// String writes the point in decimal degrees with six decimals, a step of 11 cm.
func (p Point) String() string { return FormatDecimal(p, 6) }

// FormatDecimal writes "51.710217,-0.307367". What rounds to zero has no sign.
func FormatDecimal(p Point, decimals int) string {
	b := make([]byte, 0, 32)
	b = AppendDecimal(b, p.LatDeg, decimals)
	b = append(b, ',')
	return string(AppendDecimal(b, p.LonDeg, decimals))
}

// AppendDecimal appends one coordinate in decimal degrees.
func AppendDecimal(b []byte, deg float64, decimals int) []byte {
	from := len(b)
	b = strconv.AppendFloat(b, deg, 'f', clampDecimals(decimals), 64)
	if b[from] == '-' && strings.Trim(string(b[from+1:]), "0.") == "" {
		b = append(b[:from], b[from+1:]...)
	}
	return b
}

func clampDecimals(n int) int { return min(max(n, 0), MaxDecimals) }

// FormatDM writes degrees and minutes: "51 42.613 N 0 18.442 W".
func FormatDM(p Point, decimals int, m Marks) string { return formatParts(p, decimals, 2, m) }

// FormatDMS writes degrees, minutes and seconds: "51 42 36.78 N 0 18 26.52 W".
func FormatDMS(p Point, decimals int, m Marks) string { return formatParts(p, decimals, 3, m) }

func formatParts(p Point, decimals, parts int, m Marks) string {
	b := make([]byte, 0, 48)
	b = appendParts(b, p.LatDeg, decimals, parts, m, "NS")
	b = append(b, ' ')
	return string(appendParts(b, p.LonDeg, decimals, parts, m, "EW"))
}

// sexagesimal rounds the whole angle to a step of the last part first and cuts
// it into parts then, so that 59 60.0 cannot happen.
func sexagesimal(deg float64, decimals, parts int) (whole, minutes, seconds, frac uint64, negative bool) {
	pow := uint64(powersOfTen[decimals])
	steps := powersOfTen[decimals] * 60
	if parts == 3 {
		steps *= 60
	}
	total := uint64(math.Round(math.Abs(deg) * steps))
	negative = deg < 0 && total > 0
	frac, total = total%pow, total/pow
	if parts == 3 {
		seconds, total = total%60, total/60
	}
	return total / 60, total % 60, seconds, frac, negative
}

func appendParts(b []byte, deg float64, decimals, parts int, m Marks, letters string) []byte {
	if math.IsNaN(deg) {
		return append(b, "not known"...)
	}
	decimals = clampDecimals(decimals)
	whole, minutes, seconds, frac, negative := sexagesimal(deg, decimals, parts)
	marks := [3]string{" ", "", ""}
	switch {
	case m == Signs:
		marks = [3]string{"\u00b0", "'", "\""}
	case parts == 3:
		marks[1] = " "
	}
	b = strconv.AppendUint(b, whole, 10)
	b = append(b, marks[0]...)
	b = appendPadded(b, minutes, 2)
	if parts == 3 {
		b = append(b, marks[1]...)
		b = appendPadded(b, seconds, 2)
	}
	if decimals > 0 {
		b = append(b, '.')
		b = appendPadded(b, frac, decimals)
	}
	if m == Signs {
		b = append(b, marks[parts-1]...)
	} else {
		b = append(b, ' ')
	}
	return append(b, letterOf(negative, letters))
}

func letterOf(negative bool, letters string) byte {
	if negative {
		return letters[1]
	}
	return letters[0]
}

// appendPadded appends n with leading zeros up to width.
func appendPadded(b []byte, n uint64, width int) []byte {
	for pow := powersOfTen[width-1]; pow > 1 && float64(n) < pow; pow /= 10 {
		b = append(b, '0')
	}
	return strconv.AppendUint(b, n, 10)
}

// FormatSentence writes the four fields of a GNSS sentence, with decimals of a
// minute: "5142.6130,N,00018.4420,W" (IEC 61162-1, field types l and a).
func FormatSentence(p Point, decimals int) string {
	return string(AppendSentence(make([]byte, 0, 40), p, decimals))
}

// AppendSentence is FormatSentence for a caller who has the room already.
func AppendSentence(b []byte, p Point, decimals int) []byte {
	b = appendField(b, p.LatDeg, decimals, 2, "NS")
	b = append(b, ',')
	return appendField(b, p.LonDeg, decimals, 3, "EW")
}

func appendField(b []byte, deg float64, decimals, width int, letters string) []byte {
	if math.IsNaN(deg) {
		return append(b, ',') // not known is empty
	}
	decimals = clampDecimals(decimals)
	whole, minutes, _, frac, negative := sexagesimal(deg, decimals, 2)
	b = appendPadded(b, whole, width)
	b = appendPadded(b, minutes, 2)
	if decimals > 0 {
		b = append(b, '.')
		b = appendPadded(b, frac, decimals)
	}
	return append(b, ',', letterOf(negative, letters))
}

// FormatGeoURI writes "geo:51.710217,-0.307367" (RFC 5870).
func FormatGeoURI(p Point, decimals int) string {
	u := URI{Point: p}
	return u.Format(decimals)
}

// Format writes the URI with so many decimals of a degree. At a pole the
// longitude is written as 0 (RFC 5870, clause 3.4.2).
func (u *URI) Format(decimals int) string {
	b := append(make([]byte, 0, 64), schemeGeo...)
	p := u.Point
	if math.Abs(p.LatDeg) == 90 && u.WGS84() {
		p.LonDeg = 0
	}
	b = AppendDecimal(b, p.LatDeg, decimals)
	b = append(b, ',')
	b = AppendDecimal(b, p.LonDeg, decimals)
	if u.HasAltitude {
		b = append(b, ',')
		b = strconv.AppendFloat(b, u.AltitudeM+0, 'f', -1, 64)
	}
	if u.CRS != "" {
		b = append(append(b, ";crs="...), u.CRS...)
	}
	if u.HasUncertainty {
		b = strconv.AppendFloat(append(b, ";u="...), math.Abs(u.UncertaintyM), 'f', -1, 64)
	}
	for _, param := range u.Params {
		b = append(append(b, ';'), param.Name...)
		if param.HasValue {
			b = appendParamValue(append(b, '='), param.Value)
		}
	}
	return string(b)
}

// appendParamValue escapes what the grammar of paramchar leaves out.
func appendParamValue(b []byte, value string) []byte {
	for i := range len(value) {
		c := value[i]
		if isDigit(c) || isLetter(c) || strings.IndexByte(paramMarks, c) >= 0 {
			b = append(b, c)
			continue
		}
		const hex = "0123456789ABCDEF"
		b = append(b, '%', hex[c>>4], hex[c&15])
	}
	return b
}
