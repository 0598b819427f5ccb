package geo

import (
	"math"
	"strconv"
	"strings"
)

// URI is a geo: URI, RFC 5870.
type URI struct {
	Point          Point // means something only with WGS84
	AltitudeM      float64
	HasAltitude    bool
	UncertaintyM   float64
	HasUncertainty bool
	CRS            string // as written; "" for none, which means wgs84
	Params         []Param
	Query          string // after "?": not in the RFC, but written by programs

	latText, lonText, altText, uncText string
	end                                int
}

// Param is a further parameter of a geo: URI. Its value is percent-decoded.
type Param struct {
	Name, Value string
	HasValue    bool
}

// WGS84 says that the numbers are latitude, longitude and metres on WGS-84: no
// other reference system is registered (RFC 5870, clause 8.2).
func (u *URI) WGS84() bool { return u.CRS == "" || strings.EqualFold(u.CRS, "wgs84") }

const schemeGeo = "geo:"

func hasSchemeGeo(s string) bool {
	return len(s) >= len(schemeGeo) && strings.EqualFold(s[:len(schemeGeo)], schemeGeo)
}

// ParseGeoURI reads a geo: URI (RFC 5870, clause 3.3).
func ParseGeoURI(text string) (URI, error) {
	u, err := geoURIAt(text)
	if err == nil && u.end != len(text) {
		err = &SyntaxError{Text: text, At: u.end, Want: "\";\" and a parameter, or the end"}
	}
	return u, err
}

// geoURIAt reads as much of text as is a geo: URI; u.end says how much.
func geoURIAt(text string) (u URI, err error) {
	if !hasSchemeGeo(text) {
		return u, &SyntaxError{Text: text, At: 0, Want: "\"geo:\""}
	}
	i := len(schemeGeo)
	miss := func(at int, want string) (URI, error) {
		return u, &SyntaxError{Text: text, At: at, Want: want}
	}
	var end int
	if u.latText, end = plainNumber(text, i, true); u.latText == "" {
		return miss(i, "a latitude: digits with a decimal point, \"-\" for south")
	}
	latAt := i
	if end >= len(text) || text[end] != ',' {
		return miss(end, "a comma before the longitude")
	}
	i = end + 1
	if u.lonText, end = plainNumber(text, i, true); u.lonText == "" {
		return miss(i, "a longitude: digits with a decimal point, \"-\" for west")
	}
	lonAt := i
	if end < len(text) && text[end] == ',' {
		if u.altText, i = plainNumber(text, end+1, true); u.altText != "" {
			end = i
		}
	}
	u.end = end
	u.params(text)
	u.Point.LatDeg, _ = strconv.ParseFloat(u.latText, 64)
	u.Point.LonDeg, _ = strconv.ParseFloat(u.lonText, 64)
	u.AltitudeM, u.HasAltitude = optional(u.altText)
	u.UncertaintyM, u.HasUncertainty = optional(u.uncText)
	// Ranges: clause 3.4.2.
	switch {
	case !u.WGS84():
	case math.Abs(u.Point.LatDeg) > 90:
		return miss(latAt, "a latitude of at most 90 degrees")
	case math.Abs(u.Point.LonDeg) > 180:
		return miss(lonAt, "a longitude of at most 180 degrees")
	}
	return u, nil
}

func optional(text string) (v float64, known bool) {
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}

// plainNumber reads num, or pnum without a sign: [-] digits [ . digits ].
func plainNumber(text string, i int, sign bool) (number string, end int) {
	start := i
	if sign && i < len(text) && text[i] == '-' {
		i++
	}
	digits := i
	for i < len(text) && isDigit(text[i]) {
		i++
	}
	if i == digits || i-digits > maxFracDigits {
		return "", start
	}
	if i+1 < len(text) && text[i] == '.' && isDigit(text[i+1]) {
		for i++; i < len(text) && isDigit(text[i]); i++ {
		}
	}
	return text[start:i], i
}

// maxParams bounds the further parameters that are kept; no registered one
// needs more than a few, and a message has no room for more.
const maxParams = 16

// params reads ";name=value" as long as it fits. crs and u stand first, by the grammar.
func (u *URI) params(text string) {
	for u.end < len(text) && text[u.end] == ';' && len(u.Params) < maxParams {
		i := u.end + 1
		nameEnd := i
		for nameEnd < len(text) && (isDigit(text[nameEnd]) || isLetter(text[nameEnd]) || text[nameEnd] == '-') {
			nameEnd++
		}
		if nameEnd == i {
			return
		}
		name, value, hasValue := text[i:nameEnd], "", false
		end := nameEnd
		if end < len(text) && text[end] == '=' {
			value, end = paramValue(text, nameEnd+1)
			if hasValue = end > nameEnd+1; !hasValue {
				return
			}
		}
		switch {
		case strings.EqualFold(name, "crs"):
			u.CRS = value
		case strings.EqualFold(name, "u"):
			number, numberEnd := plainNumber(text, nameEnd+1, false)
			if number == "" {
				return
			}
			u.uncText, end = number, numberEnd
		default:
			u.Params = append(u.Params, Param{Name: name, Value: value, HasValue: hasValue})
		}
		u.end = end
	}
	if u.end < len(text) && text[u.end] == '?' {
		end := u.end + 1
		for end < len(text) && text[end] > ' ' && text[end] < 0x7f {
			end++
		}
		u.Query, u.end = text[u.end+1:end], end
	}
}

