package explain

import (
	"fmt"
	"math"
	"strings"

	"firstfix/internal/earth/desk"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/wire/sms"
)

// maxPlaces is how many positions of one text are shown.
const maxPlaces = 10

// position reads a coordinate in any spelling, or a text with one in it.
func position(line string) (Explanation, int) {
	r, err := geo.Parse(line)
	if err == nil {
		e := Explanation{Kind: KindPosition, Title: "a position, as " + r.Spelling}
		placeFields(&e, r, line)
		return e, sure
	}
	found := geo.FindAll(line, maxPlaces)
	if len(found) == 0 {
		return Explanation{}, no
	}
	e := Explanation{Kind: KindPosition, Title: "a text with a position in it, as " + found[0].Spelling}
	for _, r := range found {
		placeFields(&e, r, line)
	}
	return e, maybe_
}

func placeFields(e *Explanation, r geo.Reading, line string) {
	lat := Field{Name: "latitude", Value: r.LatText, Meaning: fmt.Sprintf("%.6f degrees, %s", math.Abs(r.Point.LatDeg), side(r.Point.LatDeg, "north", "south")), At: offset(line, r.LatText, r.At)}
	lon := Field{Name: "longitude", Value: r.LonText, Meaning: fmt.Sprintf("%.6f degrees, %s", math.Abs(r.Point.LonDeg), side(r.Point.LonDeg, "east", "west")), At: offset(line, r.LonText, r.At)}
	if lat.At == lon.At && lon.At >= 0 {
		lon.At = offset(line, r.LonText, lat.At+len(r.LatText))
	}
	if strings.HasPrefix(r.Spelling, geo.GeoURISpelling) {
		lat.Clause, lon.Clause = "RFC 5870 3.4.2", "RFC 5870 3.4.2"
	}
	e.field(lat)
	e.field(lon)
	if r.HasAltitude {
		e.field(Field{Name: "altitude", Meaning: fmt.Sprintf("%.1f m", r.AltitudeM), At: -1})
	}
	if r.HasUncertainty {
		e.field(Field{Name: "uncertainty", Meaning: fmt.Sprintf("%.1f m", r.UncertaintyM), At: -1, Clause: "RFC 5870 3.4.3"})
	}
	for _, note := range r.Notes {
		e.hint("%s", note)
	}
	if !r.Point.Valid() {
		e.problem("latitude goes to 90 and longitude to 180 degrees: this is no place on earth, perhaps the two are swapped or degrees and minutes were taken for degrees")
		return
	}
	worth, known := desk.WorthOf(r)
	if known {
		e.field(Field{Name: "step", Meaning: fmt.Sprintf("the last digit is worth %s", geo.FormatMetres(math.Max(worth.LatM, worth.LonM))), At: -1})
	}
	spellings(e, r.Point, worth.LatM)
	doubts(e, r)
	if math.Abs(r.Point.LatDeg) < 1e-6 && math.Abs(r.Point.LonDeg) < 1e-6 {
		e.hint("0,0 lies in the sea off Africa: most often it means that no position was known")
	}
}

// spellingFields are the spellings that are shown, by the names they have here.
var spellingFields = []struct{ spelling, field string }{
	{"decimal degrees", "as degrees"}, {"geo: URI", "as geo URI"}, {"degrees and minutes", "as degrees and minutes"},
	{"degrees, minutes, seconds", "as seconds"}, {"sentence fields", "as in a sentence"}, {"UTM", "as UTM"}, {"MGRS", "as MGRS"},
}

// spellings writes the place in every other way.
func spellings(e *Explanation, p geo.Point, stepM float64) {
	list := desk.Spellings(p, stepM)
	for _, f := range spellingFields {
		for _, s := range list {
			if s.Name == f.spelling && s.Text != "" {
				e.field(Field{Name: f.field, Value: s.Text, Meaning: s.Says, At: -1, Clause: s.Source})
			}
		}
	}
}

