package geo

import (
	"fmt"
	"strings"
)

// Reading is a position found in a text, and how it was written.
type Reading struct {
	Point Point // as the writer seems to mean it; check [Point.Valid]: a swapped pair stays out of range

	AltitudeM      float64 // means something only with HasAltitude
	HasAltitude    bool
	UncertaintyM   float64 // means something only with HasUncertainty
	HasUncertainty bool

	Spelling         string   // one of the Spelling words
	LatText, LonText string   // as written, with its letter
	At, Len          int      // where it stands in the text
	Digits           int      // decimals of the last part, of the coordinate that has fewer
	StepDeg          float64  // what one step of the last digit is worth, of the coarser coordinate
	Notes            []string // what was odd about the writing
}

// The spellings.
const (
	DecimalDegrees = "decimal degrees"
	DegreesMinutes = "degrees and minutes"
	DegreesSeconds = "degrees, minutes and seconds"
	SentenceFields = "sentence fields"
	GeoURISpelling = "geo URI"
	WebLink        = "web link"
	GridUTM        = "UTM grid"
	GridMGRS       = "MGRS grid"
)

// A SyntaxError says where a text stopped being a position, and what would have fitted.
type SyntaxError struct {
	Text string
	At   int    // offset of the first byte that does not fit
	Want string // what would have fitted there
}

func (e *SyntaxError) Error() string {
	const enough = 60 // of the text, around the place
	from := max(0, e.At-enough/2)
	to := min(len(e.Text), from+enough)
	return fmt.Sprintf("geo: byte %d of %q: want %s", e.At, e.Text[from:to], e.Want)
}

// maxParse is the longest text that Parse looks at: a long web link.
const maxParse = 4096

// Parse reads a text that is one position, in any spelling. With an error the
// Reading holds what could be read; its Point is only good without one.
func Parse(text string) (Reading, error) {
	start := len(text) - len(strings.TrimLeft(text, " \t\r\n([{\""))
	body := strings.TrimRight(text[start:], " \t\r\n")
	if body == "" {
		return Reading{}, &SyntaxError{Text: text, At: start, Want: "a position"}
	}
	if len(body) > maxParse {
		return Reading{}, &SyntaxError{Text: text, At: maxParse, Want: fmt.Sprintf("a position in at most %d bytes", maxParse)}
	}
	r, err := parse(body)
	r.At += start
	if syntax, ok := err.(*SyntaxError); ok {
		return r, &SyntaxError{Text: text, At: syntax.At + start, Want: syntax.Want}
	}
	return r, err
}

func parse(body string) (Reading, error) {
	if hasSchemeGeo(body) {
		return parseGeoReading(body)
	}
	if r, ok, err := parseGrid(body); ok {
		return r, err
	}
	if strings.Contains(body, "://") {
		return parseLink(body)
	}
	s := scanner{text: body}
	var partial Reading
	for _, layout := range layouts {
		s.comma = layout.comma
		p, end, ok := layout.read(&s, layout.parts)
		if !ok {
			continue
		}
		if rest := s.blanks(end); rest < len(body) && strings.Trim(body[rest:], " ).;,/\"'}]") != "" {
			s.miss(rest, "the end")
			if partial.Spelling == "" {
				partial = p.reading(body)
			}
			continue
		}
		r := p.reading(body)
		if p.wrong != "" {
			return r, &SyntaxError{Text: body, At: p.wrongAt, Want: p.wrong}
		}
		return r, nil
	}
	if s.far == 0 {
		s.want = "a latitude and a longitude, such as 51.7102,-0.3073 or 51 42.613 N 0 18.442 W"
	}
	return partial, &SyntaxError{Text: body, At: s.far, Want: s.want}
}

// layouts are the ways to cut a text into two coordinates, the strict ones first.
var layouts = []struct {
	read  func(s *scanner, parts int) (pair, int, bool)
	parts int
	comma bool
}{
	{(*scanner).wholePair, 1, false},
	{(*scanner).wholePair, 2, false},
	{(*scanner).wholePair, 3, false},
	{(*scanner).wholePair, free, false},
	{(*scanner).wholeSentenceFields, free, false},
	{(*scanner).wholeLabelled, free, false},
	{(*scanner).wholePair, 1, true},
	{(*scanner).wholePair, 2, true},
	{(*scanner).wholePair, 3, true},
	{(*scanner).wholePair, free, true},
	{(*scanner).wholeLabelled, free, true},
}

func (s *scanner) wholeSentenceFields(int) (pair, int, bool) { return s.sentenceAt(0) }

func (s *scanner) wholePair(parts int) (pair, int, bool) { return s.pairAt(0, parts) }

func (s *scanner) wholeLabelled(int) (pair, int, bool) { return s.labelledAt(0) }

// parseLink reads a web link that holds exactly one position.
func parseLink(body string) (Reading, error) {
	found := FindAll(body, 2)
	switch {
	case len(found) == 1 && found[0].Point.Valid():
		return found[0], nil
	case len(found) == 1:
		return found[0], &SyntaxError{Text: body, At: found[0].At, Want: "latitude first, at most 90, then longitude"}
	case len(found) > 1:
		return found[0], &SyntaxError{Text: body, At: found[1].At, Want: "one position only"}
	}
	return Reading{}, &SyntaxError{Text: body, At: 0, Want: "a latitude and a longitude in the link"}
}
