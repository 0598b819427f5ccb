package trackfile

import (
	"encoding/xml"
	"io"
	"strings"

	"firstfix/internal/earth/track"
)

// gpxWriter writes GPX 1.1: one track, a segment for each unbroken piece. The order of the
// elements is that of the schema (wptType). Speed and course have no place in 1.1: they are
// extensions.
type gpxWriter struct {
	out  *out
	any  bool
	line []byte
}

func newGPX(w io.Writer, name string) *gpxWriter {
	g := &gpxWriter{out: newOut(w)}
	g.out.text(xml.Header, `<gpx version="1.1" creator="firstfix" xmlns="http://www.topografix.com/GPX/1/1" xmlns:f="urn:firstfix:track:1">`, "\n<trk>\n")
	if name != "" {
		g.out.text("<name>", escapeXML(name), "</name>\n")
	}
	return g
}

// escapeXML writes a text as character data; what XML cannot hold becomes U+FFFD.
func escapeXML(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text))
	return b.String()
}

func (g *gpxWriter) Write(j *track.Judged) error {
	p, ok := j.Point.Get()
	if !j.Kept() || !ok {
		return g.out.err
	}
	if !g.any {
		g.out.text("<trkseg>\n")
	} else if j.Gap != "" {
		g.out.text("</trkseg>\n<trkseg>\n")
	}
	g.any = true
	b := append(g.line[:0], `<trkpt lat="`...)
	b = appendDegrees(b, p.LatDeg)
	b = append(b, `" lon="`...)
	b = appendDegrees(b, p.LonDeg)
	b = append(b, `">`...)
	b = element(b, "ele", j.AltitudeM.Get)
	if utc, ok := j.UTC.Get(); ok {
		b = append(b, "<time>"...)
		b = appendTime(b, utc)
		b = append(b, "</time>"...)
	}
	b = element(b, "geoidheight", j.GeoidM.Get)
	if word := gpxFix(j); word != "" {
		b = append(append(append(b, "<fix>"...), word...), "</fix>"...)
	}
	b = element(b, "sat", func() (float64, bool) { n, ok := j.SatellitesUsed.Get(); return float64(n), ok && n >= 0 })
	b = element(b, "hdop", j.HDOP.Get)
	b = element(b, "vdop", j.VDOP.Get)
	b = element(b, "pdop", j.PDOP.Get)
	if j.SpeedMPS.IsKnown() || j.CourseDeg.IsKnown() {
		b = append(b, "<extensions>"...)
		b = element(b, "f:speed", j.SpeedMPS.Get)
		b = element(b, "f:course", j.CourseDeg.Get)
		b = append(b, "</extensions>"...)
	}
	b = append(b, "</trkpt>\n"...)
	g.line = b
	g.out.bytes(b)
	return g.out.err
}

// gpxFix is the word of fixType.
func gpxFix(j *track.Judged) string {
	switch j.Mode {
	case "differential", "RTK float", "RTK fixed":
		return "dgps"
	case "precise":
		return "pps"
	}
	switch d, _ := j.Dimensions.Get(); d {
	case 2:
		return "2d"
	case 3:
		return "3d"
	}
	return ""
}

func element(b []byte, name string, value func() (float64, bool)) []byte {
	x, ok := value()
	if !ok {
		return b
	}
	b = append(append(append(b, '<'), name...), '>')
	b = appendNumber(b, x)
	return append(append(append(b, "</"...), name...), '>')
}

func (g *gpxWriter) Close() error {
	if g.any {
		g.out.text("</trkseg>\n")
	}
	g.out.text("</trk>\n</gpx>\n")
	return g.out.close()
}
