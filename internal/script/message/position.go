package message

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"firstfix/internal/earth/geo"
	"firstfix/internal/wire/sms"
)

// A Fix is the position a text tells, and what goes with it. Texts that were not given
// are "": what is not known is never written as 0.
type Fix struct {
	Point       geo.Point
	AltitudeM   float64
	HasAltitude bool
}

// ParseFix reads "51.71022,-0.30737" or "51.71022,-0.30737,86": any spelling of a position
// that earth/geo reads, and an altitude in metres behind a further comma.
func ParseFix(text string) (Fix, error) {
	text = strings.TrimSpace(text)
	var f Fix
	if parts := strings.Split(text, ","); len(parts) == 3 && !strings.Contains(text, ":") {
		altM, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(parts[2]), "m"), 64)
		if err != nil || math.IsNaN(altM) || math.Abs(altM) > maxAltitudeM {
			return f, &OrderError{"fix", fmt.Sprintf("altitude %q", parts[2]), fmt.Sprintf("metres, at most %d up or down", maxAltitudeM)}
		}
		f.AltitudeM, f.HasAltitude = altM, true
		text = parts[0] + "," + parts[1]
	}
	r, err := geo.Parse(text)
	if err != nil {
		return f, err
	}
	if !r.Point.Valid() {
		return f, &OrderError{"fix", fmt.Sprintf("%q", text), "latitude -90 to 90, then longitude -180 to 180"}
	}
	f.Point = r.Point
	if r.HasAltitude {
		f.AltitudeM, f.HasAltitude = r.AltitudeM, true
	}
	if f.Point == (geo.Point{}) {
		return f, &OrderError{"fix", "0,0", "a position: 0,0 is what a receiver without a fix prints"}
	}
	return f, nil
}

// maxAltitudeM bounds an altitude: twice what an aeroplane flies, and below any place on earth.
const maxAltitudeM = 25000

// worstPoint takes the most characters in any spelling.
var worstPoint = geo.Point{LatDeg: -89.999999999, LonDeg: -179.999999999}

// worst is a point whose coordinates have as many figures as can be, with so many decimals:
// the nines are cut, so that they do not round up to 90 and 180.
func worst(decimals int) geo.Point {
	step := math.Pow(10, -float64(decimals))
	return geo.Point{LatDeg: worstPoint.LatDeg + step, LonDeg: worstPoint.LonDeg + step}
}

// Decimals is how many decimals of a degree a text needs so that the last one is not
// worth more than accuracyM: 5 for 1.2 m to 11 m, since 1e-5 degree is at most 1.12 m.
func Decimals(accuracyM float64) (int, error) {
	if math.IsNaN(accuracyM) || accuracyM < minAccuracyM || accuracyM > maxAccuracyM {
		return 0, &OrderError{"accuracy", fmt.Sprintf("%g m", accuracyM), fmt.Sprintf("%g m to %g km", float64(minAccuracyM), float64(maxAccuracyM)/1000)}
	}
	return geo.DecimalsFor(accuracyM), nil
}

// What a receiver can promise lies between these.
const (
	minAccuracyM = 0.001
	maxAccuracyM = 100_000
)

// A Form is one way to write a position in a text.
type Form struct {
	Name       string
	Sample     string // of the fix
	Worst      string // with the most characters it can have
	Units      int    // septets or 16-bit units of the worst
	Room       int    // units of one part: 160, or 70
	Fits       bool   // the worst fits into one part
	StepM      float64
	Recognised string // what the recipient's telephone makes of it
	Source     string
	Problems   []string
}

// A Design says how to write a position.
type Design struct {
	AccuracyM float64
	Decimals  int // of a degree
	Minutes   int // decimals of a minute
	StepLatM  float64
	StepLonM  float64 // at the latitude of the fix
	Steps     []Step
	Forms     []Form
	Template  *Filled
	Notes     []Note
}

// Step is what one decimal more is worth.
type Step struct {
	Decimals           int
	StepLatM, StepLonM float64
	WorstCharacters    int // of "lat,lon"
	Enough             bool
}

// Filled is the person's own template.
type Filled struct {
	Sample, Worst         string
	Parts, WorstParts     int
	Units, WorstUnits     int
	Room, WorstRoom       int
	Forcers               []Forcer
	FieldsUsed            []string
	LinksCut              []string // links of the worst case that a border between two texts would cut
	WorstCharactersToSave int
}

