package explain

import (
	"errors"
	"fmt"
	"strings"

	"firstfix/internal/earth/geo"
	"firstfix/internal/wire/nmea"
)

// standardName stands beside all that a sentence's table says; the standard is
// sold and its clauses are not public.
const standardName = "NMEA 0183 (IEC 61162-1)"

// sentence reads a GNSS sentence.
func sentence(line string) (Explanation, int) {
	start := strings.IndexAny(line, "$!")
	if start < 0 || start > 0 && line[0] != '\\' || start+1 >= len(line) || line[start+1] < 'A' || line[start+1] > 'Z' {
		return Explanation{}, no
	}
	if _, ok := answer(line[start:]); ok != no {
		return Explanation{}, no // "$NAME: 1" of a maker
	}
	var s nmea.Sentence
	err := nmea.Scan(line, &s)
	if s.Type == "" {
		return Explanation{}, no
	}
	e := Explanation{Kind: KindSentence, Title: nmea.Title(&s)}
	e.field(Field{Name: "address", Value: s.Talker + s.Type, Meaning: e.Title, At: start + 1, Clause: standardName})
	at := start + 1 + len(s.Talker) + len(s.Type) + 1
	for _, t := range nmea.Describe(&s) {
		e.field(sentenceField(&e, t, fieldOffset(&s, t.Number, at)))
	}
	positionOf(&e, &s)
	checksum(&e, &s, line)
	var fault *nmea.ScanError
	if errors.As(err, &fault) {
		e.problem("at byte %d: wanted %s", fault.At, fault.Want)
	}
	sentenceHints(&e, &s)
	return e, sure
}

// fieldOffset adds up the fields before number n, which begins behind the
// address at first.
func fieldOffset(s *nmea.Sentence, n, first int) int {
	if n > s.Count {
		return -1
	}
	at := first
	for i := 1; i < n; i++ {
		at += len(s.Field(i)) + 1
	}
	return at
}

func sentenceField(e *Explanation, t nmea.FieldText, at int) Field {
	f := Field{Name: t.Name, Value: t.Value, Meaning: t.Meaning, At: at, Clause: standardName}
	switch {
	case t.Err != nil:
		var bad *nmea.FieldError
		f.Meaning = "cannot be read"
		if errors.As(t.Err, &bad) {
			f.Meaning = "cannot be read: " + bad.Want + " would fit"
			e.problem("field %d (%s) is %q; %s would fit", bad.Number, bad.Name, bad.Text, bad.Want)
		} else {
			e.problem("field %d (%s): %v", t.Number, t.Name, t.Err)
		}
	case t.Value == "":
		f.Meaning = "not known"
	case f.Meaning == "" && t.Unit != "" && !strings.Contains(t.Name, t.Unit):
		f.Meaning = t.Value + " " + t.Unit
	}
	if t.Since != "" {
		f.Clause += ", since version " + t.Since
	}
	return f
}

// positionOf adds the position in decimal degrees, as people send it on.
func positionOf(e *Explanation, s *nmea.Sentence) {
	k := nmea.KindOf(s)
	if k == nil {
		return
	}
	record, _ := k.Decode(s)
	p, known := geo.Point{}, false
	void := false
	take := func(lat, lon nmea.Angle, ok1, ok2 bool) {
		p, known = geo.Point{LatDeg: lat.Deg, LonDeg: lon.Deg}, ok1 && ok2
	}
	switch r := record.(type) {
	case *nmea.RMC:
		lat, ok1 := r.Lat.Get()
		lon, ok2 := r.Lon.Get()
		take(lat, lon, ok1, ok2)
		valid, said := r.Valid.Get()
		void = said && !valid
	case *nmea.GGA:
		lat, ok1 := r.Lat.Get()
		lon, ok2 := r.Lon.Get()
		take(lat, lon, ok1, ok2)
		quality, said := r.Quality.Get()
		void = said && quality == 0
	case *nmea.GLL:
		lat, ok1 := r.Lat.Get()
		lon, ok2 := r.Lon.Get()
		take(lat, lon, ok1, ok2)
		valid, said := r.Valid.Get()
		void = said && !valid
	case *nmea.GSV:
		if n, said := r.InView.Get(); said && n == 0 {
			e.hint("no satellite is in view: no sky, no antenna, or GNSS has just been switched on")
		}
		return
	case *nmea.GNS:
		lat, ok1 := r.Lat.Get()
		lon, ok2 := r.Lon.Get()
		take(lat, lon, ok1, ok2)
	}
	switch {
	case void:
		e.hint("the receiver calls this void: it is no position now, whatever numbers stand in it")
	case known && p.Valid():
		e.field(Field{Name: "position", Value: geo.FormatDecimal(p, 6), Meaning: "in decimal degrees: whole degrees and minutes / 60", At: -1, Clause: standardName})
	}
}

// checksum says whether it is right, or what it should be.
func checksum(e *Explanation, s *nmea.Sentence, line string) {
	f := Field{Name: "checksum", At: -1, Clause: standardName}
	switch {
	case !s.HasSum:
		f.Meaning = fmt.Sprintf("none; %02X would be right", s.Checksum)
		e.hint("without a checksum a wrong character stays unseen")
	case s.SumOK():
		f.Value, f.Meaning, f.At = fmt.Sprintf("%02X", s.Said), "right", strings.LastIndexByte(line, '*')+1
	default:
		f.Value, f.Meaning, f.At = fmt.Sprintf("%02X", s.Said), fmt.Sprintf("wrong: these characters give %02X", s.Checksum), strings.LastIndexByte(line, '*')+1
		e.problem("the checksum is %02X but the characters give %02X: at least one character was changed or lost on the way", s.Said, s.Checksum)
	}
	e.field(f)
}

func sentenceHints(e *Explanation, s *nmea.Sentence) {
	if s.TooMany {
		e.problem("it has more than %d fields; the rest was not read", nmea.MaxFields)
	}
	if n := len(s.Text) + len("\r\n"); n > nmea.MaxSentence {
		e.hint("it is %d characters long with its line end; %d is the written limit, and longer ones are met", n, nmea.MaxSentence)
	}
}
