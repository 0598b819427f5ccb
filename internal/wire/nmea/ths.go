package nmea

// THS is the heading and how it is known.
type THS struct {
	HeadingDeg decimals // true
	Mode       HeadingMode
}

// thsFields is the sentence, in order. To add a field, add a line.
var thsFields = []field[THS]{
	{1, "heading, true", "", upTo(360, "degrees", func(r *THS) *decimals { return &r.HeadingDeg })},
	{2, "mode", "", code(&headingModes, func(r *THS) *HeadingMode { return &r.Mode })},
}

// DecodeTHS reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeTHS(s *Sentence) (r THS, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeTHS into a record that is there already.
func (r *THS) Decode(s *Sentence) error { return decode(thsName, thsFields, s, r) }

// Encode writes the sentence.
func (r THS) Encode(talker string) string { return encode(talker, thsName, thsFields, &r) }

const thsName = "THS"
