package nmea

// VTG is course and speed over ground.
type VTG struct {
	CourseDeg         decimals // true
	CourseMagneticDeg decimals
	SpeedKnots        decimals
	SpeedKMH          decimals
	Mode              Mode // since version 2.3
}

// vtgFields is the sentence, in order. To add a field, add a line.
var vtgFields = []field[VTG]{
	{1, "course over ground, true", "", upTo(360, "degrees", func(r *VTG) *decimals { return &r.CourseDeg })},
	{2, "T for true", "", constant("T", always[VTG])},
	{3, "course over ground, magnetic", "", upTo(360, "degrees", func(r *VTG) *decimals { return &r.CourseMagneticDeg })},
	{4, "M for magnetic", "", constant("M", always[VTG])},
	{5, "speed over ground", "", knots(func(r *VTG) *decimals { return &r.SpeedKnots })},
	{6, "N for knots", "", constant("N", always[VTG])},
	{7, "speed over ground", "", upTo(noLimit, "km/h", func(r *VTG) *decimals { return &r.SpeedKMH })},
	{8, "K for km/h", "", constant("K", always[VTG])},
	{9, "mode", "2.3", code(&modes, func(r *VTG) *Mode { return &r.Mode })},
}

// vtgOldFields is a very old form without the letters (from memory). It has four
// fields, and its second is not a T.
var vtgOldFields = []field[VTG]{
	{1, "course over ground, true", "", upTo(360, "degrees", func(r *VTG) *decimals { return &r.CourseDeg })},
	{2, "course over ground, magnetic", "", upTo(360, "degrees", func(r *VTG) *decimals { return &r.CourseMagneticDeg })},
	{3, "speed over ground", "", knots(func(r *VTG) *decimals { return &r.SpeedKnots })},
	{4, "speed over ground", "", upTo(noLimit, "km/h", func(r *VTG) *decimals { return &r.SpeedKMH })},
}

func vtgTable(s *Sentence) []field[VTG] {
	if s.Count == 4 && s.Field(2) != "T" && s.Field(4) != "M" {
		return vtgOldFields
	}
	return vtgFields
}

// DecodeVTG reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeVTG(s *Sentence) (r VTG, err error) {
	if r.quick(s) {
		return r, nil
	}
	err = decodeInto(vtgName, vtgTable(s), s, &r)
	return r, err
}

// Decode is DecodeVTG into a record that is there already.
func (r *VTG) Decode(s *Sentence) error {
	if r.quick(s) {
		return nil
	}
	return decodeInto(vtgName, vtgTable(s), s, r)
}

// Encode writes the sentence, in the newest form that its values call for.
func (r VTG) Encode(talker string) string { return encode(talker, vtgName, vtgFields, &r) }

const vtgName = "VTG"

// quick does what vtgFields says, for a sentence without surprises.
func (r *VTG) quick(s *Sentence) bool {
	if !s.quick || s.Count < 8 || s.Count > 9 {
		return false
	}
	*r = VTG{}
	ok := s.number(1, 0, 360, &r.CourseDeg) &&
		s.constant(2, 'T') &&
		s.number(3, 0, 360, &r.CourseMagneticDeg) &&
		s.constant(4, 'M') &&
		s.number(5, 0, noLimit, &r.SpeedKnots) &&
		s.constant(6, 'N') &&
		s.number(7, 0, noLimit, &r.SpeedKMH) &&
		s.constant(8, 'K')
	if s.Count > 8 {
		r.Mode = Mode(s.letter(9))
		ok = ok && (r.Mode == 0 || modes[r.Mode] != "")
	}
	return ok
}