// doubts says what else may have been meant, of what shows in the text itself: that a sign
// or an axis may be wrong is true of every coordinate.
func doubts(e *Explanation, r geo.Reading) {
	for _, d := range desk.Doubts(r, maybe.Value[geo.Point]{}) {
		switch d.Kind {
		case geo.MinutesAsDecimals, geo.ZerosLost, geo.NotConverted, geo.FractionAsSeconds:
			e.hint("%s", d.Says)
		}
	}
	if w, ok := desk.WorthOf(r); ok && w.Coarse {
		e.hint("%s", w.Says)
	}
}

func side(deg float64, positive, negative string) string {
	if deg < 0 {
		return negative
	}
	return positive
}

// offset finds where a part stands, from a place on; -1 when it is written otherwise.
func offset(line, part string, from int) int {
	if part == "" || from < 0 || from > len(line) {
		return -1
	}
	i := strings.Index(line[from:], part)
	if i < 0 {
		return -1
	}
	return from + i
}

// telephone reads a telephone number.
func telephone(line string) (Explanation, int) {
	digits := 0
	for _, c := range line {
		switch {
		case c >= '0' && c <= '9':
			digits++
		case !strings.ContainsRune("+ -()./", c):
			return Explanation{}, no
		}
	}
	if digits < 6 || digits > 15 || strings.LastIndexByte(line, '+') > 0 || strings.Contains(line, ".") {
		return Explanation{}, no
	}
	n := sms.ReadNumber(line)
	e := Explanation{Kind: KindNumber, Title: "a telephone number"}
	kind := "as dialled in one country (type 129)"
	if n.Type == 145 {
		kind = "international, country code first (type 145)"
	}
	e.field(Field{Name: "number", Value: line, Meaning: kind, Clause: "3GPP TS 27.005 3.1"})
	e.field(Field{Name: "for a command", Value: n.Normal, Meaning: "as +CMGS and +CSCA take it, in quotes", At: -1})
	for _, problem := range n.Problems {
		e.hint("%s", problem)
	}
	if strings.HasPrefix(line, "+") {
		return e, likely
	}
	return e, maybe_
}

// identity reads the bare digits that +CGSN, +CIMI and +CCID answer with.
func identity(line string) (Explanation, int) {
	digits := strings.TrimRight(line, "Ff")
	if len(digits) < 14 || len(digits) > 20 || strings.Trim(digits, "0123456789") != "" {
		return Explanation{}, no
	}
	e := Explanation{Kind: KindIdentity}
	whole := Field{Name: "digits", Value: line}
	switch n := len(digits); {
	case n >= 18 && strings.HasPrefix(digits, "89"):
		e.Title = "a card's serial number (ICCID)"
		whole.Meaning, whole.Clause = "89 stands for telecommunications, then country and issuer; the last digit is a check digit", "ITU-T E.118"
		if n >= 19 && !luhn(digits) && !luhn(digits[:19]) {
			e.hint("its check digit is not right; some issuers do not use one")
		}
	case n == 15 && luhn(digits):
		e.Title = "a device's serial number (IMEI)"
		whole.Meaning, whole.Clause = "8 digits of type, 6 of serial number, a check digit, which is right", "3GPP TS 23.003 6.2.1"
		e.hint("it could be a subscription's number (IMSI) by chance: one in ten has a right check digit")
	case n == 15:
		e.Title = "a subscription's number (IMSI)"
		whole.Meaning, whole.Clause = "country code "+digits[:3]+", then 2 or 3 digits of network, then the subscription", "3GPP TS 23.003 2.2"
		e.hint("as a device's serial number (IMEI) its check digit would be wrong")
	case n == 16:
		e.Title = "a device's serial number with software version (IMEISV)"
		whole.Meaning, whole.Clause = "8 digits of type, 6 of serial number, 2 of software version", "3GPP TS 23.003 6.2.2"
	default:
		return Explanation{}, no
	}
	e.field(whole)
	e.hint("such numbers belong to one device or person: do not publish them")
	return e, likely
}

// luhn checks the last digit: 3GPP TS 23.003 annex B, ISO/IEC 7812-1.
func luhn(digits string) bool {
	sum := 0
	for i := range len(digits) {
		d := int(digits[len(digits)-1-i] - '0')
		if i%2 == 1 {
			if d *= 2; d > 9 {
				d -= 9
			}
		}
		sum += d
	}
	return sum%10 == 0
}
