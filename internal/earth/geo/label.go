package geo

import "strings"

// labels are the names people and programs write before a coordinate. Longer
// ones stand before those they begin with. Common practice, no source.
var labels = []struct {
	word string
	axis byte
}{
	{"latitude", 'N'}, {"mlat", 'N'}, {"lat", 'N'},
	{"longitude", 'E'}, {"mlon", 'E'}, {"long", 'E'}, {"lng", 'E'}, {"lon", 'E'},
}

// labelAt reads a label and what joins it to its number: `lat=`, `"lat":`, `Lat: `.
func (s *scanner) labelAt(i int) (axis byte, next int) {
	if isLetter(s.byteAt(i - 1)) {
		return 0, i
	}
	for _, l := range labels {
		end := i + len(l.word)
		if end > len(s.text) || !strings.EqualFold(s.text[i:end], l.word) || isLetter(s.byteAt(end)) {
			continue
		}
		return l.axis, s.joint(end)
	}
	return 0, i
}

// joint skips the signs between a label and its number.
func (s *scanner) joint(i int) int {
	for range maxBlanks {
		i = s.blanks(i)
		switch c := s.byteAt(i); {
		case c == ':' || c == '=' || c == '"' || c == '\'' || c == '.':
			i++
		case strings.HasPrefix(s.text[min(i, len(s.text)):], "%3D"):
			i += 3
		default:
			return i
		}
	}
	return i
}

// labelledAt reads two coordinates that say their names: "Lat: 51.7 Lon: -0.3",
// "lat=51.7&lon=-0.3", {"lat":51.7,"lon":-0.3}.
func (s *scanner) labelledAt(i int) (p pair, end int, ok bool) {
	axis1, next := s.labelAt(i)
	if axis1 == 0 {
		return p, i, s.miss(i, "lat or lon")
	}
	a, ok := s.angleAt(next, free)
	if !ok {
		return p, i, false
	}
	k := a.end
	for n := 0; n < 2*maxBlanks && strings.IndexByte(" \t\r\n,;&\"'|/", s.byteAt(k)) >= 0 && k < len(s.text); n++ {
		k++
	}
	axis2, next := s.labelAt(k)
	if axis2 == 0 || axis2 == axis1 {
		return p, i, s.miss(k, "the name of the other coordinate")
	}
	b, ok := s.angleAt(next, free)
	if !ok {
		return p, i, false
	}
	if a.axis() != 0 && a.axis() != axis1 || b.axis() != 0 && b.axis() != axis2 {
		return p, i, s.miss(b.end, "letters that agree with the names")
	}
	p.labelled, p.gap = true, s.text[a.end:k]
	p.lat, p.lon = a, b
	if axis1 == 'E' {
		p.lat, p.lon, p.lonFirst = b, a, true
	}
	p.work()
	p.end = b.end
	return p, b.end, true
}
