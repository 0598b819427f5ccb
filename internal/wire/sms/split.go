package sms

import "fmt"

// maxParts is how many parts a text can have: one octet counts them, TS 23.040
// clause 9.2.3.24.1.
const maxParts = 255

// A Piece is one message of a text: what goes into Submit or Deliver.
type Piece struct {
	DCS    byte
	Header Header // nil when the text fits into one message and needs no shift
	Text   string
}

// Split cuts text into as few messages as hold it.
func Split(text string, o Options) ([]Piece, error) {
	f, p := o.plan(text)
	if f.Units <= p.alone {
		return []Piece{{DCS: f.DCS, Header: o.header(f.Shift, Concat{}), Text: text}}, nil
	}
	if limit := 255; o.Reference < 0 || o.Wide && o.Reference > 65535 || !o.Wide && o.Reference > limit {
		return nil, &ValueError{Field: "reference", Had: fmt.Sprint(o.Reference), Want: "0 to 255, or to 65535 when wide", Clause: "TS 23.040 9.2.3.24.1"}
	}
	var pieces []Piece
	for rest := text; rest != ""; {
		n, _ := p.next(rest, p.long)
		if n == 0 || len(pieces) == maxParts {
			return nil, &ValueError{Field: "text", Had: fmt.Sprintf("%d units", f.Units), Want: fmt.Sprintf("at most %d parts of %d", maxParts, p.long), Clause: "TS 23.040 9.2.3.24.1"}
		}
		pieces = append(pieces, Piece{DCS: f.DCS, Text: rest[:n]})
		rest = rest[n:]
	}
	for i := range pieces {
		c := Concat{Reference: o.Reference, Wide: o.Wide, Total: len(pieces), Part: i + 1}
		pieces[i].Header = o.header(f.Shift, c)
	}
	return pieces, nil
}

// Compose writes text to one recipient in as many messages as it takes. Everything
// else comes from base: validity, reports, service centre.
func Compose(base Submit, to, text string, o Options) ([]Submit, error) {
	number := ReadNumber(to)
	if number.Name || number.Normal == "" || number.Normal == "+" {
		return nil, &ValueError{Field: "destination", Had: fmt.Sprintf("%q", to), Want: "a number", Clause: "TS 23.040 9.2.3.8"}
	}
	pieces, err := Split(text, o)
	if err != nil {
		return nil, err
	}
	out := make([]Submit, len(pieces))
	for i, piece := range pieces {
		out[i] = base
		out[i].To, out[i].DCS, out[i].Header, out[i].Text, out[i].Octets = NewAddress(to), piece.DCS, piece.Header, piece.Text, nil
	}
	return out, nil
}
