package nmea

// GRS is how well each range fits the position. The order of the residuals is that
// of the satellites in the GSA of the same system.
type GRS struct {
	Time               clockTime // since midnight UTC
	Recomputed         wholes    // 0: as used in the fix; 1: computed again after it
	ResidualsM         [12]decimals
	SystemID, SignalID wholes // since version 4.1
}

// grsFields is the sentence, in order. To add a field, add a line.
var grsFields = grsTable()

func grsTable() []field[GRS] {
	fields := []field[GRS]{
		{1, "time of measurement", "", clock(func(r *GRS) *clockTime { return &r.Time })},
		{2, "kind of residuals", "", meaning(count(1, func(r *GRS) *wholes { return &r.Recomputed }), meanResiduals)},
	}
	for i := range len(GRS{}.ResidualsM) {
		fields = append(fields, field[GRS]{3 + i, "range residual", "",
			number("metres", func(r *GRS) *decimals { return &r.ResidualsM[i] })})
	}
	return append(fields,
		field[GRS]{15, "system", "4.1", meaning(hexDigit(func(r *GRS) *wholes { return &r.SystemID }), meanSystem)},
		field[GRS]{16, "signal", "4.1", meaning(hexDigit(func(r *GRS) *wholes { return &r.SignalID }), meanSystemSignal)},
	)
}

func meanResiduals(s *Sentence, n int) string {
	if s.Field(n) == "1" {
		return "computed again after the fix"
	}
	return "as used in the fix"
}

// DecodeGRS reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGRS(s *Sentence) (r GRS, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeGRS into a record that is there already.
func (r *GRS) Decode(s *Sentence) error { return decode(grsName, grsFields, s, r) }

// Encode writes the sentence, in the newest form that its values call for.
func (r GRS) Encode(talker string) string { return encode(talker, grsName, grsFields, &r) }

const grsName = "GRS"