// DesignPosition says how to write a position of the given accuracy, at the place of
// the fix. web is the person's own link with {lat} and {lon}; "" for none. template is
// the person's own text; "" for none, filled with values.
func DesignPosition(f Fix, accuracyM float64, web, template string, values map[string]string) (*Design, error) {
	decimals, err := Decimals(accuracyM)
	if err != nil {
		return nil, err
	}
	d := &Design{AccuracyM: accuracyM, Decimals: decimals}
	for stepM := minuteM; stepM > accuracyM && d.Minutes < geo.MaxDecimals; stepM /= 10 {
		d.Minutes++
	}
	d.StepLatM, d.StepLonM = geo.ResolutionM(f.Point.LatDeg, decimals)
	for n := 1; n <= max(7, decimals); n++ {
		latM, lonM := geo.ResolutionM(f.Point.LatDeg, n)
		d.Steps = append(d.Steps, Step{n, latM, lonM, len(geo.FormatDecimal(worst(n), n)), n >= decimals})
	}
	var link geo.Template
	if web != "" {
		if link, err = geo.ParseTemplate(web); err != nil {
			return nil, err
		}
	}
	for _, w := range writings {
		if w.name == formWeb && web == "" {
			continue
		}
		d.Forms = append(d.Forms, w.form(f.Point, d, link))
	}
	if template != "" {
		if d.Template, err = fillBoth(template, f, d, web, values); err != nil {
			return nil, err
		}
	}
	d.Notes = append(d.Notes,
		Note{"whether a telephone makes a link of any of these is its own business: try it on the recipient's", practice},
		Note{"latitude first, then longitude, a point for the decimals, no degree sign, no blank inside a link", "RFC 5870 3.3, RFC 3986 2"},
		Note{CautionPrivate, ""}, Note{CautionAlarm, ""})
	return d, nil
}

// minuteM is one minute of latitude at the poles, where it is longest, in metres: WGS 84.
const minuteM = 1861.6

const formWeb = "web link"

// A writing is one row of the list of forms.
type writing struct {
	name       string
	write      func(p geo.Point, d *Design, link geo.Template) string
	minutes    bool
	recognised string
	source     string
}

var writings = []writing{
	{"plain degrees", func(p geo.Point, d *Design, _ geo.Template) string { return geo.FormatDecimal(p, d.Decimals) }, false,
		"mostly just text; many map programs find the place when it is copied into their search", practice},
	{"geo: URI", func(p geo.Point, d *Design, _ geo.Template) string { return geo.FormatGeoURI(p, d.Decimals) }, false,
		"a link on some telephones, which then offer a map program; plain text on others", "RFC 5870; " + practice},
	{"geo: URI with a label", func(p geo.Point, d *Design, _ geo.Template) string {
		return geo.FormatGeoURI(p, d.Decimals) + "?q=" + geo.FormatDecimal(p, d.Decimals)
	}, false, "as geo:, and map programs that know the question set a mark; the question is not in the RFC", practice},
	{formWeb, func(p geo.Point, d *Design, link geo.Template) string { return link.Link(p, d.Decimals) }, false,
		"a link on nearly every telephone that shows texts with links; some networks hold back texts with links", practice},
	{"degrees and minutes", func(p geo.Point, d *Design, _ geo.Template) string { return geo.FormatDM(p, d.Minutes, geo.Blanks) }, true,
		"text; as people on boats and with paper maps read it; map programs understand it when it is copied", practice},
	{"degrees and minutes with signs", func(p geo.Point, d *Design, _ geo.Template) string { return geo.FormatDM(p, d.Minutes, geo.Signs) }, true,
		"text; the degree sign is outside the default alphabet: 70 characters a part, or a blank in its place", "TS 23.038 6.2.1"},
}

// form fills one row.
func (w *writing) form(p geo.Point, d *Design, link geo.Template) Form {
	f := Form{Name: w.name, Sample: w.write(p, d, link), Recognised: w.recognised, Source: w.source}
	decimals := d.Decimals
	f.StepM = d.StepLatM
	if w.minutes {
		decimals = d.Minutes + 2 // a minute is less than 0.017 degrees
		f.StepM = d.StepLatM * math.Pow(10, float64(d.Decimals-d.Minutes)) / 60
	}
	f.Worst = w.write(worst(decimals), d, link)
	fit := sms.Measure(f.Worst)
	f.Units, f.Room, f.Fits = fit.Units, roomAlone(&fit), fit.Parts == 1
	f.Problems = linkProblems(f.Worst)
	return f
}

// linkEnd is what people write behind a link and telephones take into it.
var aLink = regexp.MustCompile(`(?i)\b(?:https?://|geo:)[^\s<>"]+`)

// linkProblems says what may go wrong with the links of a text.
func linkProblems(text string) []string {
	var found []string
	add := func(format string, a ...any) { found = append(found, fmt.Sprintf(format, a...)) }
	for _, at := range aLink.FindAllStringIndex(text, -1) {
		link := text[at[0]:at[1]]
		if last := link[len(link)-1]; strings.IndexByte(".,;:!?)'", last) >= 0 {
			add("the link ends with %q: some telephones take it into the link, some leave it out (%s); put a blank or a line break there", last, practice)
		}
		if strings.ContainsAny(link, otherInGSM) {
			add("the link holds one of @ $ _ [ ] { } ~ | ^: these have other codes in the default alphabet and are typed wrongly more often (TS 23.038 6.2.1)")
		}
		if strings.HasPrefix(strings.ToLower(link), "http://") {
			add("http:// is unprotected: anybody on the way reads the position; https:// costs one character more")
		}
		if at[0] > 0 && !strings.ContainsRune(" \n(", rune(text[at[0]-1])) {
			add("no blank stands before the link: telephones may not see where it begins (%s)", practice)
		}
		for _, r := range link {
			if r >= 0x80 {
				add("%q does not belong in a link (RFC 3986 2): the telephone may cut it there", r)
				break
			}
		}
	}
	return found
}
