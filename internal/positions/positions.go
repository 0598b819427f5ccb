// Package positions finds the positions in whatever file a person has: a capture, a log, raw
// sentences, texts with links or plain degrees, a table, GPX, GeoJSON, KML.
//
// # What it promises
//
// [Open] looks at the first bytes and picks a reader; each sighting comes with the file and
// the line that tells it. It streams: memory stays flat whatever the length, as far as the
// format allows. A void or damaged fix is told as what it is, never as a position, and a
// repair of a damaged one is marked as a guess.
//
// # What it leaves to others
//
// Whether a sighting fits the others is judged by earth/track. Recordings are opened by
// talk/intake, files of tracks by earth/trackfile.
//
// # Where to start
//
// Read [Open], then feed.go, which turns an epoch into a sighting.
package positions

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/earth/trackfile"
	"firstfix/internal/talk/intake"
	"firstfix/internal/wire/nmea"
	"firstfix/internal/wire/sheet"
)

// Options are what a caller may choose.
type Options struct {
	Kind  string         // "" to look; else one of Kinds
	Zone  *time.Location // of times in tables and texts that do not say theirs; nil: UTC
	Sheet *sheet.Sheet   // how the module answers when it is asked for its position; nil: sentences only
}

// Kinds are the kinds of file that can be named. Those of a recording are passed on to talk/intake.
var Kinds = []string{"gpx", "geojson", "kml", "table", "sentences", "text", "capture", "stamped", "window", "nmea", "talk"}

// sniffLimit is how much of a file is looked at: as talk/intake does.
const sniffLimit = 64 << 10

// Open looks at a file and returns the sightings in it. name is used in messages and origins.
func Open(r io.Reader, name string, o Options) (track.Source, error) {
	b := bufio.NewReaderSize(r, sniffLimit)
	head, err := b.Peek(sniffLimit)
	if err != nil && !errors.Is(err, io.EOF) && len(head) == 0 {
		return nil, fmt.Errorf("positions: read %s: %w", name, err)
	}
	switch {
	case bytes.HasPrefix(head, []byte("\x1f\x8b")): // gzip, RFC 1952, 2.3.1
		z, err := gzip.NewReader(b)
		if err != nil {
			return nil, &intake.Unreadable{Name: name, Why: "it begins like a gzip archive, but cannot be unpacked", Err: err}
		}
		return Open(z, strings.TrimSuffix(name, ".gz"), o)
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return nil, &intake.Unreadable{Name: name, Why: "it is a zip archive: perhaps a KMZ file or an office document", Hint: "unpack it first: a KMZ file holds a KML file; a table can be saved as CSV"}
	}
	var assumed []string
	if w, ok := wide(b, head); ok {
		b = bufio.NewReaderSize(w, sniffLimit)
		assumed = append(assumed, "the file is UTF-16: it was read as such")
	} else if bytes.HasPrefix(head, []byte("\ufeff")) {
		_, _ = b.Discard(len("\ufeff"))
	}
	head, err = b.Peek(sniffLimit)
	l := look{name: name, head: string(head), whole: errors.Is(err, io.EOF), options: o}
	src, err := l.open(b)
	if err == nil && len(assumed) > 0 {
		src = &assuming{src, assumed}
	}
	return src, err
}

// assuming adds assumptions to those of a source.
type assuming struct {
	track.Source
	assumed []string
}

func (a *assuming) About() track.About {
	about := a.Source.About()
	about.Assumed = append(a.assumed[:len(a.assumed):len(a.assumed)], about.Assumed...)
	return about
}

// look is a look at the first bytes of a file.
type look struct {
	name    string
	head    string
	whole   bool
	options Options
}

func (l *look) open(b *bufio.Reader) (track.Source, error) {
	kind := l.options.Kind
	if kind == "" {
		kind = l.kind()
	}
	switch kind {
	case "gpx":
		return trackfile.NewGPX(b, l.name), nil
	case "kml":
		return trackfile.NewKML(b, l.name), nil
	case "geojson":
		return trackfile.NewGeoJSON(b, l.name), nil
	case "table":
		return trackfile.NewTable(b, l.name, trackfile.TableOptions{Zone: l.options.Zone})
	case "sentences":
		return newSentences(b, l.name, false, l.options), nil
	case "text":
		return newSentences(b, l.name, true, l.options), nil
	case "":
		return l.guess(b)
	}
	return newRecording(b, l.name, kind, l.options)
}

