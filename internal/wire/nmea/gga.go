package nmea

// GGA is the fix: time, position, quality, height. Its layout never changed.
type GGA struct {
	Time             clockTime // since midnight UTC
	Lat, Lon         angle
	Quality          wholes // see QualityMeaning
	SatellitesUsed   wholes
	HDOP             decimals
	AltitudeM        decimals // above mean sea level
	GeoidM           decimals // geoid above the ellipsoid; height above the ellipsoid is their sum
	DifferentialAgeS decimals
	StationID        wholes // differential reference station
}

// ggaFields is the sentence, in order. To add a field, add a line.
var ggaFields = []field[GGA]{
	{1, "time of measurement", "", clock(func(r *GGA) *clockTime { return &r.Time })},
	{2, "latitude", "", latitude(func(r *GGA) *angle { return &r.Lat })},
	{3, "north or south", "", side("NS", func(r *GGA) *angle { return &r.Lat })},
	{4, "longitude", "", longitude(func(r *GGA) *angle { return &r.Lon })},
	{5, "east or west", "", side("EW", func(r *GGA) *angle { return &r.Lon })},
	{6, "quality", "", meaning(count(len(qualities)-1, func(r *GGA) *wholes { return &r.Quality }), meanQuality)},
	{7, "satellites used", "", padded(2, count(999, func(r *GGA) *wholes { return &r.SatellitesUsed }))},
	{8, "HDOP", "", upTo(noLimit, "", func(r *GGA) *decimals { return &r.HDOP })},
	{9, "altitude above mean sea level", "", number("metres", func(r *GGA) *decimals { return &r.AltitudeM })},
	{10, "unit of altitude", "", constant("M", func(r *GGA) bool { return r.AltitudeM.IsKnown() })},
	{11, "geoid above the ellipsoid", "", number("metres", func(r *GGA) *decimals { return &r.GeoidM })},
	{12, "unit of geoid separation", "", constant("M", func(r *GGA) bool { return r.GeoidM.IsKnown() })},
	{13, "age of differential data", "", upTo(noLimit, "seconds", func(r *GGA) *decimals { return &r.DifferentialAgeS })},
	{14, "differential station id", "", padded(4, count(maxStation, func(r *GGA) *wholes { return &r.StationID }))},
}

// maxStation: the sentence says 0000 to 1023; newer correction formats number
// their stations up to 4095 (from memory).
const maxStation = 4095

func meanQuality(s *Sentence, n int) string {
	quality, _ := readWhole(s.Field(n), len(qualities))
	return QualityMeaning(quality)
}

// DecodeGGA reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGGA(s *Sentence) (r GGA, err error) {
	if r.quick(s) {
		return r, nil
	}
	err = decodeInto(ggaName, ggaFields, s, &r)
	return r, err
}

// Decode is DecodeGGA into a record that is there already.
func (r *GGA) Decode(s *Sentence) error {
	if r.quick(s) {
		return nil
	}
	return decodeInto(ggaName, ggaFields, s, r)
}

// Encode writes the sentence.
func (r GGA) Encode(talker string) string { return encode(talker, ggaName, ggaFields, &r) }

const ggaName = "GGA"

// quick does what ggaFields says, for a sentence without surprises.
func (r *GGA) quick(s *Sentence) bool {
	if !s.quick || s.Count != 14 {
		return false
	}
	*r = GGA{}
	return s.clock(1, &r.Time) &&
		s.angle(2, 4, 'N', 'S', &r.Lat) &&
		s.angle(4, 5, 'E', 'W', &r.Lon) &&
		s.whole(6, len(qualities)-1, &r.Quality) &&
		s.whole(7, 999, &r.SatellitesUsed) &&
		s.number(8, 0, noLimit, &r.HDOP) &&
		s.number(9, -noLimit, noLimit, &r.AltitudeM) &&
		s.constant(10, 'M') &&
		s.number(11, -noLimit, noLimit, &r.GeoidM) &&
		s.constant(12, 'M') &&
		s.number(13, 0, noLimit, &r.DifferentialAgeS) &&
		s.whole(14, maxStation, &r.StationID)
}
