// Package desk takes a coordinate apart: the place in every spelling, and what else its
// writer may have meant, with the error in metres.
//
// # What it promises
//
// Every spelling is written with as many digits as the one given was worth, and never
// fewer than a metre needs. A doubt is a known way to spoil a coordinate, turned round: the
// place that would have been meant, and how far off it is. Only what is certain says so.
//
// # What it leaves to others
//
// Reading and writing the spellings, and comparing with a true place to the last digit, is
// the work of earth/geo.
//
// # Where to start
//
// Read [Spellings], then the list in doubts.go.
package desk

import (
	"math"

	"firstfix/internal/earth/geo"
)

// A Spelling is one way to write a place.
type Spelling struct {
	Name   string  `json:"name"`
	Text   string  `json:"text"` // "" where the place has none
	StepM  float64 `json:"step_m"`
	Says   string  `json:"says"`
	Source string  `json:"source"`
}

// metresInDegree is a degree of latitude, for counting digits.
const metresInDegree = 111e3

// alike: a step of 0.19 m (a ten-thousandth of a minute) stands for one of 0.11 m (a
// millionth of a degree), as everywhere where the two are exchanged.
const alike = 1.7

// decimalsFor is how many decimals of a unit are worth at most stepM, between low and high.
func decimalsFor(unitM, stepM float64, low, high int) int {
	n := low
	for n < high && unitM*math.Pow10(-n) > stepM*alike {
		n++
	}
	return n
}

// Spellings returns a place in every spelling. stepM is what the last digit given was
// worth; 0: not known.
func Spellings(p geo.Point, stepM float64) []Spelling {
	if !p.Valid() {
		return nil
	}
	fine := 0.11 // a millionth of a degree
	if stepM > 0 {
		fine = min(stepM, 1)
	}
	degrees := decimalsFor(metresInDegree, fine, 5, 8)
	minutes := decimalsFor(metresInDegree/60, fine, 3, 6)
	seconds := decimalsFor(metresInDegree/3600, fine, 1, 4)
	list := []Spelling{
		{"decimal degrees", geo.FormatDecimal(p, degrees), metresInDegree * math.Pow10(-degrees), "latitude, longitude; south and west are negative", ""},
		{"degrees and minutes", geo.FormatDM(p, minutes, geo.Blanks), metresInDegree / 60 * math.Pow10(-minutes), "as charts and receivers count; every character is in the alphabet of short messages", "3GPP TS 23.038, 6.2.1"},
		{"with signs", geo.FormatDM(p, minutes, geo.Signs), metresInDegree / 60 * math.Pow10(-minutes), "the degree sign is not in the alphabet of short messages", ""},
		{"degrees, minutes, seconds", geo.FormatDMS(p, seconds, geo.Blanks), metresInDegree / 3600 * math.Pow10(-seconds), "as surveyors count", ""},
		{"sentence fields", geo.FormatSentence(p, max(4, minutes)), metresInDegree / 60 * math.Pow10(-max(4, minutes)), "degrees and minutes run together: 5142.6130 is 51 degrees 42.6130 minutes", "IEC 61162-1, field types l and a"},
		{"geo: URI", geo.FormatGeoURI(p, degrees), metresInDegree * math.Pow10(-degrees), "opens a map on most telephones", "RFC 5870"},
	}
	const grid = "NGA.SIG.0012 (from memory)"
	utm := Spelling{Name: "UTM", StepM: 1, Says: "zone and band, metres east and north", Source: grid}
	mgrs := Spelling{Name: "MGRS", StepM: 1, Says: "the square of one metre that it lies in", Source: grid}
	if u, ok := geo.ToUTM(p); ok {
		utm.Text = u.String()
		mgrs.Text, _ = geo.FormatMGRS(p, 5)
	} else {
		utm.Says = "the grid ends at 80 south and 84 north"
		mgrs.Says = utm.Says
	}
	return append(list, utm, mgrs)
}
