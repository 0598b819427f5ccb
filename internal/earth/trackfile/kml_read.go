package trackfile

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"time"

	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

// kmlReader reads KML 2.2 (OGC 07-147r2): points with their time stamps, lines, and the
// tracks of KML 2.3 with a time for each position.
type kmlReader struct {
	name  string
	d     *xml.Decoder
	grain grain
	notes notes

	path   []string
	text   strings.Builder
	number int

	place  kmlPlace
	ready  []track.Sighting
	next   int
	areas  int  // polygons passed over
	ours   int  // lines passed over that only repeat points
	broken bool // our writer began a new piece
	ended  error
}

// kmlPlace is the placemark being read.
type kmlPlace struct {
	utc      maybe.Value[time.Time]
	absolute bool     // altitudes are above the sea, 9.20
	geometry string   // "Point", "LineString", "Track"; "" outside
	area     int      // inside so many polygons
	whens    []string // of a track, not yet paired
	coords   []string
	breaks   bool
	line     bool // a line that repeats the points beside it
	data     string
}

// maxUnpaired bounds the times of one track that wait for their positions.
const maxUnpaired = 1_000_000

// lineMark is how our writer marks a line whose positions stand beside it with their times.
const (
	lineMark   = "line of the points beside it"
	lineGoesOn = "line of the points beside it, continued"
)

// NewKML returns a reader of KML.
func NewKML(r io.Reader, name string) track.Source { return &kmlReader{name: name, d: newXML(r)} }

func (k *kmlReader) About() track.About {
	a := track.About{File: k.name, Kind: "KML", Assumed: k.notes.list}
	if k.areas > 0 {
		a.Passed = append(a.Passed, count(k.areas, "area", "areas")+": an outline is no track")
	}
	if k.ours > 0 {
		a.Passed = append(a.Passed, count(k.ours, "line", "lines")+" that only repeat the points beside them")
	}
	return a
}

func (k *kmlReader) Next(s *track.Sighting) error {
	for {
		if k.next < len(k.ready) {
			*s = k.ready[k.next]
			k.next++
			return nil
		}
		k.ready, k.next = k.ready[:0], 0
		if k.ended != nil {
			return k.ended
		}
		token, err := k.d.Token()
		if err != nil {
			k.ended = xmlEnd(k.d, k.name, err, len(k.path))
			continue
		}
		switch t := token.(type) {
		case xml.StartElement:
			k.start(t.Name.Local, &t)
		case xml.CharData:
			if k.wanted() {
				k.text.Write(t)
			}
		case xml.EndElement:
			k.end()
		}
	}
}

// wanted keeps the text of few elements: descriptions may be long.
func (k *kmlReader) wanted() bool {
	if len(k.path) == 0 {
		return false
	}
	switch k.path[len(k.path)-1] {
	case "coordinates", "coord":
		return true
	case "when", "begin", "altitudeMode", "value":
		return k.text.Len() < maxText
	}
	return false
}

func (k *kmlReader) start(name string, t *xml.StartElement) {
	k.path = append(k.path, name)
	if len(k.path) > maxDepth {
		k.ended = fmt.Errorf("trackfile: %s: line %d: elements are nested more than %d deep", k.name, k.line(), maxDepth)
		return
	}
	k.text.Reset()
	p := &k.place
	switch name {
	case "Placemark":
		*p = kmlPlace{}
	case "Data":
		p.data = ""
		for _, a := range t.Attr {
			if a.Name.Local == "name" {
				p.data = a.Value
			}
		}
	case "Point", "LineString", "LinearRing":
		p.geometry, p.breaks, p.absolute = name, true, false
	case "Track":
		p.geometry, p.breaks, p.absolute = name, true, false
		p.whens, p.coords = p.whens[:0], p.coords[:0]
	case "Polygon":
		p.area++
	}
}

func (k *kmlReader) line() int {
	line, _ := k.d.InputPos()
	return line
}

