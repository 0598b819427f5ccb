package nmea

// GLL is the position alone, with its time. A very old form has only the first four
// fields (from memory).
type GLL struct {
	Lat, Lon angle
	Time     clockTime // since midnight UTC
	Valid    truth     // status A
	Mode     Mode      // since version 2.3
}

// gllFields is the sentence, in order. To add a field, add a line.
var gllFields = []field[GLL]{
	{1, "latitude", "", latitude(func(r *GLL) *angle { return &r.Lat })},
	{2, "north or south", "", side("NS", func(r *GLL) *angle { return &r.Lat })},
	{3, "longitude", "", longitude(func(r *GLL) *angle { return &r.Lon })},
	{4, "east or west", "", side("EW", func(r *GLL) *angle { return &r.Lon })},
	{5, "time of measurement", "", clock(func(r *GLL) *clockTime { return &r.Time })},
	{6, "status", "", status(func(r *GLL) *truth { return &r.Valid })},
	{7, "mode", "2.3", code(&modes, func(r *GLL) *Mode { return &r.Mode })},
}

// DecodeGLL reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGLL(s *Sentence) (r GLL, err error) {
	if r.quick(s) {
		return r, nil
	}
	err = decodeInto(gllName, gllFields, s, &r)
	return r, err
}

// Decode is DecodeGLL into a record that is there already.
func (r *GLL) Decode(s *Sentence) error {
	if r.quick(s) {
		return nil
	}
	return decodeInto(gllName, gllFields, s, r)
}

// Encode writes the sentence, in the newest form that its values call for.
func (r GLL) Encode(talker string) string { return encode(talker, gllName, gllFields, &r) }

const gllName = "GLL"

// quick does what gllFields says, for a sentence without surprises.
func (r *GLL) quick(s *Sentence) bool {
	if !s.quick || s.Count < 6 || s.Count > 7 {
		return false
	}
	*r = GLL{}
	ok := s.angle(1, 4, 'N', 'S', &r.Lat) &&
		s.angle(3, 5, 'E', 'W', &r.Lon) &&
		s.clock(5, &r.Time) &&
		s.status(6, &r.Valid)
	if s.Count > 6 {
		r.Mode = Mode(s.letter(7))
		ok = ok && (r.Mode == 0 || modes[r.Mode] != "")
	}
	return ok
}
