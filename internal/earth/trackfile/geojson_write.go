package trackfile

import (
	"encoding/json"
	"io"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
)

// geoJSONWriter writes GeoJSON (RFC 7946): one feature for each unbroken piece, a line, or
// a point where there is only one. RFC 7946 has no times: they are in the property "times",
// one for each position, as documented in docs/formats/track.md. The third number of
// a position is the height above the ellipsoid (3.1.1), so it is only there when the altitude
// and the height of the geoid are both known.
type geoJSONWriter struct {
	out       *out
	name      string
	piece     []gjPoint
	lead      gjPoint
	continued bool
	features  int
	line      []byte
}

type gjPoint struct {
	at      geo.Point
	heightM float64
	high    bool
	utc     time.Time
	dated   bool
	edge    bool // no sighting: where the line was cut
}

func newGeoJSON(w io.Writer, name string) *geoJSONWriter {
	g := &geoJSONWriter{out: newOut(w), name: name}
	g.out.text(`{"type":"FeatureCollection","features":[`)
	return g
}

func (g *geoJSONWriter) Write(j *track.Judged) error {
	p, ok := j.Point.Get()
	if !j.Kept() || !ok {
		return g.out.err
	}
	if j.Gap != "" {
		g.flush(false)
	} else if len(g.piece) >= maxPiece {
		g.flush(true)
	}
	q := gjPoint{at: p}
	q.heightM, q.high = j.EllipsoidM().Get()
	q.utc, q.dated = j.UTC.Get()
	g.piece = append(g.piece, q)
	return g.out.err
}

// parts cuts the piece at the 180th meridian.
func (g *geoJSONWriter) parts() (parts [][]gjPoint) {
	all := g.piece
	if g.continued {
		all = append([]gjPoint{g.lead}, all...)
	}
	from := 0
	var part []gjPoint
	for i := range all {
		if i > 0 {
			if c, ok := cutAt(all[i-1].at, all[i].at); ok {
				edge := gjPoint{at: geo.Point{LatDeg: c.lat, LonDeg: c.before}, edge: true}
				part = append(append(part, all[from:i]...), edge)
				parts = append(parts, part)
				edge.at.LonDeg = -c.before
				part, from = []gjPoint{edge}, i
			}
		}
	}
	return append(parts, append(part, all[from:]...))
}

func (g *geoJSONWriter) flush(goes bool) {
	if len(g.piece) == 0 {
		return
	}
	parts := g.parts()
	b := g.line[:0]
	if g.features > 0 {
		b = append(b, ',')
	}
	g.features++
	b = append(b, "\n"+`{"type":"Feature","properties":{`...)
	if g.name != "" {
		name, _ := json.Marshal(g.name)
		b = append(append(append(b, `"name":`...), name...), ',')
	}
	if g.continued {
		b = append(b, `"continues":true,`...)
	}
	b = appendTimes(b, parts)
	b = append(b, `},"geometry":`...)
	switch {
	case len(parts) > 1:
		b = append(b, `{"type":"MultiLineString","coordinates":[`...)
		for i, part := range parts {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendPositions(b, part)
		}
		b = append(b, ']')
	case len(parts[0]) == 1:
		b = append(b, `{"type":"Point","coordinates":`...)
		b = appendPosition(b, &parts[0][0])
	default:
		b = append(b, `{"type":"LineString","coordinates":`...)
		b = appendPositions(b, parts[0])
	}
	b = append(b, "}}"...)
	g.out.bytes(b)
	g.line = b
	g.lead, g.continued = g.piece[len(g.piece)-1], goes
	g.piece = g.piece[:0]
}

// appendTimes writes one time for each position, null for those without: also for the
// places where the line was cut, which "edges" counts off by their number from 0.
func appendTimes(b []byte, parts [][]gjPoint) []byte {
	b = append(b, `"times":[`...)
	var edges []byte
	n := 0
	for _, part := range parts {
		for i := range part {
			if n > 0 {
				b = append(b, ',')
			}
			switch p := &part[i]; {
			case p.edge:
				if edges != nil {
					edges = append(edges, ',')
				}
				edges = appendNumber(edges, float64(n))
				b = append(b, "null"...)
			case !p.dated:
				b = append(b, "null"...)
			default:
				b = append(b, '"')
				b = appendTime(b, p.utc)
				b = append(b, '"')
			}
			n++
		}
	}
	b = append(b, ']')
	if edges != nil {
		b = append(append(append(b, `,"edges":[`...), edges...), ']')
	}
	return b
}

func appendPositions(b []byte, part []gjPoint) []byte {
	b = append(b, '[')
	for i := range part {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendPosition(b, &part[i])
	}
	return append(b, ']')
}

func appendPosition(b []byte, p *gjPoint) []byte {
	b = append(b, '[')
	b = appendDegrees(b, p.at.LonDeg)
	b = append(b, ',')
	b = appendDegrees(b, p.at.LatDeg)
	if p.high {
		b = append(b, ',')
		b = appendNumber(b, p.heightM)
	}
	return append(b, ']')
}

func (g *geoJSONWriter) Close() error {
	g.flush(false)
	g.out.text("\n]}\n")
	return g.out.close()
}