func (k *kmlReader) end() {
	if len(k.path) == 0 {
		return
	}
	name := k.path[len(k.path)-1]
	k.path = k.path[:len(k.path)-1]
	text := k.text.String()
	k.text.Reset()
	p := &k.place
	switch name {
	case "value":
		if mark := strings.TrimSpace(text); p.data == "firstfix" && (mark == lineMark || mark == lineGoesOn) {
			p.line = true
			k.broken = k.broken || mark == lineMark
			k.ours++
		}
	case "altitudeMode":
		p.absolute = strings.TrimSpace(text) == "absolute"
	case "when", "begin":
		if p.geometry == "Track" {
			if len(p.whens) < maxUnpaired {
				p.whens = append(p.whens, strings.TrimSpace(text))
			}
			k.pair()
			return
		}
		p.utc = k.time(text)
	case "coord":
		if len(p.coords) < maxUnpaired {
			p.coords = append(p.coords, text)
		}
		k.pair()
	case "coordinates":
		k.coordinates(text)
	case "Track":
		k.rest()
		p.geometry = ""
	case "Point", "LineString", "LinearRing":
		p.geometry = ""
	case "Polygon":
		p.area--
		k.areas++
	}
}

func (k *kmlReader) time(text string) (utc maybe.Value[time.Time]) {
	text = strings.TrimSpace(text)
	t, zoneless, ok := xmlTime(text)
	if !ok {
		// 9.24: a year, a month or a day alone are times too, and too coarse for a track.
		if text != "" {
			k.notes.add("times that are none, or only days, were passed over, the first is " + quote(text))
		}
		return utc
	}
	if zoneless {
		k.notes.add(zonelessTaken)
	}
	return maybe.Known(t)
}

// pair joins the times and positions of a track: the first with the first (KML 2.3, Track).
func (k *kmlReader) pair() {
	p := &k.place
	n := min(len(p.whens), len(p.coords))
	for i := range n {
		k.emit(strings.Fields(p.coords[i]), k.time(p.whens[i]))
	}
	p.whens = p.whens[:copy(p.whens, p.whens[n:])]
	p.coords = p.coords[:copy(p.coords, p.coords[n:])]
}

// rest emits positions that have no time.
func (k *kmlReader) rest() {
	p := &k.place
	for _, c := range p.coords {
		k.emit(strings.Fields(c), maybe.Value[time.Time]{})
	}
	p.whens, p.coords = p.whens[:0], p.coords[:0]
}

// coordinates reads tuples of longitude, latitude and perhaps altitude, with commas in
// them and blanks between (9.1.3.2).
func (k *kmlReader) coordinates(text string) {
	p := &k.place
	switch {
	case p.area > 0 || p.geometry == "" || p.line:
		return
	}
	for text != "" {
		text = strings.TrimLeft(text, " \t\r\n")
		end := strings.IndexAny(text, " \t\r\n")
		if end < 0 {
			end = len(text)
		}
		if tuple := text[:end]; tuple != "" {
			k.emit(strings.Split(tuple, ","), p.utc)
		}
		text = text[end:]
	}
}

func (k *kmlReader) emit(tuple []string, utc maybe.Value[time.Time]) {
	p := &k.place
	k.number++
	s := track.Sighting{From: track.Origin{File: k.name, Line: k.line(), Record: k.number, What: kmlWords[p.geometry]}}
	s.Valid, s.UTC = true, utc
	if p.geometry != "Point" {
		s.Break, p.breaks = p.breaks, false
	} else {
		s.Break, k.broken = k.broken, false
	}
	if len(tuple) < 2 || len(tuple) > 3 {
		s.Odd = "its coordinates are " + quote(strings.Join(tuple, ",")) + ": want longitude,latitude"
	} else {
		k.grain.point(&s, tuple[1], tuple[0])
		if len(tuple) == 3 && p.absolute {
			s.AltitudeM = known(tuple[2])
		}
	}
	k.ready = append(k.ready, s)
}

var kmlWords = map[string]string{"Point": "point", "LineString": "line point", "LinearRing": "line point", "Track": "track point"}
