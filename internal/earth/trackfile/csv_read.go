package trackfile

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
)

const (
	maxRow     = 64 << 10 // of one row, bytes; the rest of a longer one is passed over
	maxCells   = 256      // of one row
	sampleRows = 60       // looked at before the first is read
	nameRows   = 12       // the names stand in one of the first rows: some tables begin with a title
)

// TableOptions are what a caller knows of a table.
type TableOptions struct {
	Zone  *time.Location // of times that do not say theirs; nil: UTC
	Named bool           // it is a table only if its columns have names that are known
}

// tableReader reads tables: cells with commas, semicolons, tabs or bars between them (RFC
// 4180 and its relatives), the columns found by their names or by what they hold. A quoted
// cell ends with its line.
type tableReader struct {
	name  string
	r     *bufio.Reader
	rules stampRules
	sep   byte
	*layout
	grain grain
	notes notes

	sample [][]string // rows read ahead, with their lines
	lines  []int
	line   int
	number int
	cells  []string
	bad    int // rows that are none
	cut    int // rows that were too long
	ended  error
}

// NewTable returns a reader of a table. It is an error when no columns with positions are found.
func NewTable(r io.Reader, name string, o TableOptions) (track.Source, error) {
	t := &tableReader{name: name, r: bufio.NewReaderSize(r, maxRow), rules: stampRules{zone: o.Zone}}
	var raw []string
	for len(raw) < sampleRows {
		text, ok := t.row()
		if !ok {
			break
		}
		raw = append(raw, text)
		t.lines = append(t.lines, t.line)
	}
	lines := t.lines
	err := fmt.Errorf("trackfile: %s: the table is empty", name)
	if len(raw) == 0 {
		return nil, err
	}
	for _, sep := range separators(raw) {
		t.sep, t.sample, t.lines, t.notes, t.bad = sep, nil, lines, notes{}, 0
		for _, text := range raw {
			t.sample = append(t.sample, append([]string(nil), t.split(text)...))
		}
		if err = t.learn(o.Named); err == nil {
			return t, nil
		}
	}
	return nil, err
}

// row returns the next line that is neither empty nor a comment.
func (t *tableReader) row() (text string, ok bool) {
	for t.ended == nil {
		line, err := t.r.ReadSlice('\n')
		t.line++
		if err == bufio.ErrBufferFull {
			t.cut++
			line = bytes.Clone(line)
			for err == bufio.ErrBufferFull {
				_, err = t.r.ReadSlice('\n')
			}
		}
		t.ended = err
		text := strings.TrimRight(string(line), "\r\n")
		if strings.TrimSpace(text) != "" && !strings.HasPrefix(text, "#") {
			return text, true
		}
	}
	return "", false
}

// separators are what may stand between cells, what most rows have equally often first. A
// comma may stand in numbers too: another one wins a tie.
func separators(rows []string) []byte {
	list := []byte{'\t', ';', '|', ','}
	alike := map[byte]int{}
	for _, sep := range list {
		counts := map[int]int{}
		for _, r := range rows {
			if n := strings.Count(r, string(sep)); n > 0 {
				counts[n]++
				alike[sep] = max(alike[sep], counts[n])
			}
		}
	}
	slices.SortStableFunc(list, func(a, b byte) int { return alike[b] - alike[a] })
	for len(list) > 1 && alike[list[len(list)-1]] == 0 {
		list = list[:len(list)-1]
	}
	return list
}

// split cuts a row into cells. The slice is used again by the next row.
func (t *tableReader) split(text string) []string {
	t.cells = t.cells[:0]
	for len(t.cells) < maxCells {
		trimmed := strings.TrimLeft(text, " ")
		if strings.HasPrefix(trimmed, `"`) {
			cell, rest := quotedCell(trimmed[1:])
			t.cells = append(t.cells, cell)
			at := strings.IndexByte(rest, t.sep)
			if at < 0 {
				break
			}
			text = rest[at+1:]
			continue
		}
		at := strings.IndexByte(text, t.sep)
		if at < 0 {
			t.cells = append(t.cells, text)
			break
		}
		t.cells = append(t.cells, text[:at])
		text = text[at+1:]
	}
	return t.cells
}

// quotedCell reads to the closing quote; two quotes in a row are one.
func quotedCell(text string) (cell, rest string) {
	at := strings.IndexByte(text, '"')
	if at < 0 {
		return text, ""
	}
	if !strings.HasPrefix(text[at+1:], `"`) {
		return text[:at], text[at+1:]
	}
	var b strings.Builder
	for {
		at := strings.IndexByte(text, '"')
		if at < 0 {
			b.WriteString(text)
			return b.String(), ""
		}
		b.WriteString(text[:at])
		if !strings.HasPrefix(text[at+1:], `"`) {
			return b.String(), text[at+1:]
		}
		b.WriteByte('"')
		text = text[at+2:]
	}
}

