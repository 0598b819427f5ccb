package nmea

import (
	"fmt"
	"strings"
)

// TXT is a text of the receiver: notices, the state of its antenna.
type TXT struct {
	Total  wholes // sentences of the text
	Number wholes // of this one, from 1
	ID     wholes // kind of text, the maker's choice; often 00 error, 01 warning, 02 notice (common practice, no source)
	Text   string // as meant: "^hh" is put back into its character
}

// txtFields is the sentence, in order. To add a field, add a line.
var txtFields = []field[TXT]{
	{1, "sentences of the text", "", padded(2, count(99, func(r *TXT) *wholes { return &r.Total }))},
	{2, "number of this sentence", "", padded(2, count(99, func(r *TXT) *wholes { return &r.Number }))},
	{3, "kind of text", "", padded(2, count(99, func(r *TXT) *wholes { return &r.ID }))},
	{4, "text", "", codec[TXT]{
		read:  func(r *TXT, s *Sentence, n int) string { r.Text = unescape(rest(s, n)); return "" },
		write: func(r *TXT) string { return escape(r.Text) },
		mean: func(s *Sentence, n int) string {
			if text := unescape(rest(s, n)); text != s.Field(n) {
				return text
			}
			return ""
		},
	}},
}

// rest is field n and all after it. A comma in a text should be written ^2C; some
// receivers write it as it is.
func rest(s *Sentence, n int) string {
	if s.Count <= n {
		return s.Field(n)
	}
	return strings.Join(s.Fields(nil)[n-1:], ",")
}

// reserved are the characters that a field writes as "^" and two hexadecimal digits;
// all that is not printable ASCII is written so too (from memory).
const reserved = "$!*,\\^~"

func escape(text string) string {
	var b strings.Builder
	for i := range len(text) {
		if c := text[i]; c < ' ' || c > '~' || strings.IndexByte(reserved, c) >= 0 {
			fmt.Fprintf(&b, "^%02X", c)
		} else {
			b.WriteByte(c)
		}
	}
	return b.String()
}

func unescape(text string) string {
	if strings.IndexByte(text, '^') < 0 {
		return text
	}
	out := make([]byte, 0, len(text))
	for i := 0; i < len(text); i++ {
		if text[i] == '^' && i+2 < len(text) && hexValue(text[i+1]) >= 0 && hexValue(text[i+2]) >= 0 {
			out = append(out, byte(hexValue(text[i+1])<<4|hexValue(text[i+2])))
			i += 2
			continue
		}
		out = append(out, text[i])
	}
	return string(out)
}

// DecodeTXT reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeTXT(s *Sentence) (r TXT, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeTXT into a record that is there already.
func (r *TXT) Decode(s *Sentence) error { return decode(txtName, txtFields, s, r) }

// Encode writes the sentence.
func (r TXT) Encode(talker string) string { return encode(talker, txtName, txtFields, &r) }

const txtName = "TXT"
