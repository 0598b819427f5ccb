package trackfile

import (
	"io"
	"strconv"

	"firstfix/internal/earth/track"
)

// csvColumns are the columns of a table, in order. The reader knows their names.
var csvColumns = []struct {
	name  string
	write func(b []byte, j *track.Judged) []byte
}{
	{"utc", func(b []byte, j *track.Judged) []byte {
		if utc, ok := j.UTC.Get(); ok {
			b = appendTime(b, utc)
		}
		return b
	}},
	{"lat_deg", func(b []byte, j *track.Judged) []byte {
		if p, ok := j.Point.Get(); ok {
			b = appendDegrees(b, p.LatDeg)
		}
		return b
	}},
	{"lon_deg", func(b []byte, j *track.Judged) []byte {
		if p, ok := j.Point.Get(); ok {
			b = appendDegrees(b, p.LonDeg)
		}
		return b
	}},
	{"altitude_m", func(b []byte, j *track.Judged) []byte { return cell(b, j.AltitudeM.Get) }},
	{"geoid_m", func(b []byte, j *track.Judged) []byte { return cell(b, j.GeoidM.Get) }},
	{"speed_mps", func(b []byte, j *track.Judged) []byte { return cell(b, j.SpeedMPS.Get) }},
	{"course_deg", func(b []byte, j *track.Judged) []byte { return cell(b, j.CourseDeg.Get) }},
	{"satellites", func(b []byte, j *track.Judged) []byte {
		if n, ok := j.SatellitesUsed.Get(); ok {
			b = strconv.AppendInt(b, int64(n), 10)
		}
		return b
	}},
	{"hdop", func(b []byte, j *track.Judged) []byte { return cell(b, j.HDOP.Get) }},
	{"gap", func(b []byte, j *track.Judged) []byte { return appendCell(b, j.Gap) }},
	{"reason", func(b []byte, j *track.Judged) []byte { return appendCell(b, j.Why.Name) }},
	{"says", func(b []byte, j *track.Judged) []byte { return appendCell(b, j.Why.Text) }},
	{"file", func(b []byte, j *track.Judged) []byte { return appendCell(b, j.From.File) }},
	{"line", func(b []byte, j *track.Judged) []byte {
		if j.From.Line > 0 {
			b = strconv.AppendInt(b, int64(j.From.Line), 10)
		}
		return b
	}},
}

func cell(b []byte, value func() (float64, bool)) []byte {
	if x, ok := value(); ok {
		b = appendNumber(b, x)
	}
	return b
}

// appendCell quotes a text where RFC 4180, 2, wants it, and puts a space before what a
// spreadsheet would take for a formula.
func appendCell(b []byte, text string) []byte {
	quoted := false
	for i := range len(text) {
		switch text[i] {
		case '"', ',', '\n', '\r':
			quoted = true
		}
	}
	if quoted {
		b = append(b, '"')
	}
	if text != "" {
		switch text[0] {
		case '=', '+', '-', '@', '\t':
			b = append(b, ' ')
		}
	}
	for i := range len(text) {
		if text[i] == '"' {
			b = append(b, '"')
		}
		b = append(b, text[i])
	}
	if quoted {
		b = append(b, '"')
	}
	return b
}

// csvWriter writes a table with a line of names, comma-separated (RFC 4180).
type csvWriter struct {
	out   *out
	apart bool
	line  []byte
	begun bool
}

func newCSV(w io.Writer) *csvWriter { return &csvWriter{out: newOut(w)} }

// NewApart returns a writer of the table of what was set apart, with the reasons. The place
// in it is what a sighting said, and no position to be used.
func NewApart(w io.Writer) Writer { return &csvWriter{out: newOut(w), apart: true} }

func (c *csvWriter) head() {
	if c.begun {
		return
	}
	c.begun = true
	for i := range csvColumns {
		if i > 0 {
			c.out.text(",")
		}
		c.out.text(csvColumns[i].name)
	}
	c.out.text("\r\n")
}

func (c *csvWriter) Write(j *track.Judged) error {
	c.head()
	if c.apart == j.Kept() {
		return c.out.err
	}
	b := c.line[:0]
	for i := range csvColumns {
		if i > 0 {
			b = append(b, ',')
		}
		b = csvColumns[i].write(b, j)
	}
	c.line = append(b, '\r', '\n')
	c.out.bytes(c.line)
	return c.out.err
}

func (c *csvWriter) Close() error {
	c.head()
	return c.out.close()
}
