package nmea

// HDT is the heading, not the course: where the bow points.
type HDT struct {
	HeadingDeg decimals // true
}

// hdtFields is the sentence, in order. To add a field, add a line.
var hdtFields = []field[HDT]{
	{1, "heading, true", "", upTo(360, "degrees", func(r *HDT) *decimals { return &r.HeadingDeg })},
	{2, "T for true", "", constant("T", always[HDT])},
}

// DecodeHDT reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeHDT(s *Sentence) (r HDT, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeHDT into a record that is there already.
func (r *HDT) Decode(s *Sentence) error { return decode(hdtName, hdtFields, s, r) }

// Encode writes the sentence.
func (r HDT) Encode(talker string) string { return encode(talker, hdtName, hdtFields, &r) }

const hdtName = "HDT"
