package geo

import (
	"fmt"
	"strings"
)

// pair is two coordinates that stand together.
type pair struct {
	lat, lon angle
	end      int
	lonFirst bool
	labelled bool
	sentence bool   // letters stand in fields of their own
	gap      string // what stands between the two
	wrong    string // what would have fitted at wrongAt; "" when all is in range
	wrongAt  int
	latDeg   float64
	lonDeg   float64
	altM     float64
	hasAlt   bool
}

// pairAt reads two coordinates at i.
func (s *scanner) pairAt(i, parts int) (p pair, end int, ok bool) {
	a, ok := s.angleAt(i, parts)
	if !ok {
		return p, i, false
	}
	next, gap, ok := s.gapAt(a.end)
	if !ok {
		return p, i, s.miss(a.end, "a comma or a blank before the second number")
	}
	b, ok := s.angleAt(next, parts)
	if !ok {
		return p, i, false
	}
	if gap == "" && !(a.hemisphere != 0 || b.hemisphere != 0 && b.start < b.part[0].start || a.part[0].signed && b.part[0].signed) {
		return p, i, s.miss(next, "a comma or a blank before the second number")
	}
	// Two commas in a row cannot be both: the gap must differ from the decimal mark.
	if s.comma && gap == "," && s.byteAt(a.end+1) != ' ' && !(a.part[0].comma && b.part[0].comma) {
		return p, i, s.miss(a.end, "a semicolon between numbers with decimal commas")
	}
	p.gap = gap
	if end, ok = s.join(&p, a, b); !ok {
		return p, i, false
	}
	if gap == "" && s.isoTail(&p, b.end) {
		end = p.end
	}
	return p, end, true
}

// gapAt reads what may stand between two coordinates.
func (s *scanner) gapAt(i int) (next int, gap string, ok bool) {
	k := s.blanks(i)
	hard := 0
	switch c := s.byteAt(k); {
	case c == ',' || c == ';' || c == '/' || c == '|':
		hard = 1
	case c == '%' && (strings.HasPrefix(s.text[k:], "%2C") || strings.HasPrefix(s.text[k:], "%2c")):
		hard = 3
	case c == '\n' || c == '\r':
		hard = 1
		if strings.HasPrefix(s.text[k:], "\r\n") {
			hard = 2
		}
	}
	if hard == 0 {
		if k > i {
			return k, " ", true
		}
		return i, "", true
	}
	next = s.blanks(k + hard)
	if s.byteAt(next) == '+' && !isDigit(s.byteAt(next+1)) && hard > 0 {
		next = s.blanks(next + 1) // "+" is a blank in the query of a link
	}
	if s.byteAt(k) == '%' {
		return next, ",", true
	}
	return next, s.text[k : k+1], true
}

// join decides which of two coordinates is the latitude and works both out.
func (s *scanner) join(p *pair, a, b angle) (end int, ok bool) {
	if a.axis() != 0 && a.axis() == b.axis() {
		return 0, s.miss(b.end, "a letter of the other axis")
	}
	p.lat, p.lon = a, b
	if a.axis() == 'E' || b.axis() == 'N' {
		p.lat, p.lon, p.lonFirst = b, a, true
	}
	p.work()
	p.end = b.end
	return b.end, true
}

// work turns both coordinates into degrees.
func (p *pair) work() {
	p.wrong = ""
	if t := max(p.lat.runTogether(true), p.lon.runTogether(false)); t > 0 && p.lat.parts == 1 && p.lon.parts == 1 {
		p.lat.together, p.lon.together = t, t
	} else if p.sentence && (p.lat.part[0].value > 90 || p.lon.part[0].value > 180) {
		p.lat.together, p.lon.together = 2, 2 // leading zeros were lost on the way
	}
	var wrongLat, wrongLon string
	p.latDeg, wrongLat = p.lat.degrees(true)
	p.lonDeg, wrongLon = p.lon.degrees(false)
	if wrongLon != "" {
		p.wrong, p.wrongAt = wrongLon, p.lon.start
	}
	if wrongLat != "" {
		p.wrong, p.wrongAt = wrongLat, p.lat.start
	}
}

