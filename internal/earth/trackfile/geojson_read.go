package trackfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

// geoJSONReader reads GeoJSON (RFC 7946), and several such texts one after the other (RFC
// 8142 without its mark). It walks over the tokens and holds one feature.
type geoJSONReader struct {
	name  string
	d     *json.Decoder
	lines *lineCounter
	grain grain
	notes notes
	areas int

	stack   []gjFrame
	feature gjFeature
	ready   []track.Sighting
	next    int
	number  int
	ended   error
}

// gjRole says what a value is.
type gjRole uint8

const (
	gjSkip       gjRole = iota // nothing that is read here
	gjThing                    // a GeoJSON object
	gjThings                   // an array of them
	gjPositions                // coordinates
	gjProperties               // the members of a feature
	gjTimes                    // an array of times
	gjEdges                    // an array of numbers of positions
)

// gjFrame is an open object or array.
type gjFrame struct {
	role   gjRole
	object bool
	key    string // the member being read; "" when a key is next
	keyed  bool
	kind   string // of a thing: its type
	from   int    // of a thing: the first of its positions in the feature
	depth  int    // of coordinates
}

// gjFeature is what is held of one feature.
type gjFeature struct {
	level     int // of the frame it is; -1: none
	positions []track.Sighting
	tuple     []json.Number
	inTuple   bool
	breaks    bool
	times     []string
	edges     []int
	single    string // time
	continued bool
	speedMPS  maybe.Value[float64]
	courseDeg maybe.Value[float64]
}

const (
	// maxFeature bounds the positions and times held of one feature.
	maxFeature = 1_000_000
	maxNumbers = 16 // of one position: two or three are meant
)

// NewGeoJSON returns a reader of GeoJSON.
func NewGeoJSON(r io.Reader, name string) track.Source {
	l := &lineCounter{r: r}
	d := json.NewDecoder(l)
	d.UseNumber()
	return &geoJSONReader{name: name, d: d, lines: l, feature: gjFeature{level: -1}}
}

func (g *geoJSONReader) About() track.About {
	a := track.About{File: g.name, Kind: "GeoJSON", Assumed: g.notes.list}
	if g.areas > 0 {
		a.Passed = append(a.Passed, count(g.areas, "area", "areas")+": an outline is no track")
	}
	return a
}

func (g *geoJSONReader) Next(s *track.Sighting) error {
	for {
		if g.next < len(g.ready) {
			*s = g.ready[g.next]
			g.next++
			return nil
		}
		g.ready, g.next = g.ready[:0], 0
		if g.ended != nil {
			return g.ended
		}
		token, err := g.d.Token()
		if err != nil {
			g.fail(err)
			continue
		}
		g.take(token)
	}
}

func (g *geoJSONReader) line() int { return g.lines.at(g.d.InputOffset()) }

func (g *geoJSONReader) fail(err error) {
	switch {
	case err == io.EOF && len(g.stack) == 0:
		g.ended = io.EOF
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		g.finish() // what is there of the feature stands
		g.ended = fmt.Errorf("trackfile: %s: the file ends at line %d within a value: what came before it was read", g.name, g.line())
	default:
		g.finish()
		g.ended = fmt.Errorf("trackfile: %s: from line %d on it cannot be read: %w", g.name, g.line(), err)
	}
}

func (g *geoJSONReader) top() *gjFrame {
	if len(g.stack) == 0 {
		return &gjFrame{role: gjThings}
	}
	return &g.stack[len(g.stack)-1]
}

func (g *geoJSONReader) take(token json.Token) {
	top := g.top()
	switch t := token.(type) {
	case json.Delim:
		switch t {
		case '{', '[':
			g.open(top, t == '{')
		default:
			g.close()
		}
	case string:
		if top.object && !top.keyed {
			top.key, top.keyed = t, true
			return
		}
		g.text(top, t)
		top.keyed = false
	case json.Number:
		g.numeral(top, t)
		top.keyed = false
	default: // true, false, null
		g.word(top, t)
		top.keyed = false
	}
}

// open begins an object or array: the role follows from where it stands.
func (g *geoJSONReader) open(top *gjFrame, object bool) {
	if len(g.stack) >= maxDepth {
		g.ended = fmt.Errorf("trackfile: %s: line %d: values are nested more than %d deep", g.name, g.line(), maxDepth)
		return
	}
	f := gjFrame{object: object, from: len(g.feature.positions)}
	switch top.role {
	case gjThings:
		if object {
			f.role = gjThing
		}
	case gjThing:
		f.role = gjMember(top.key, object)
		if f.role == gjPositions {
			f.depth = 1
			g.feature.breaks = true
		}
	case gjPositions:
		if !object {
			f.role, f.depth = gjPositions, top.depth+1
		}
	case gjProperties:
		switch {
		case object:
		case top.key == "times":
			f.role = gjTimes
		case top.key == "edges":
			f.role = gjEdges
		}
	}
	top.keyed = false
	g.stack = append(g.stack, f)
	if f.role == gjPositions {
		g.feature.tuple, g.feature.inTuple = g.feature.tuple[:0], true
	}
}

// gjMember is the role of a member of a GeoJSON object (RFC 7946, 3, 3.2, 3.3).
func gjMember(key string, object bool) gjRole {
	switch {
	case object && key == "geometry":
		return gjThing
	case object && key == "properties":
		return gjProperties
	case !object && (key == "features" || key == "geometries"):
		return gjThings
	case !object && key == "coordinates":
		return gjPositions
	}
	return gjSkip
}

