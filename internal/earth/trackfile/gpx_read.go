package trackfile

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

// maxSide is how many waypoints and route points are held until the file shows whether it
// has a track: without one they are what it tells.
const maxSide = 100_000

// gpxReader reads GPX 1.1, and 1.0, which has speed and course beside the time.
type gpxReader struct {
	name   string
	d      *xml.Decoder
	grain  grain
	notes  notes
	number int

	path    []string
	text    strings.Builder
	current track.Sighting
	inPoint bool
	breaks  bool

	tracks bool
	side   []track.Sighting // waypoints and route points
	lost   int              // of them beyond maxSide
	next   int              // of side, at the end
	ended  error
}

// NewGPX returns a reader of GPX.
func NewGPX(r io.Reader, name string) track.Source {
	return &gpxReader{name: name, d: newXML(r)}
}

func newXML(r io.Reader) *xml.Decoder {
	d := xml.NewDecoder(r)
	d.Strict = false // an unknown entity costs no file
	d.CharsetReader = func(charset string, input io.Reader) (io.Reader, error) {
		switch strings.ToLower(charset) {
		case "utf-8", "us-ascii", "ascii":
			return input, nil
		case "iso-8859-1", "latin1", "windows-1252":
			return &latin1{r: input}, nil
		}
		return nil, fmt.Errorf("its encoding is %q: UTF-8, US-ASCII and ISO-8859-1 are read", charset)
	}
	return d
}

// latin1 turns ISO 8859-1 into UTF-8: every byte is the character of its number.
type latin1 struct {
	r       io.Reader
	pending [1]byte
	held    bool
}

func (l *latin1) Read(b []byte) (n int, err error) {
	if len(b) == 0 {
		return 0, nil
	}
	if l.held {
		b[0], l.held = l.pending[0], false
		return 1, nil
	}
	half := make([]byte, max(1, len(b)/2))
	k, err := l.r.Read(half)
	for _, c := range half[:k] {
		text := string(rune(c))
		had := copy(b[n:], text)
		if n += had; had < len(text) { // a buffer of one byte
			l.pending[0], l.held = text[1], true
		}
	}
	return n, err
}

func (g *gpxReader) About() track.About {
	a := track.About{File: g.name, Kind: "GPX", Assumed: g.notes.list}
	if n := len(g.side) + g.lost; n > 0 && g.tracks {
		a.Passed = append(a.Passed, count(n, "waypoint or route point", "waypoints and route points")+": the file has a track")
	} else if g.lost > 0 {
		a.Passed = append(a.Passed, count(g.lost, "point", "points")+": more than "+strconv.Itoa(maxSide)+" waypoints")
	}
	return a
}

func (g *gpxReader) Next(s *track.Sighting) error {
	for g.ended == nil {
		token, err := g.d.Token()
		if err != nil {
			g.ended = xmlEnd(g.d, g.name, err, len(g.path))
			break
		}
		switch t := token.(type) {
		case xml.StartElement:
			g.start(&t)
		case xml.CharData:
			if g.inPoint && g.text.Len() < maxText {
				g.text.Write(t)
			}
		case xml.EndElement:
			if g.end() {
				*s = g.current
				return nil
			}
		}
	}
	if !g.tracks && g.next < len(g.side) {
		*s = g.side[g.next]
		g.next++
		return nil
	}
	return g.ended
}

// xmlEnd tells the end of a document from a broken one.
func xmlEnd(d *xml.Decoder, name string, err error, open int) error {
	if err == io.EOF && open == 0 {
		return io.EOF
	}
	line, _ := d.InputPos()
	if err == io.EOF {
		return fmt.Errorf("trackfile: %s: the file ends at line %d within an element: what came before it was read", name, line)
	}
	return fmt.Errorf("trackfile: %s: from line %d on it cannot be read: %w", name, line, err)
}

// maxDepth bounds how deep elements may be nested: a GPX file needs six.
const maxDepth = 64

func (g *gpxReader) start(t *xml.StartElement) {
	g.path = append(g.path, t.Name.Local)
	if len(g.path) > maxDepth {
		line, _ := g.d.InputPos()
		g.ended = fmt.Errorf("trackfile: %s: line %d: elements are nested more than %d deep", g.name, line, maxDepth)
		return
	}
	g.text.Reset()
	switch t.Name.Local {
	case "trkseg", "rte":
		g.breaks = true
	case "trkpt", "wpt", "rtept":
		line, _ := g.d.InputPos()
		g.number++
		g.inPoint = true
		g.current = track.Sighting{From: track.Origin{File: g.name, Line: line, Record: g.number, What: gpxWords[t.Name.Local]}}
		g.current.Valid = true
		var lat, lon string
		for _, a := range t.Attr {
			switch a.Name.Local {
			case "lat":
				lat = a.Value
			case "lon":
				lon = a.Value
			}
		}
		g.grain.point(&g.current, lat, lon)
	}
}

var gpxWords = map[string]string{"trkpt": "track point", "wpt": "waypoint", "rtept": "route point"}

// end closes an element; true: a track point is complete.
func (g *gpxReader) end() bool {
	if len(g.path) == 0 {
		return false
	}
	name := g.path[len(g.path)-1]
	g.path = g.path[:len(g.path)-1]
	if !g.inPoint {
		return false
	}
	switch name {
	case "trkpt":
		g.inPoint, g.tracks = false, true
		g.current.Break, g.breaks = g.breaks, false
		return true
	case "wpt", "rtept":
		g.inPoint = false
		if len(g.side) < maxSide {
			g.current.Break, g.breaks = g.breaks && name == "rtept", false
			g.side = append(g.side, g.current)
		} else {
			g.lost++
		}
		return false
	}
	g.field(name, strings.TrimSpace(g.text.String()))
	g.text.Reset()
	return false
}

// field reads one child of a point (GPX 1.1, wptType). To add one, add a case.
func (g *gpxReader) field(name, text string) {
	s := &g.current
	switch name {
	case "time":
		t, zoneless, ok := xmlTime(text)
		if ok {
			s.UTC = maybe.Known(t)
		} else if text != "" {
			g.notes.add("times that are none were passed over, the first is " + quote(text))
		}
		if zoneless {
			g.notes.add(zonelessTaken)
		}
	case "ele":
		s.AltitudeM = known(text)
	case "geoidheight":
		s.GeoidM = known(text)
	case "speed":
		s.SpeedMPS = known(text)
	case "course":
		s.CourseDeg = known(text)
	case "hdop":
		s.HDOP = known(text)
	case "vdop":
		s.VDOP = known(text)
	case "pdop":
		s.PDOP = known(text)
	case "sat":
		if n, err := strconv.Atoi(text); err == nil && n >= 0 {
			s.SatellitesUsed = maybe.Known(n)
		}
	case "fix":
		g.fix(text)
	}
}

// fix: GPX 1.1, fixType.
func (g *gpxReader) fix(text string) {
	s := &g.current
	switch text {
	case "none":
		s.Valid, s.Void, s.Dimensions = false, "the file says that there was no fix", maybe.Known(1)
	case "2d":
		s.Dimensions = maybe.Known(2)
	case "3d":
		s.Dimensions = maybe.Known(3)
	case "dgps":
		s.Mode = "differential"
	case "pps":
		s.Mode = "precise"
	}
}
