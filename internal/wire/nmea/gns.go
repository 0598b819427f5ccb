package nmea

import "strings"

// GNS is the fix of several systems together.
type GNS struct {
	Time             clockTime // since midnight UTC
	Lat, Lon         angle
	Modes            string // one letter a system: GPS, GLONASS, Galileo, BeiDou, QZSS, NavIC; see Mode
	SatellitesUsed   wholes
	HDOP             decimals
	AltitudeM        decimals // above mean sea level
	GeoidM           decimals // geoid above the ellipsoid
	DifferentialAgeS decimals
	StationID        wholes
	NavStatus        NavStatus // since version 4.1
}

// Mode is the best of Modes: the first of R, F, P, D, A that is among them; else
// the first letter that is not N; else N. 0 when nothing is said.
func (r *GNS) Mode() Mode {
	best := Mode(0)
	rank := func(m Mode) int { return strings.IndexByte("NSMEADPFR", byte(m)) }
	for i := range len(r.Modes) {
		if m := Mode(r.Modes[i]); best == 0 || rank(m) > rank(best) {
			best = m
		}
	}
	return best
}

// gnsFields is the sentence, in order. To add a field, add a line.
var gnsFields = []field[GNS]{
	{1, "time of measurement", "", clock(func(r *GNS) *clockTime { return &r.Time })},
	{2, "latitude", "", latitude(func(r *GNS) *angle { return &r.Lat })},
	{3, "north or south", "", side("NS", func(r *GNS) *angle { return &r.Lat })},
	{4, "longitude", "", longitude(func(r *GNS) *angle { return &r.Lon })},
	{5, "east or west", "", side("EW", func(r *GNS) *angle { return &r.Lon })},
	{6, "mode of each system", "", gnsModes},
	{7, "satellites used", "", padded(2, count(999, func(r *GNS) *wholes { return &r.SatellitesUsed }))},
	{8, "HDOP", "", upTo(noLimit, "", func(r *GNS) *decimals { return &r.HDOP })},
	{9, "altitude above mean sea level", "", number("metres", func(r *GNS) *decimals { return &r.AltitudeM })},
	{10, "geoid above the ellipsoid", "", number("metres", func(r *GNS) *decimals { return &r.GeoidM })},
	{11, "age of differential data", "", upTo(noLimit, "seconds", func(r *GNS) *decimals { return &r.DifferentialAgeS })},
	{12, "differential station id", "", padded(4, count(maxStation, func(r *GNS) *wholes { return &r.StationID }))},
	{13, "navigational status", "4.1", code(&navStatuses, func(r *GNS) *NavStatus { return &r.NavStatus })},
}

// gnsSystems is the order of the letters; older versions define the first two only.
var gnsSystems = [...]string{GPS, GLONASS, Galileo, BeiDou, QZSS, NavIC}

var gnsModes = codec[GNS]{
	read: func(r *GNS, s *Sentence, n int) string {
		text := s.Field(n)
		for i := range len(text) {
			if modes[text[i]] == "" {
				return "letters out of " + lettersOf(&modes)
			}
		}
		if len(text) > len(gnsSystems) {
			return "at most six letters"
		}
		r.Modes = text
		return ""
	},
	write: func(r *GNS) string { return r.Modes },
	mean: func(s *Sentence, n int) string {
		var list []string
		for i, c := range []byte(s.Field(n)) {
			list = append(list, gnsSystems[i]+" "+Mode(c).String())
		}
		return strings.Join(list, ", ")
	},
}

// DecodeGNS reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGNS(s *Sentence) (r GNS, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeGNS into a record that is there already.
func (r *GNS) Decode(s *Sentence) error { return decode(gnsName, gnsFields, s, r) }

// Encode writes the sentence, in the newest form that its values call for.
func (r GNS) Encode(talker string) string { return encode(talker, gnsName, gnsFields, &r) }

const gnsName = "GNS"