// learn finds the columns.
func (t *tableReader) learn(named bool) error {
	for i := range min(nameRows, len(t.sample)) {
		l, assumed, ok := byName(t.sample[i])
		if !ok {
			continue
		}
		t.layout = l
		t.note(assumed)
		t.bad += i
		t.sample, t.lines = t.sample[i+1:], t.lines[i+1:]
		break
	}
	decimal := byte('.')
	if t.sep != ',' && t.commas() {
		decimal = ','
		t.notes.add("the comma was taken as the decimal point")
	}
	if t.layout == nil {
		l, assumed, ok := byShape(t.sample, decimal)
		if !ok || named {
			return fmt.Errorf("trackfile: %s: no columns with positions were found: want names such as lat and lon, or two columns of degrees", t.name)
		}
		t.layout = l
		t.note(assumed)
	}
	t.decimal = decimal
	t.note(t.look(t.sample))
	t.days()
	return nil
}

func (t *tableReader) note(sentences []string) {
	for _, s := range sentences {
		t.notes.add(s)
	}
}

// commas says that numbers are written with a comma: more cells are such numbers than
// have a point.
func (t *tableReader) commas() bool {
	with, without := 0, 0
	for _, r := range t.sample {
		for _, c := range r {
			if _, _, ok := number(c); ok && strings.Contains(c, ".") {
				without++
			} else if _, _, ok := number(strings.Replace(c, ",", ".", 1)); ok && strings.Count(c, ",") == 1 {
				with++
			}
		}
	}
	return with > without
}

// days finds out whether day or month comes first in dates with slashes.
func (t *tableReader) days() {
	i := t.at[stampColumn]
	if i < 0 {
		i = t.at[dateColumn]
	}
	if i < 0 {
		return
	}
	day, month, either := 0, 0, 0
	for _, r := range t.sample {
		if i >= len(r) {
			continue
		}
		_, _, _, _, slashed, okDay := readDay(strings.TrimSpace(r[i]), stampRules{})
		_, _, _, _, slashed2, okMonth := readDay(strings.TrimSpace(r[i]), stampRules{monthFirst: true})
		switch {
		case okDay && okMonth && slashed:
			either++
		case okDay && slashed:
			day++
		case okMonth && slashed2:
			month++
		}
	}
	if t.rules.monthFirst = month > day; month+day == 0 && either > 0 {
		t.notes.add("dates were read as day, month, year: nothing in them tells which comes first")
	}
}

func (t *tableReader) About() track.About {
	a := track.About{File: t.name, Kind: "table", Assumed: t.notes.list}
	if t.bad > 0 {
		a.Passed = append(a.Passed, count(t.bad, "row", "rows")+" without a position")
	}
	if t.cut > 0 {
		a.Passed = append(a.Passed, fmt.Sprintf("the end of %s longer than %d bytes", count(t.cut, "row", "rows"), maxRow))
	}
	return a
}

func (t *tableReader) Next(s *track.Sighting) error {
	for {
		var cells []string
		var line int
		if len(t.sample) > 0 {
			cells, line = t.sample[0], t.lines[0]
			t.sample, t.lines = t.sample[1:], t.lines[1:]
		} else {
			text, ok := t.row()
			if !ok {
				if t.ended == io.EOF {
					return io.EOF
				}
				return fmt.Errorf("trackfile: read %s: %w", t.name, t.ended)
			}
			cells, line = t.split(text), t.line
		}
		t.number++
		*s = track.Sighting{From: track.Origin{File: t.name, Line: line, Record: t.number, What: "row"}}
		if t.fill(s, cells) {
			return nil
		}
		t.bad++
	}
}

// cell returns the text of a column's cell.
func (t *tableReader) cell(cells []string, c column) string {
	if i := t.at[c]; i >= 0 && i < len(cells) {
		return strings.TrimSpace(cells[i])
	}
	return ""
}

// fill reads a row; false: it says nothing of a position.
func (t *tableReader) fill(s *track.Sighting, cells []string) bool {
	s.Valid = true
	if !t.position(s, cells) {
		return false
	}
	t.time(s, cells)
	for i, h := range t.of {
		if h == nil || h.value == nil || i >= len(cells) {
			continue
		}
		if x, _, ok := number(point(strings.TrimSpace(cells[i]), t.decimal)); ok {
			h.value(s, x)
		}
	}
	if reason := t.cell(cells, reasonColumn); reason != "" {
		s.Valid, s.Void = false, "the table says: "+reason
	}
	if i := t.at[validColumn]; i >= 0 {
		t.valid(s, t.of[i].name, t.cell(cells, validColumn))
	}
	s.Break = t.cell(cells, gapColumn) != ""
	return true
}

