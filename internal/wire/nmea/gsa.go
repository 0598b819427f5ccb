package nmea

// GSA is the satellites used in the fix, and its dilution. With several systems
// there is one GSA for each.
type GSA struct {
	Selection  byte    // 'M': 2D or 3D chosen by hand; 'A': by the receiver; 0: not said
	Fix        wholes  // 1 none, 2 two-dimensional, 3 three-dimensional
	Satellites [12]int // the ids that are given, in order; see Used
	Used       int     // how many of Satellites are given
	PDOP       decimals
	HDOP       decimals
	VDOP       decimals
	SystemID   wholes // see SystemName; since version 4.1
}

// IDs are the satellites used.
func (r *GSA) IDs() []int { return r.Satellites[:r.Used] }

// gsaFields is the sentence, in order. To add a field, add a line.
var gsaFields = gsaTable()

func gsaTable() []field[GSA] {
	fields := []field[GSA]{
		{1, "choice of dimensions", "", code(&gsaSelections, func(r *GSA) *byte { return &r.Selection })},
		{2, "fix", "", meaning(atLeast(1, 3, func(r *GSA) *wholes { return &r.Fix }), meanFix)},
	}
	for i := range len(GSA{}.Satellites) {
		fields = append(fields, field[GSA]{3 + i, "satellite used", "", gsaSatellite(i)})
	}
	return append(fields,
		field[GSA]{15, "PDOP", "", upTo(noLimit, "", func(r *GSA) *decimals { return &r.PDOP })},
		field[GSA]{16, "HDOP", "", upTo(noLimit, "", func(r *GSA) *decimals { return &r.HDOP })},
		field[GSA]{17, "VDOP", "", upTo(noLimit, "", func(r *GSA) *decimals { return &r.VDOP })},
		field[GSA]{18, "system", "4.1", meaning(hexDigit(func(r *GSA) *wholes { return &r.SystemID }), meanSystem)},
	)
}

var gsaSelections = [256]string{'M': "2D or 3D chosen by hand", 'A': "2D or 3D chosen by the receiver"}

func meanFix(s *Sentence, n int) string { return fixTypes[s.Field(n)[0]-'0'] }

func meanSystem(s *Sentence, n int) string {
	return orUnlisted(SystemName(hexValue(letterOf(s.Field(n)))))
}

// gsaSatellite is the next satellite id that is given; the record keeps them side by side.
func gsaSatellite(i int) codec[GSA] {
	return codec[GSA]{
		read: func(r *GSA, s *Sentence, n int) string {
			id, want := readSatellite(s.Field(n))
			if id > 0 {
				r.Satellites[r.Used] = id
				r.Used++
			}
			return want
		},
		write: func(r *GSA) string {
			if i >= r.Used {
				return ""
			}
			return writeSatellite(r.Satellites[i])
		},
		mean: func(s *Sentence, n int) string {
			id, _ := readSatellite(s.Field(n))
			system := hexValue(letterOf(s.Field(18)))
			return SystemOf(s.Talker, max(system, 0), id)
		},
	}
}

// DecodeGSA reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGSA(s *Sentence) (r GSA, err error) {
	if r.quick(s) {
		return r, nil
	}
	err = decodeInto(gsaName, gsaFields, s, &r)
	return r, err
}

// Decode is DecodeGSA into a record that is there already.
func (r *GSA) Decode(s *Sentence) error {
	if r.quick(s) {
		return nil
	}
	return decodeInto(gsaName, gsaFields, s, r)
}

// Encode writes the sentence, in the newest form that its values call for.
func (r GSA) Encode(talker string) string { return encode(talker, gsaName, gsaFields, &r) }

const gsaName = "GSA"

// quick does what gsaFields says, for a sentence without surprises.
func (r *GSA) quick(s *Sentence) bool {
	if !s.quick || s.Count < 17 || s.Count > 18 {
		return false
	}
	*r = GSA{Selection: s.letter(1)}
	ok := (r.Selection == 0 || gsaSelections[r.Selection] != "") &&
		s.whole(2, 3, &r.Fix) &&
		s.number(15, 0, noLimit, &r.PDOP) &&
		s.number(16, 0, noLimit, &r.HDOP) &&
		s.number(17, 0, noLimit, &r.VDOP)
	if fix, known := r.Fix.Get(); !ok || (known && fix < 1) {
		return false
	}
	for n := 3; n < 15; n++ {
		start, end := s.span(n)
		if start == end {
			if int(s.cuts[14])-start == 14-n {
				break // none follows
			}
			continue
		}
		if end-start != 2 || r.Used >= len(r.Satellites) {
			return false
		}
		tens, units := s.Text[start]-'0', s.Text[start+1]-'0'
		id := int(tens)*10 + int(units)
		if tens > 9 || units > 9 || id == 0 {
			return false
		}
		r.Satellites[r.Used] = id
		r.Used++
	}
	if s.Count > 17 {
		return s.hexDigit(18, &r.SystemID)
	}
	return true
}
