package nmea

// RMC is the recommended minimum: time, validity, position, speed, course, date.
type RMC struct {
	Time         clockTime // since midnight UTC
	Valid        truth     // status A
	Lat, Lon     angle
	SpeedKnots   decimals
	CourseDeg    decimals // true
	Date         calendar
	VariationDeg decimals  // magnetic, east positive; subtract it from a true course
	Mode         Mode      // since version 2.3
	NavStatus    NavStatus // since version 4.1
}

// rmcFields is the sentence, in order. To add a field, add a line.
var rmcFields = []field[RMC]{
	{1, "time of measurement", "", clock(func(r *RMC) *clockTime { return &r.Time })},
	{2, "status", "", status(func(r *RMC) *truth { return &r.Valid })},
	{3, "latitude", "", latitude(func(r *RMC) *angle { return &r.Lat })},
	{4, "north or south", "", side("NS", func(r *RMC) *angle { return &r.Lat })},
	{5, "longitude", "", longitude(func(r *RMC) *angle { return &r.Lon })},
	{6, "east or west", "", side("EW", func(r *RMC) *angle { return &r.Lon })},
	{7, "speed over ground", "", knots(func(r *RMC) *decimals { return &r.SpeedKnots })},
	{8, "course over ground, true", "", upTo(360, "degrees", func(r *RMC) *decimals { return &r.CourseDeg })},
	{9, "date", "", date(func(r *RMC) *calendar { return &r.Date })},
	{10, "magnetic variation", "", signed("degrees", "EW", func(r *RMC) *decimals { return &r.VariationDeg })},
	{11, "variation east or west", "", sign("EW", func(r *RMC) *decimals { return &r.VariationDeg })},
	{12, "mode", "2.3", code(&modes, func(r *RMC) *Mode { return &r.Mode })},
	{13, "navigational status", "4.1", code(&navStatuses, func(r *RMC) *NavStatus { return &r.NavStatus })},
}

// DecodeRMC reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeRMC(s *Sentence) (r RMC, err error) {
	if r.quick(s) {
		return r, nil
	}
	err = decodeInto(rmcName, rmcFields, s, &r)
	return r, err
}

// Decode is DecodeRMC into a record that is there already.
func (r *RMC) Decode(s *Sentence) error {
	if r.quick(s) {
		return nil
	}
	return decodeInto(rmcName, rmcFields, s, r)
}

// Encode writes the sentence, in the newest form that its values call for.
func (r RMC) Encode(talker string) string { return encode(talker, rmcName, rmcFields, &r) }

const rmcName = "RMC"

// quick does what rmcFields says, for a sentence without surprises.
func (r *RMC) quick(s *Sentence) bool {
	if !s.quick || s.Count < 11 || s.Count > 13 {
		return false
	}
	*r = RMC{}
	ok := s.clock(1, &r.Time) &&
		s.status(2, &r.Valid) &&
		s.angle(3, 4, 'N', 'S', &r.Lat) &&
		s.angle(5, 5, 'E', 'W', &r.Lon) &&
		s.number(7, 0, noLimit, &r.SpeedKnots) &&
		s.number(8, 0, 360, &r.CourseDeg) &&
		s.date(9, &r.Date) &&
		s.cuts[11] == s.cuts[9]+2 // no variation
	if !ok {
		return false
	}
	if s.Count > 11 {
		r.Mode = Mode(s.letter(12))
		ok = r.Mode == 0 || modes[r.Mode] != ""
	}
	if s.Count > 12 {
		r.NavStatus = NavStatus(s.letter(13))
		ok = ok && (r.NavStatus == 0 || navStatuses[r.NavStatus] != "")
	}
	return ok
}