// valid reads a column that says whether the fix holds: A or V as in sentences, 1 or 0,
// true or false, and the qualities of GGA.
func (t *tableReader) valid(s *track.Sighting, column, text string) {
	switch strings.ToLower(text) {
	case "v", "0", "false", "no", "n", "invalid", "none", "nofix", "no fix":
		s.Valid, s.Void = false, fmt.Sprintf("column %s says %q", column, text)
	}
}

// position reads the place of a row.
func (t *tableReader) position(s *track.Sighting, cells []string) bool {
	if t.has(bothColumn) {
		text := t.cell(cells, bothColumn)
		r, err := geo.Parse(text)
		if err != nil {
			found := geo.FindAll(text, 1)
			if len(found) == 0 {
				return false
			}
			r = found[0]
		}
		s.StepDeg, s.From.Text = r.StepDeg, strings.Clone(text)
		if !r.Point.Valid() {
			s.Odd = quote(text) + " is no place on earth"
			return true
		}
		s.Point = maybe.Known(r.Point)
		return true
	}
	lat, lon := point(t.cell(cells, latColumn), t.decimal), point(t.cell(cells, lonColumn), t.decimal)
	ns, ew := t.cell(cells, nsColumn), t.cell(cells, ewColumn)
	if lat == "" && lon == "" {
		return false
	}
	if lat == "" || lon == "" {
		s.Odd = "only one of latitude and longitude is given"
		return true
	}
	_, _, plain1 := number(lat)
	_, _, plain2 := number(lon)
	switch {
	case !plain1 && !plain2 && t.number <= nameRows && !strings.ContainsAny(lat+lon, "0123456789"):
		return false // a second line of names: units
	case plain1 && plain2 && ns == "" && ew == "" && !t.ddmm:
		t.grain.point(s, lat, lon)
	default:
		t.spelled(s, lat, ns, lon, ew)
	}
	return true
}

// spelled reads coordinates that are more than a number.
func (t *tableReader) spelled(s *track.Sighting, lat, ns, lon, ew string) {
	if t.ddmm {
		if ns == "" {
			lat, ns = unsigned(lat, "N", "S")
		}
		if ew == "" {
			lon, ew = unsigned(lon, "E", "W")
		}
	}
	text := lat + " " + ns + ", " + lon + " " + ew
	if ns != "" && ew != "" {
		text = lat + "," + ns + "," + lon + "," + ew
	}
	r, err := geo.Parse(text)
	if err != nil && ns != "" {
		r, err = geo.Parse(lat + " " + ns + ", " + lon + " " + ew)
	}
	switch {
	case err != nil:
		s.Odd = "its position is " + quote(strings.Join([]string{lat, ns, lon, ew}, " ")) + ": no spelling that is known"
	case !r.Point.Valid():
		s.Odd = quote(text) + " is no place on earth"
	default:
		s.Point, s.StepDeg = maybe.Known(r.Point), t.grain.step(r.StepDeg)
	}
}

// step remembers the finest step seen.
func (g *grain) step(deg float64) float64 {
	if deg > 0 && (g.fine == 0 || deg < g.fine) {
		g.fine = deg
	}
	return g.fine
}

// unsigned turns a sign into a letter.
func unsigned(text, plus, minus string) (size, letter string) {
	if rest, ok := strings.CutPrefix(text, "-"); ok {
		return rest, minus
	}
	return strings.TrimPrefix(text, "+"), plus
}

// time reads the time of a row.
func (t *tableReader) time(s *track.Sighting, cells []string) {
	text := t.cell(cells, stampColumn)
	date := t.cell(cells, dateColumn)
	clock := t.cell(cells, clockColumn)
	if date != "" && clock == "" {
		clock, text = text, ""
	}
	if date != "" {
		if len(date) == 6 && strings.Trim(date, "0123456789") == "" { // ddmmyy, as in RMC
			date = "20" + date[4:] + "-" + date[2:4] + "-" + date[:2]
		}
		text = date + " " + clock
	} else if text == "" {
		text = clock
	}
	if text == "" {
		return
	}
	if at, ok := readStamp(text, t.rules); ok {
		s.UTC, s.TimeStep = maybe.Known(at.at), at.step
		if at.zoneless && !at.epoch {
			if t.rules.zone == nil {
				t.notes.add(zonelessTaken)
			} else {
				t.notes.add("times without a zone were taken as those of " + t.rules.zone.String() + ", as you said")
			}
		}
		return
	}
	if since, step, rest, ok := readClock(text); ok && strings.TrimSpace(rest) == "" && since < 24*time.Hour {
		s.TimeOfDay, s.TimeStep = maybe.Known(since), step
		t.notes.add("the table tells no date: only times of day, taken as UTC")
		return
	}
	t.notes.add("times that are none were passed over, the first is " + quote(text))
}
