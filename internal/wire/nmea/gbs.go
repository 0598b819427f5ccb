package nmea

// GBS is the receiver's search for a faulty satellite.
type GBS struct {
	Time                  clockTime // since midnight UTC
	LatM, LonM, AltitudeM decimals  // expected errors
	Satellite             int       // the most suspect one; 0: none named
	MissedProbability     decimals
	BiasM, BiasDeviationM decimals
	SystemID, SignalID    wholes // since version 4.1
}

// gbsFields is the sentence, in order. To add a field, add a line.
var gbsFields = []field[GBS]{
	{1, "time of measurement", "", clock(func(r *GBS) *clockTime { return &r.Time })},
	{2, "expected latitude error", "", number("metres", func(r *GBS) *decimals { return &r.LatM })},
	{3, "expected longitude error", "", number("metres", func(r *GBS) *decimals { return &r.LonM })},
	{4, "expected altitude error", "", number("metres", func(r *GBS) *decimals { return &r.AltitudeM })},
	{5, "most suspect satellite", "", satelliteID(func(r *GBS) *int { return &r.Satellite })},
	{6, "probability of missed detection", "", upTo(1, "", func(r *GBS) *decimals { return &r.MissedProbability })},
	{7, "estimate of its bias", "", number("metres", func(r *GBS) *decimals { return &r.BiasM })},
	{8, "deviation of the bias", "", upTo(noLimit, "metres", func(r *GBS) *decimals { return &r.BiasDeviationM })},
	{9, "system", "4.1", meaning(hexDigit(func(r *GBS) *wholes { return &r.SystemID }), meanSystem)},
	{10, "signal", "4.1", meaning(hexDigit(func(r *GBS) *wholes { return &r.SignalID }), meanSystemSignal)},
}

// meanSystemSignal names a signal of the system in the field before.
func meanSystemSignal(s *Sentence, n int) string {
	system := SystemName(hexValue(letterOf(s.Field(n - 1))))
	return orUnlisted(SignalName(system, hexValue(letterOf(s.Field(n)))))
}

// DecodeGBS reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGBS(s *Sentence) (r GBS, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeGBS into a record that is there already.
func (r *GBS) Decode(s *Sentence) error { return decode(gbsName, gbsFields, s, r) }

// Encode writes the sentence, in the newest form that its values call for.
func (r GBS) Encode(talker string) string { return encode(talker, gbsName, gbsFields, &r) }

const gbsName = "GBS"
