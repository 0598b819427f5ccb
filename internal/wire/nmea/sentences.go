package nmea

import "strings"

// A Kind is one type of sentence: what explains it and what reads it.
type Kind struct {
	Name     string // "RMC"
	Title    string
	Fields   []FieldInfo
	Describe func(s *Sentence) []FieldText
	Decode   func(s *Sentence) (record any, err error) // *RMC, *GGA, …
}

// FieldInfo is one row of a sentence's table.
type FieldInfo struct {
	Number int
	Name   string
	Unit   string
	Since  string // version that added it; "" for always
}

// Kinds are the sentences read here, the commonest first. To add one, write its file and
// add a line; a test compares the list with the folder.
var Kinds = []Kind{
	kind(rmcName, "recommended minimum: time, status, position, speed, course, date", rmcFields, nil),
	kind(ggaName, "the fix: time, position, quality, height", ggaFields, nil),
	kind(gsaName, "satellites used, and dilution of precision", gsaFields, nil),
	kind(gsvName, "satellites in view", gsvTables[4], gsvFields),
	kind(gllName, "position with time", gllFields, nil),
	kind(vtgName, "course and speed over ground", vtgFields, vtgTable),
	kind(zdaName, "time and date", zdaFields, nil),
	kind(gnsName, "the fix of several systems together", gnsFields, nil),
	kind(gstName, "estimated errors of the position", gstFields, nil),
	kind(txtName, "a text of the receiver", txtFields, nil),
	kind(gbsName, "search for a faulty satellite", gbsFields, nil),
	kind(grsName, "residuals of the ranges", grsFields, nil),
	kind(dtmName, "datum of the positions", dtmFields, nil),
	kind(hdtName, "heading", hdtFields, nil),
	kind(thsName, "heading and how it is known", thsFields, nil),
}

// kind makes a Kind of a table. tableOf chooses among tables when the shape of
// the sentence decides; nil when there is only one.
func kind[R any](name, title string, fields []field[R], tableOf func(*Sentence) []field[R]) Kind {
	if tableOf == nil {
		tableOf = func(*Sentence) []field[R] { return fields }
	}
	k := Kind{
		Name:     name,
		Title:    title,
		Describe: func(s *Sentence) []FieldText { return describe(name, tableOf(s), s) },
		Decode: func(s *Sentence) (any, error) {
			r := new(R)
			return r, decode(name, tableOf(s), s, r)
		},
	}
	for i := range fields {
		f := &fields[i]
		k.Fields = append(k.Fields, FieldInfo{f.number, f.name, f.unit, f.since})
	}
	return k
}

// KindOf returns the kind of a sentence; nil for a maker's own, a query and one that is
// not read here.
func KindOf(s *Sentence) *Kind {
	if s.IsMakers() {
		return nil
	}
	for i := range Kinds {
		if Kinds[i].Name == s.Type {
			return &Kinds[i]
		}
	}
	return nil
}

// Describe tells every field of a scanned sentence, by number, name, unit and meaning.
// Of a sentence that no table knows it returns the fields as they are.
func Describe(s *Sentence) []FieldText {
	if k := KindOf(s); k != nil {
		return k.Describe(s)
	}
	if _, wanted, ok := s.Query(); ok {
		t := FieldText{Number: 1, Name: "sentence asked for", Value: wanted}
		for i := range Kinds {
			if Kinds[i].Name == wanted {
				t.Meaning = Kinds[i].Title
			}
		}
		return append([]FieldText{t}, unnamed(s, 2, "not in the form of a query")...)
	}
	if s.IsMakers() {
		return unnamed(s, 1, "the maker's own")
	}
	return unnamed(s, 1, "of a sentence that is not in our tables")
}

// Title says what a sentence is, with who says it: "the fix: …, by several systems together".
func Title(s *Sentence) string {
	var what string
	k := KindOf(s)
	listener, wanted, query := s.Query()
	switch {
	case s.IsMakers():
		return "a maker's own sentence; its manual describes it"
	case k != nil:
		what = k.Title
	case query:
		what = "asks " + listener + " for " + wanted
	default:
		what = "a sentence that is not in our tables"
	}
	who := TalkerTitle(s.Talker)
	if who == "" {
		who = "talker " + strings.ToUpper(s.Talker)
	}
	return what + "; " + who
}
