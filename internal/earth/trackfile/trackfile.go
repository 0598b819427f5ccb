// Package trackfile reads and writes tracks in the formats that others use: GPX, GeoJSON,
// KML and tables.
//
// # What it promises
//
// A reader is a [track.Source]: it streams, bad input costs the one point that is bad and
// is told with its line, and what had to be assumed is in About. A writer streams too,
// writes only sightings that were kept, and what it writes its reader reads back: places to
// [Decimals] decimals of a degree, times to the nanosecond. Lines break where the track has gaps.
//
// # What it leaves to others
//
// Whether a position may be believed is the work of earth/track. Recordings and texts are
// read by the package positions.
//
// # Where to start
//
// Read gpx_read.go and gpx_write.go; [Formats] lists what can be written.
package trackfile

import (
	"bufio"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

// Decimals is how many decimals of a degree are written: 1.1 mm. A sentence with six
// decimals of a minute survives it.
const Decimals = 8

// A Writer writes the sightings of one track that were kept. Others are passed over.
type Writer interface {
	Write(j *track.Judged) error
	Close() error // ends the file; what lies under it stays open
}

// A Format is one way to write a track. To add one, write its file and add a line.
type Format struct {
	Name   string // of the flag
	Title  string
	Source string // the document
	New    func(w io.Writer, name string) Writer
}

// Formats lists what can be written.
var Formats = []Format{
	{"gpx", "GPX 1.1", "GPX 1.1 schema", func(w io.Writer, name string) Writer { return newGPX(w, name) }},
	{"geojson", "GeoJSON", "RFC 7946", func(w io.Writer, name string) Writer { return newGeoJSON(w, name) }},
	{"kml", "KML 2.2", "OGC 07-147r2", func(w io.Writer, name string) Writer { return newKML(w, name) }},
	{"csv", "a table", "RFC 4180", func(w io.Writer, name string) Writer { return newCSV(w) }},
}

// maxText is how much of one text of a file is kept: longer ones are cut.
const maxText = 4 << 10

// out is a buffered writer that remembers its first error.
type out struct {
	w   *bufio.Writer
	err error
}

func newOut(w io.Writer) *out { return &out{w: bufio.NewWriterSize(w, 64<<10)} }

func (o *out) text(parts ...string) {
	for _, p := range parts {
		if o.err == nil {
			_, o.err = o.w.WriteString(p)
		}
	}
}

func (o *out) bytes(b []byte) {
	if o.err == nil {
		_, o.err = o.w.Write(b)
	}
}

func (o *out) close() error {
	if o.err == nil {
		o.err = o.w.Flush()
	}
	return o.err
}

// appendDegrees writes degrees without needless zeros at the end.
func appendDegrees(b []byte, deg float64) []byte { return appendFixed(b, deg, Decimals, true) }

// appendNumber writes any other number with up to otherDecimals decimals.
func appendNumber(b []byte, x float64) []byte { return appendFixed(b, x, otherDecimals, false) }

// otherDecimals: a thousandth of a millimetre, and no receiver means more.
const otherDecimals = 6

// appendFixed writes a number without needless zeros; point keeps one of them.
func appendFixed(b []byte, x float64, decimals int, point bool) []byte {
	from := len(b)
	b = strconv.AppendFloat(b, x, 'f', decimals, 64)
	end := len(b)
	for b[end-1] == '0' {
		end--
	}
	if b[end-1] == '.' {
		end--
		if point {
			end += 2
		}
	}
	b = b[:end]
	if b[from] == '-' && x > -1 && strings.Trim(string(b[from:]), "-0.") == "" {
		b = b[:from+copy(b[from:], b[from+1:])] // what rounds to zero has no sign
	}
	return b
}

func appendTime(b []byte, t time.Time) []byte {
	return t.UTC().AppendFormat(b, "2006-01-02T15:04:05.999999999Z07:00")
}

// number reads a decimal number as XML and JSON write it; no hexadecimal, no "inf".
func number(text string) (x float64, decimals int, ok bool) {
	text = strings.TrimSpace(text)
	if text == "" || len(text) > 64 || strings.Trim(text, "0123456789+-.eE") != "" {
		return 0, 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, 0, false
	}
	if dot := strings.IndexByte(text, '.'); dot >= 0 && !strings.ContainsAny(text, "eE") {
		decimals = len(text) - dot - 1
	}
	return x, decimals, true
}

// known reads a number that may be absent.
func known(text string) (v maybe.Value[float64]) {
	if x, _, ok := number(text); ok {
		v = maybe.Known(x)
	}
	return v
}

// A grain remembers how fine a file writes its coordinates: the most decimals seen so far.
// One coordinate alone may end in zeros that were not written.
type grain struct {
	decimals int
	fine     float64 // degrees; 0: not known
}

func (g *grain) stepDeg(decimals ...int) float64 {
	for _, d := range decimals {
		g.decimals = max(g.decimals, min(d, geo.MaxDecimals))
	}
	return math.Pow10(-g.decimals)
}

// point fills in the place out of two texts.
func (g *grain) point(s *track.Sighting, latText, lonText string) {
	lat, latDecimals, ok1 := number(latText)
	lon, lonDecimals, ok2 := number(lonText)
	switch {
	case !ok1:
		s.Odd = "latitude " + quote(latText) + " is no number"
	case !ok2:
		s.Odd = "longitude " + quote(lonText) + " is no number"
	default:
		g.place(s, lat, lon, latDecimals, lonDecimals)
	}
}

func (g *grain) place(s *track.Sighting, lat, lon float64, decimals ...int) {
	p := geo.Point{LatDeg: lat, LonDeg: lon}
	s.StepDeg = g.stepDeg(decimals...)
	if !p.Valid() {
		s.Odd = strconv.FormatFloat(lat, 'g', 12, 64) + ", " + strconv.FormatFloat(lon, 'g', 12, 64) + " is no latitude and longitude"
		return
	}
	s.Point = maybe.Known(p)
}

func quote(text string) string {
	if len(text) > 40 {
		text = text[:40] + "…"
	}
	return strconv.Quote(text)
}

// xmlTime reads a time of XML Schema or RFC 3339. Without a zone it is taken as UTC, which
// zoneless notes.
func xmlTime(text string) (t time.Time, zoneless, ok bool) {
	text = strings.TrimSpace(text)
	if len(text) > 64 {
		return t, false, false
	}
	if t, err := time.Parse(time.RFC3339Nano, text); err == nil {
		return t.UTC(), false, plausible(t)
	}
	if t, err := time.Parse("2006-01-02T15:04:05.999999999", text); err == nil {
		return t, true, plausible(t)
	}
	return t, false, false
}

// plausible keeps times within what nanoseconds of 64 bits can count.
func plausible(t time.Time) bool { return t.Year() > 1700 && t.Year() < 2250 }

// notes are the sentences of About, each once.
type notes struct{ list []string }

func (n *notes) add(text string) {
	for _, had := range n.list {
		if had == text {
			return
		}
	}
	if len(n.list) < maxNotes {
		n.list = append(n.list, text)
	}
}

// maxNotes bounds what a reader says of one file.
const maxNotes = 20

// count writes "3 waypoints", "1 waypoint".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

const zonelessTaken = "times without a zone were taken as UTC"
