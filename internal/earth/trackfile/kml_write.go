package trackfile

import (
	"encoding/xml"
	"io"
	"strconv"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
)

// kmlWriter writes KML 2.2 (OGC 07-147r2): a folder for each unbroken piece, in it the line,
// and the points with their times. KML 2.2 has times for whole placemarks only, so a line
// cannot carry them. The order of the elements is that of the schema.
type kmlWriter struct {
	out    *out
	piece  []kmlPoint
	folder int
	line   []byte

	lead      kmlPoint // where the line of the last folder ended
	continued bool     // and goes on
}

type kmlPoint struct {
	lat, lon  float64
	altitudeM float64
	high      bool
	utc       time.Time
	dated     bool
}

// maxPiece bounds what is held of one piece: the next folder begins with the point at
// which the last one ended, in its line only.
const maxPiece = 10_000

func newKML(w io.Writer, name string) *kmlWriter {
	k := &kmlWriter{out: newOut(w)}
	k.out.text(xml.Header, `<kml xmlns="http://www.opengis.net/kml/2.2">`, "\n<Document>\n")
	if name != "" {
		k.out.text("<name>", escapeXML(name), "</name>\n")
	}
	// Colours are alpha, blue, green, red (12.2.3.2).
	k.out.text(`<Style id="way"><LineStyle><color>ffb06a1f</color><width>3</width></LineStyle></Style>`, "\n",
		`<Style id="fix"><IconStyle><scale>0.4</scale></IconStyle></Style>`, "\n")
	return k
}

func (k *kmlWriter) Write(j *track.Judged) error {
	p, ok := j.Point.Get()
	if !j.Kept() || !ok {
		return k.out.err
	}
	if j.Gap != "" {
		k.flush(false)
	} else if len(k.piece) >= maxPiece {
		k.flush(true)
	}
	q := kmlPoint{lat: p.LatDeg, lon: p.LonDeg}
	q.altitudeM, q.high = j.AltitudeM.Get()
	q.utc, q.dated = j.UTC.Get()
	k.piece = append(k.piece, q)
	return k.out.err
}

// flush writes a folder. goes says that the line goes on in the next one.
func (k *kmlWriter) flush(goes bool) {
	if len(k.piece) == 0 {
		return
	}
	k.folder++
	k.out.text("<Folder>\n<name>piece ", strconv.Itoa(k.folder), "</name>\n")
	if len(k.piece) > 1 || k.continued {
		k.way()
	}
	for i := range k.piece {
		k.point(&k.piece[i])
	}
	k.out.text("</Folder>\n")
	k.lead, k.continued = k.piece[len(k.piece)-1], goes
	k.piece = k.piece[:0]
}

func (k *kmlWriter) way() {
	first, last := &k.piece[0], &k.piece[len(k.piece)-1]
	mark := lineMark
	if k.continued {
		mark = lineGoesOn
	}
	b := append(k.line[:0], "<Placemark>\n<name>way</name>\n"...)
	if first.dated && last.dated && !last.utc.Before(first.utc) {
		b = append(b, "<TimeSpan><begin>"...)
		b = appendTime(b, first.utc)
		b = append(b, "</begin><end>"...)
		b = appendTime(b, last.utc)
		b = append(b, "</end></TimeSpan>\n"...)
	}
	b = append(b, "<styleUrl>#way</styleUrl>\n<ExtendedData><Data name=\"firstfix\"><value>"+mark+"</value></Data></ExtendedData>\n"...)
	const begin, end = "<LineString><tessellate>1</tessellate><coordinates>\n", "</coordinates></LineString>\n"
	b = append(b, "<MultiGeometry>\n"+begin...)
	tuple := func(lat, lon float64) {
		b = appendDegrees(b, lon)
		b = append(b, ',')
		b = appendDegrees(b, lat)
		b = append(b, '\n')
	}
	from := first
	if k.continued {
		from = &k.lead
		tuple(from.lat, from.lon)
	}
	for i := range k.piece {
		p := &k.piece[i]
		if cut, ok := cutAt(geo.Point{LatDeg: from.lat, LonDeg: from.lon}, geo.Point{LatDeg: p.lat, LonDeg: p.lon}); ok {
			tuple(cut.lat, cut.before)
			b = append(b, end+begin...)
			tuple(cut.lat, -cut.before)
		}
		tuple(p.lat, p.lon)
		from = p
	}
	b = append(b, end+"</MultiGeometry>\n</Placemark>\n"...)
	k.out.bytes(b)
	k.line = b
}

func (k *kmlWriter) point(p *kmlPoint) {
	b := append(k.line[:0], "<Placemark>"...)
	if p.dated {
		b = append(b, "<TimeStamp><when>"...)
		b = appendTime(b, p.utc)
		b = append(b, "</when></TimeStamp>"...)
	}
	b = append(b, "<styleUrl>#fix</styleUrl><Point>"...)
	if p.high {
		b = append(b, "<altitudeMode>absolute</altitudeMode>"...)
	}
	b = append(b, "<coordinates>"...)
	b = appendDegrees(b, p.lon)
	b = append(b, ',')
	b = appendDegrees(b, p.lat)
	if p.high {
		b = append(b, ',')
		b = appendNumber(b, p.altitudeM)
	}
	b = append(b, "</coordinates></Point></Placemark>\n"...)
	k.line = b
	k.out.bytes(b)
}

func (k *kmlWriter) Close() error {
	k.flush(false)
	k.out.text("</Document>\n</kml>\n")
	return k.out.close()
}