// kind picks the reader where the first bytes say it; "" where they do not.
func (l *look) kind() string {
	text := strings.TrimSpace(l.head)
	switch {
	case strings.HasPrefix(text, "<"):
		for _, root := range [...]string{"gpx", "kml"} {
			if hasElement(text, root) {
				return root
			}
		}
	case strings.HasPrefix(text, "{"):
		line, _, _ := strings.Cut(text, "\n")
		if strings.Contains(line, `"firstfix"`) && strings.Contains(line, `"capture"`) {
			return "capture"
		}
		if strings.Contains(text, `"coordinates"`) || strings.Contains(text, `"Feature`) || strings.Contains(text, `"geometry"`) || strings.Contains(text, `"type"`) {
			return "geojson"
		}
	case l.sentences():
		return "sentences"
	case !strings.Contains(text, "$G") && l.table(true):
		return "table"
	}
	return ""
}

// guess tries what may be a recording, then a table without names, then a text.
func (l *look) guess(b *bufio.Reader) (track.Source, error) {
	_, err := intake.Open(strings.NewReader(l.head), l.name, intake.Options{})
	if err == nil {
		return newRecording(b, l.name, "", l.options)
	}
	if !strings.Contains(l.head, "$G") && l.table(false) {
		return trackfile.NewTable(b, l.name, trackfile.TableOptions{Zone: l.options.Zone})
	}
	if strings.ContainsAny(l.head, "<{") && strings.IndexAny(strings.TrimSpace(l.head), "<{") == 0 {
		return nil, &intake.Unreadable{Name: l.name, Why: "it is XML or JSON, but neither GPX, KML nor GeoJSON", Hint: "say with --kind what it is, if it is one of them"}
	}
	if len(geo.FindAll(l.head, 1)) > 0 || !l.whole {
		return newSentences(b, l.name, true, l.options), nil
	}
	var u *intake.Unreadable
	if errors.As(err, &u) {
		u.Hint = "positions are found in recordings, sentences, texts, tables (CSV), GPX, GeoJSON and KML"
	}
	return nil, err
}

// hasElement says whether the first element of an XML text has a name, in any namespace.
func hasElement(text, name string) bool {
	for {
		at := strings.IndexByte(text, '<')
		if at < 0 {
			return false
		}
		text = text[at+1:]
		if strings.HasPrefix(text, "?") || strings.HasPrefix(text, "!") {
			continue
		}
		end := strings.IndexAny(text, " \t\r\n/>")
		if end < 0 {
			return false
		}
		root := text[:end]
		return root[strings.IndexByte(root, ':')+1:] == name
	}
}

// sentences says whether half of the lines are sentences and nothing else.
func (l *look) sentences() bool {
	var s nmea.Sentence
	n, lines := 0, 0
	rest := l.head
	for rest != "" && lines < sampleLines {
		var line string
		line, rest, _ = strings.Cut(rest, "\n")
		if rest == "" && !l.whole && lines > 0 {
			break
		}
		if line = strings.TrimRight(line, "\r"); line == "" {
			continue
		}
		lines++
		if nmea.Scan(line, &s) == nil && len(s.Type) == 3 {
			n++
		} else if strings.HasPrefix(line, "AT") || line == "OK" || strings.HasPrefix(line, "+C") {
			return false // a dialogue
		}
	}
	return n*2 >= lines && n > 0
}

// sampleLines is how many lines a look takes in.
const sampleLines = 400

// table says whether a sample can be read as a table.
func (l *look) table(named bool) bool {
	text := l.head
	if !l.whole {
		text = text[:strings.LastIndexByte(text, '\n')+1]
	}
	_, err := trackfile.NewTable(strings.NewReader(text), l.name, trackfile.TableOptions{Named: named})
	return err == nil
}