func (g *geoJSONReader) text(top *gjFrame, t string) {
	f := &g.feature
	switch top.role {
	case gjThing:
		if top.key == "type" {
			if top.kind = t; t == "Feature" {
				f.level = len(g.stack) - 1
			}
		}
	case gjProperties:
		switch top.key {
		case "time", "timestamp", "when":
			f.single = t
		}
	case gjTimes:
		if len(f.times) < maxFeature {
			f.times = append(f.times, t)
		}
	case gjPositions:
		f.tuple = append(f.tuple, json.Number(t)) // "12.5" in quotes is no number: it will be told
	}
}

func (g *geoJSONReader) numeral(top *gjFrame, n json.Number) {
	f := &g.feature
	switch top.role {
	case gjPositions:
		if len(f.tuple) < maxNumbers {
			f.tuple = append(f.tuple, n)
		}
	case gjEdges:
		if i, err := strconv.Atoi(n.String()); err == nil && len(f.edges) < maxFeature {
			f.edges = append(f.edges, i)
		}
	case gjProperties:
		switch top.key {
		case "speed_mps":
			f.speedMPS = known(n.String())
		case "course_deg":
			f.courseDeg = known(n.String())
		}
	}
}

func (g *geoJSONReader) word(top *gjFrame, t json.Token) {
	switch {
	case top.role == gjTimes && t == nil && len(g.feature.times) < maxFeature:
		g.feature.times = append(g.feature.times, "")
	case top.role == gjProperties && top.key == "continues":
		g.feature.continued = t == true
	}
}

// close ends an object or array.
func (g *geoJSONReader) close() {
	if len(g.stack) == 0 {
		return
	}
	f := g.stack[len(g.stack)-1]
	g.stack = g.stack[:len(g.stack)-1]
	switch f.role {
	case gjPositions:
		if g.feature.inTuple && (len(g.feature.tuple) > 0 || f.depth > 1) {
			g.position()
		} else if f.depth > 1 {
			g.feature.breaks = true // the next line or ring
		}
		g.feature.inTuple = false
	case gjThing:
		g.thing(&f)
	}
}

// position takes the numbers read last as one (3.1.1): longitude, latitude, height.
func (g *geoJSONReader) position() {
	f := &g.feature
	g.number++
	s := track.Sighting{From: track.Origin{File: g.name, Line: g.line(), Record: g.number, What: "position"}}
	s.Valid = true
	s.Break, f.breaks = f.breaks, false
	if len(f.tuple) < 2 {
		s.Odd = fmt.Sprintf("a position of %s: want longitude and latitude", count(len(f.tuple), "number", "numbers"))
	} else {
		g.grain.point(&s, f.tuple[1].String(), f.tuple[0].String())
		if len(f.tuple) > 2 {
			if h := known(f.tuple[2].String()); h.IsKnown() {
				// It is above the ellipsoid: the altitude above the sea is not known.
				s.HeightM = h
			}
		}
	}
	if len(f.positions) >= maxFeature {
		g.ended = fmt.Errorf("trackfile: %s: line %d: one feature has more than %d positions: cut it", g.name, s.From.Line, maxFeature)
		g.finish()
		return
	}
	f.positions = append(f.positions, s)
}

// thing ends a GeoJSON object.
func (g *geoJSONReader) thing(f *gjFrame) {
	switch f.kind {
	case "Polygon", "MultiPolygon":
		g.areas++
		g.feature.positions = g.feature.positions[:f.from]
	case "Point", "MultiPoint":
		for i := range g.feature.positions[f.from:] {
			g.feature.positions[f.from+i].Break = false
		}
	case "LineString", "MultiLineString", "GeometryCollection", "FeatureCollection", "Feature":
	default:
		g.notes.add("objects of the type " + quote(f.kind) + " are not in RFC 7946: their positions were passed over")
		g.feature.positions = g.feature.positions[:min(f.from, len(g.feature.positions))]
	}
	if g.feature.level == len(g.stack) || len(g.stack) == 0 {
		g.finish()
	}
}

// finish makes the held feature ready, with the times of its properties.
func (g *geoJSONReader) finish() {
	f := &g.feature
	g.prune(f)
	for i := range f.positions {
		s := &f.positions[i]
		text := f.single
		if i < len(f.times) {
			text = f.times[i]
		}
		if text != "" {
			s.UTC = g.time(text)
		}
		s.SpeedMPS, s.CourseDeg = f.speedMPS, f.courseDeg
		g.ready = append(g.ready, *s)
	}
	*f = gjFeature{level: -1, positions: f.positions[:0], tuple: f.tuple[:0], times: f.times[:0], edges: f.edges[:0]}
}

// prune takes out what our writer added: the places where a line was cut at the 180th
// meridian, and the repeated beginning of a line that goes on.
func (g *geoJSONReader) prune(f *gjFeature) {
	if len(f.edges) == 0 && !f.continued {
		return
	}
	kept, times, edges := f.positions[:0], f.times[:0], f.edges
	all := f.times
	for i := range f.positions {
		for len(edges) > 0 && edges[0] < i {
			edges = edges[1:]
		}
		p, _ := f.positions[i].Point.Get()
		edge := len(edges) > 0 && edges[0] == i && (p.LonDeg == 180 || p.LonDeg == -180)
		if edge || i == 0 && f.continued {
			continue
		}
		kept = append(kept, f.positions[i])
		if i < len(all) {
			times = append(times, all[i])
		}
	}
	f.positions, f.times = kept, times
}

func (g *geoJSONReader) time(text string) (utc maybe.Value[time.Time]) {
	t, zoneless, ok := xmlTime(text)
	if !ok {
		g.notes.add("times that are none were passed over, the first is " + quote(text))
		return utc
	}
	if zoneless {
		g.notes.add(zonelessTaken)
	}
	return maybe.Known(t)
}