// paramMarks are the signs that stand for themselves in a value: mark and
// p-unreserved of clause 3.3.
const paramMarks = "-_.!~*'()[]:&+$"

// paramValue reads pvalue and decodes its percent escapes.
func paramValue(text string, i int) (value string, end int) {
	var b strings.Builder
	for i < len(text) {
		c := text[i]
		switch {
		case isDigit(c) || isLetter(c) || strings.IndexByte(paramMarks, c) >= 0:
			b.WriteByte(c)
			i++
		case c == '%' && i+2 < len(text):
			v, err := strconv.ParseUint(text[i+1:i+3], 16, 8)
			if err != nil {
				return b.String(), i
			}
			b.WriteByte(byte(v))
			i += 3
		default:
			return b.String(), i
		}
	}
	return b.String(), i
}

// Sameness is what comparing two geo: URIs can tell.
type Sameness uint8

// The answers of [CompareGeoURI].
const (
	Undefined Sameness = iota // the RFC does not say: a parameter of unknown meaning differs
	Same
	Different
)

// CompareGeoURI compares two geo: URIs by the rules of RFC 5870, clause 3.4.4:
// numbers by value, names in either case, values decoded, all longitudes of a
// pole alike, 180 west as 180 east.
func CompareGeoURI(a, b string) (Sameness, error) {
	ua, err := ParseGeoURI(a)
	if err != nil {
		return Undefined, err
	}
	ub, err := ParseGeoURI(b)
	if err != nil {
		return Undefined, err
	}
	return ua.compare(&ub), nil
}

func (u *URI) compare(o *URI) Sameness {
	if u.WGS84() != o.WGS84() || !u.WGS84() && !strings.EqualFold(u.CRS, o.CRS) {
		return Different
	}
	sameLon := sameNumber(u.lonText, o.lonText)
	if u.WGS84() {
		pole := math.Abs(u.Point.LatDeg) == 90
		dateLine := math.Abs(u.Point.LonDeg) == 180 && math.Abs(o.Point.LonDeg) == 180
		sameLon = sameLon || pole || dateLine
	}
	if !sameLon || !sameNumber(u.latText, o.latText) || !sameNumber(u.altText, o.altText) ||
		!sameNumber(u.uncText, o.uncText) {
		return Different
	}
	if len(u.Params) != len(o.Params) || u.Query != o.Query {
		return Undefined
	}
	for _, p := range u.Params {
		if !o.holds(p) {
			return Undefined
		}
	}
	return Same
}

func (u *URI) holds(p Param) bool {
	for _, q := range u.Params {
		if strings.EqualFold(p.Name, q.Name) && p.Value == q.Value && p.HasValue == q.HasValue {
			return true
		}
	}
	return false
}

// sameNumber compares digits, so that a number longer than a float's is not
// rounded: leading zeros and trailing zeros of the fraction do not count, nor the sign of zero.
func sameNumber(a, b string) bool { return canonical(a) == canonical(b) && (a == "") == (b == "") }

func canonical(s string) string {
	minus := strings.HasPrefix(s, "-")
	s = strings.TrimLeft(strings.TrimPrefix(s, "-"), "0")
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if minus && s != "" {
		return "-" + s
	}
	return s
}

// parseGeoReading reads a text that is a geo: URI.
func parseGeoReading(body string) (Reading, error) {
	u, err := ParseGeoURI(body)
	r := u.reading(body)
	if err == nil && !u.WGS84() {
		err = &SyntaxError{Text: body, At: strings.IndexByte(body, ';') + 1, Want: "crs=wgs84: no other one is registered"}
	}
	return r, err
}

func (u *URI) reading(text string) Reading {
	r := Reading{
		Point: u.Point, AltitudeM: u.AltitudeM, HasAltitude: u.HasAltitude,
		UncertaintyM: u.UncertaintyM, HasUncertainty: u.HasUncertainty,
		Spelling: GeoURISpelling, LatText: u.latText, LonText: u.lonText, Len: u.end,
		Digits: min(decimalsOf(u.latText), decimalsOf(u.lonText)),
	}
	r.StepDeg = math.Pow10(-r.Digits)
	if u.Query != "" {
		r.Notes = append(r.Notes, "a query is not part of a geo: URI (RFC 5870, clause 3.3)")
	}
	return r
}

// decimalsOf counts the digits behind the point.
func decimalsOf(number string) int {
	_, frac, _ := strings.Cut(number, ".")
	return len(frac)
}
