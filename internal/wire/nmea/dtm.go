package nmea

// DTM is the datum that positions refer to, and how far it is from a reference.
type DTM struct {
	Datum       string // "W84", "W72", "S85", "P90", "999" for the user's own, or an IHO code
	Subdivision string
	LatMinutes  decimals // offset, north positive
	LonMinutes  decimals // offset, east positive
	AltitudeM   decimals // offset
	Reference   string   // "W84" is usual
}

// dtmFields is the sentence, in order. To add a field, add a line.
var dtmFields = []field[DTM]{
	{1, "local datum", "", meaning(words(func(r *DTM) *string { return &r.Datum }), meanDatum)},
	{2, "subdivision of the datum", "", words(func(r *DTM) *string { return &r.Subdivision })},
	{3, "latitude offset", "", signed("minutes", "NS", func(r *DTM) *decimals { return &r.LatMinutes })},
	{4, "north or south", "", sign("NS", func(r *DTM) *decimals { return &r.LatMinutes })},
	{5, "longitude offset", "", signed("minutes", "EW", func(r *DTM) *decimals { return &r.LonMinutes })},
	{6, "east or west", "", sign("EW", func(r *DTM) *decimals { return &r.LonMinutes })},
	{7, "altitude offset", "", number("metres", func(r *DTM) *decimals { return &r.AltitudeM })},
	{8, "reference datum", "", meaning(words(func(r *DTM) *string { return &r.Reference }), meanDatum)},
}

func meanDatum(s *Sentence, n int) string {
	switch s.Field(n) {
	case "W84":
		return "WGS 84"
	case "W72":
		return "WGS 72"
	case "S85":
		return "SGS 85"
	case "P90":
		return "PE 90"
	case "999":
		return "the user's own"
	}
	return ""
}

// DecodeDTM reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeDTM(s *Sentence) (r DTM, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeDTM into a record that is there already.
func (r *DTM) Decode(s *Sentence) error { return decode(dtmName, dtmFields, s, r) }

// Encode writes the sentence.
func (r DTM) Encode(talker string) string { return encode(talker, dtmName, dtmFields, &r) }

const dtmName = "DTM"
