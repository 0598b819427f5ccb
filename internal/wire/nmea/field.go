package nmea

import (
	"errors"
	"fmt"
	"strings"
)

// A FieldError says which field of a sentence could not be read, what was there
// and what would have fitted. One bad field costs that field and no other.
type FieldError struct {
	Sentence string // "RMC"
	Number   int    // from 1
	Name     string // "speed over ground, knots"
	Text     string // what was there
	Want     string
}

func (e *FieldError) Error() string {
	return fmt.Sprintf("nmea: %s field %d (%s) %q: want %s", e.Sentence, e.Number, e.Name, clip(e.Text), e.Want)
}

// A field is one row of the table of a sentence whose record is an R.
type field[R any] struct {
	number int
	name   string
	since  string // version that added it; such fields may be missing at the end
	codec[R]
}

// A codec is how one field of a record is spelled.
type codec[R any] struct {
	unit string
	// read puts field n of s into r. It returns what would have fitted, "" for
	// all well. An empty field is well and stays not known.
	read func(r *R, s *Sentence, n int) (want string)
	// write is the text of the field; "" for not known.
	write func(r *R) string
	// mean puts the text of field n into words; nil or "" when there is nothing to add.
	mean func(s *Sentence, n int) string
}

func (f *field[R]) title() string {
	if f.unit == "" {
		return f.name
	}
	return f.name + ", " + f.unit
}

func (f *field[R]) check(r *R, s *Sentence, name string) *FieldError {
	want := f.read(r, s, f.number)
	if want == "" {
		return nil
	}
	return &FieldError{name, f.number, f.title(), s.Field(f.number), want}
}

// decode reads all fields of a table into r, which it clears first. errors.Join lists
// the fields that it could not read.
func decode[R any](name string, fields []field[R], s *Sentence, r *R) error {
	var none R
	*r = none
	var wrong []error
	for i := range fields {
		if err := fields[i].check(r, s, name); err != nil {
			wrong = append(wrong, err)
		}
	}
	return errors.Join(wrong...)
}

// encode writes a sentence from a table. Fields that a later version added are left
// out at the end when they are not known: so a record keeps the form it came in.
func encode[R any](talker, name string, fields []field[R], r *R) string {
	texts := make([]string, len(fields))
	last := 0
	for i := range fields {
		texts[i] = fields[i].write(r)
		if fields[i].since == "" || texts[i] != "" {
			last = i + 1
		}
	}
	return Format(talker+name, texts[:last]...)
}

// Format writes a sentence: "$", the address, the fields, and the checksum; no line end.
func Format(address string, fields ...string) string {
	size := len("$*00") + len(address)
	for _, f := range fields {
		size += 1 + len(f)
	}
	var b strings.Builder
	b.Grow(size)
	b.WriteByte('$')
	b.WriteString(address)
	for _, f := range fields {
		b.WriteByte(',')
		b.WriteString(f)
	}
	var sum byte
	for _, c := range []byte(b.String()[1:]) {
		sum ^= c
	}
	const digits = "0123456789ABCDEF"
	b.WriteByte('*')
	b.WriteByte(digits[sum>>4])
	b.WriteByte(digits[sum&15])
	return b.String()
}

// FieldText is one field of a sentence, for people.
type FieldText struct {
	Number  int
	Name    string
	Unit    string // "" when it has none
	Since   string // version of the standard that added the field; "" for always
	Value   string // as written; "" for not known
	Meaning string // in words; "" when Value says all
	Err     error  // why it could not be read; a *FieldError, or nil
}

// describe goes through a table and the sentence side by side. Fields the table does
// not have come last.
func describe[R any](name string, fields []field[R], s *Sentence) []FieldText {
	r := new(R)
	out := make([]FieldText, 0, max(len(fields), s.Count))
	next := 1
	for i := range fields {
		f := &fields[i]
		next = f.number + 1
		t := FieldText{Number: f.number, Name: f.name, Unit: f.unit, Since: f.since, Value: s.Field(f.number)}
		if err := f.check(r, s, name); err != nil {
			t.Err = err
		} else if f.mean != nil && t.Value != "" {
			t.Meaning = f.mean(s, f.number)
		}
		if f.number <= s.Count || t.Err != nil {
			out = append(out, t)
		}
	}
	return append(out, unnamed(s, next, "not in the table of this sentence")...)
}

func unnamed(s *Sentence, first int, name string) []FieldText {
	var out []FieldText
	for n := first; n <= s.Count; n++ {
		out = append(out, FieldText{Number: n, Name: name, Value: s.Field(n)})
	}
	return out
}

// decodeInto is decode for a record that shall not move to the heap because of the
// functions in its table: only the unusual sentence pays for a record there.
func decodeInto[R any](name string, fields []field[R], s *Sentence, r *R) error {
	own := new(R)
	err := decode(name, fields, s, own)
	*r = *own
	return err
}