// isoTail reads the height and the closing stroke of ISO 6709: "+51.7-000.3+87/".
func (s *scanner) isoTail(p *pair, i int) bool {
	if n, ok := s.numberAt(i); ok && n.signed {
		p.altM, p.hasAlt = n.value, true
		if n.minus {
			p.altM = -p.altM
		}
		i = n.end
	}
	if s.byteAt(i) != '/' {
		p.hasAlt = false
		return false
	}
	p.end = i + 1
	return true
}

// sentenceAt reads a position as it stands in a sentence, the letters in fields
// of their own: "5142.6130,N,00018.4420,W" (IEC 61162-1, fields of type l and a).
func (s *scanner) sentenceAt(i int) (p pair, end int, ok bool) {
	var both [2]angle
	end = i
	for k := range both {
		n, ok := s.numberAt(end)
		if !ok {
			return p, i, false
		}
		comma := s.blanks(n.end)
		letter, after := s.hemisphereAt(s.blanks(comma + 1))
		if s.byteAt(comma) != ',' || letter == 0 {
			return p, i, s.miss(n.end, "a comma and a letter N, S, E or W")
		}
		both[k] = angle{start: end, end: after, hemisphere: letter, parts: 1}
		both[k].part[0] = n
		end = after
		if k == 0 {
			if s.byteAt(s.blanks(after)) != ',' {
				return p, i, s.miss(after, "a comma")
			}
			end = s.blanks(s.blanks(after) + 1)
		}
	}
	if both[0].axis() == both[1].axis() {
		return p, i, s.miss(both[1].end-1, "a letter of the other axis")
	}
	p.sentence, p.gap = true, ","
	end, ok = s.join(&p, both[0], both[1])
	return p, end, ok
}

// spelling names the way the pair is written.
func (p *pair) spelling() string {
	_, _, _, latParts := p.lat.split()
	_, _, _, lonParts := p.lon.split()
	switch max(latParts, lonParts) {
	case 1:
		return DecimalDegrees
	case 2:
		if p.sentence {
			return SentenceFields
		}
		return DegreesMinutes
	}
	return DegreesSeconds
}

// reading makes the reading of a pair in text.
func (p *pair) reading(text string) Reading {
	start := min(p.lat.start, p.lon.start)
	r := Reading{
		Point:    Point{LatDeg: p.latDeg, LonDeg: p.lonDeg},
		Spelling: p.spelling(),
		LatText:  text[p.lat.start:p.lat.end], LonText: text[p.lon.start:p.lon.end],
		At: start, Len: p.end - start,
		Digits:      min(p.lat.part[p.lat.parts-1].decimals, p.lon.part[p.lon.parts-1].decimals),
		StepDeg:     max(p.lat.stepDeg(), p.lon.stepDeg()),
		AltitudeM:   p.altM,
		HasAltitude: p.hasAlt,
	}
	note := func(format string, args ...any) { r.Notes = append(r.Notes, fmt.Sprintf(format, args...)) }
	if p.lonFirst {
		note("longitude stands first")
	}
	if p.lat.part[0].comma || p.lon.part[0].comma || p.lat.part[p.lat.parts-1].comma {
		note("decimal comma: other programs read a separator there")
	}
	for _, a := range []*angle{&p.lat, &p.lon} {
		if a.hemisphere != 0 && a.part[0].minus {
			note("both a minus sign and the letter %c", a.hemisphere)
		}
	}
	if (p.lat.hemisphere == 0) != (p.lon.hemisphere == 0) {
		note("only one of the two has a letter")
	}
	if t := p.lat.together; t > 0 && (p.lat.part[0].intDigits != 2*t || p.lon.part[0].intDigits != 2*t+1) {
		note("leading zeros are missing: %d and %d digits belong before the point", 2*t, 2*t+1)
	}
	if p.wrong != "" {
		note("out of range: want %s", p.wrong)
	}
	return r
}
