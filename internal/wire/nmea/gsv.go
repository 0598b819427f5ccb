package nmea

import (
	"encoding/binary"

	"firstfix/internal/maybe"
)

// GSV is the satellites in view, up to four to a sentence.
type GSV struct {
	Total      wholes    // sentences in the set
	Number     wholes    // of this one, from 1
	InView     wholes    // satellites in the whole set
	Satellites [4]InView // those that are given, in order; see Given
	Given      int       // how many of Satellites are given
	SignalID   wholes    // see SignalName; since version 4.1
}

// InView is one satellite as a GSV tells it.
type InView struct {
	ID           int
	ElevationDeg decimals
	AzimuthDeg   decimals
	CN0DBHz      decimals // not known: not tracked; some receivers write 00 for that (common practice)
}

// Seen are the satellites given.
func (r *GSV) Seen() []InView { return r.Satellites[:r.Given] }

// gsvTables are the sentence, in order, by how many satellites it has room for: the last
// sentence of a set may be short. Then the signal id, since version 4.1, follows the last
// satellite: in "$GPGSV,1,1,00,1*64" field 4 is a signal and no satellite.
var gsvTables = [...][]field[GSV]{gsvTable(0), gsvTable(1), gsvTable(2), gsvTable(3), gsvTable(4)}

func gsvTable(groups int) []field[GSV] {
	fields := []field[GSV]{
		{1, "sentences in the set", "", count(99, func(r *GSV) *wholes { return &r.Total })},
		{2, "number of this sentence", "", count(99, func(r *GSV) *wholes { return &r.Number })},
		{3, "satellites in view", "", padded(2, count(999, func(r *GSV) *wholes { return &r.InView }))},
	}
	for i := range groups {
		n := 4 + 4*i
		fields = append(fields,
			field[GSV]{n, "satellite", "", gsvSatellite(i)},
			field[GSV]{n + 1, "elevation", "", gsvAngle(i, -90, 90, 2, func(v *InView) *decimals { return &v.ElevationDeg })},
			field[GSV]{n + 2, "azimuth", "", gsvAngle(i, 0, 360, 3, func(v *InView) *decimals { return &v.AzimuthDeg })},
			field[GSV]{n + 3, "C/N0", "", gsvSignal(i)},
		)
	}
	return append(fields, field[GSV]{4 + 4*groups, "signal", "4.1",
		meaning(hexDigit(func(r *GSV) *wholes { return &r.SignalID }), meanSignal)})
}

// gsvFields is the table for a sentence of s's length. A length that fits neither form
// is read as if a satellite had been cut short.
func gsvFields(s *Sentence) []field[GSV] {
	groups := max(0, s.Count-3) / 4
	if max(0, s.Count-3)%4 > 1 {
		groups++
	}
	return gsvTables[min(groups, len(gsvTables)-1)]
}

func meanSignal(s *Sentence, n int) string {
	return orUnlisted(SignalName(SystemOf(s.Talker, 0, 1), hexValue(letterOf(s.Field(n)))))
}

// gsvSatellite opens the next satellite of the record; the other fields of its group
// then speak of it. A group without an id is no satellite.
func gsvSatellite(i int) codec[GSV] {
	return codec[GSV]{
		read: func(r *GSV, s *Sentence, n int) string {
			id, want := readSatellite(s.Field(n))
			if id > 0 {
				r.Satellites[r.Given].ID = id
				r.Given++
			}
			if id == 0 && want == "" && s.Field(n+1)+s.Field(n+2)+s.Field(n+3) != "" {
				return "a satellite id"
			}
			if n+2 == s.Count || n+1 == s.Count {
				return "four fields for each satellite"
			}
			return want
		},
		write: func(r *GSV) string {
			if i >= r.Given {
				return ""
			}
			return writeSatellite(r.Satellites[i].ID)
		},
		mean: func(s *Sentence, n int) string {
			id, _ := readSatellite(s.Field(n))
			return SystemOf(s.Talker, 0, id)
		},
	}
}

// gsvAngle is a field of the satellite that was opened last.
func gsvAngle(i int, low, high float64, digits int, ref func(*InView) *decimals) codec[GSV] {
	return gsvValue(i, padded(digits, between(low, high, "degrees", ref)))
}

func gsvSignal(i int) codec[GSV] {
	return gsvValue(i, padded(2, upTo(99, "dB-Hz", func(v *InView) *decimals { return &v.CN0DBHz })))
}

func gsvValue(i int, c codec[InView]) codec[GSV] {
	return codec[GSV]{
		unit: c.unit,
		read: func(r *GSV, s *Sentence, n int) string {
			var nobody InView
			v := &nobody
			if id, _ := readSatellite(s.Field(4 + 4*i)); id > 0 {
				v = &r.Satellites[r.Given-1]
			}
			return c.read(v, s, n)
		},
		write: func(r *GSV) string {
			if i >= r.Given {
				return ""
			}
			return c.write(&r.Satellites[i])
		},
	}
}

// DecodeGSV reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGSV(s *Sentence) (r GSV, err error) {
	if r.quick(s) {
		return r, nil
	}
	err = decodeInto(gsvName, gsvFields(s), s, &r)
	return r, err
}

// Decode is DecodeGSV into a record that is there already.
func (r *GSV) Decode(s *Sentence) error {
	if r.quick(s) {
		return nil
	}
	return decodeInto(gsvName, gsvFields(s), s, r)
}

// Encode writes the sentence, in the newest form that its values call for.
func (r GSV) Encode(talker string) string {
	return encode(talker, gsvName, gsvTables[max(0, min(r.Given, len(r.Satellites)))], &r)
}

const gsvName = "GSV"

// quick does what gsvFields says, for a sentence without surprises.
func (r *GSV) quick(s *Sentence) bool {
	over := s.Count - 3
	if !s.quick || over < 0 || over > 17 || over&3 > 1 {
		return false
	}
	*r = GSV{}
	ok := r.usualHead(s) || s.whole(1, 99, &r.Total) && s.whole(2, 99, &r.Number) && s.whole(3, 999, &r.InView)
	n := 4
	for ; ok && n+3 <= s.Count; n += 4 {
		v := &r.Satellites[r.Given&3]
		ok = v.usual(s, n) || v.quick(s, n)
		r.Given++
	}
	if ok && n == s.Count {
		ok = s.hexDigit(n, &r.SignalID)
	}
	return ok
}

// usualHead reads the first three fields when they are "3,1,12", which they nearly always are.
func (r *GSV) usualHead(s *Sentence) bool {
	if s.cuts[1] != 8 || s.cuts[2] != 10 || s.cuts[3] != 13 {
		return false
	}
	const at = len("$GPGSV,")
	total, number, tens, units := s.Text[at]-'0', s.Text[at+2]-'0', s.Text[at+4]-'0', s.Text[at+5]-'0'
	r.Total, r.Number, r.InView = maybe.Known(int(total)), maybe.Known(int(number)), maybe.Known(int(tens)*10+int(units))
	return total <= 9 && number <= 9 && tens <= 9 && units <= 9
}

// usual reads the four fields from n on when they are "04,15,270,33" or "04,15,270,",
// which they nearly always are.
func (v *InView) usual(s *Sentence, n int) bool {
	// The four distances from cut to cut, a byte each, and the C/N0 in the highest.
	sizes := binary.LittleEndian.Uint32(s.cuts[n&127:n&127+4]) - binary.LittleEndian.Uint32(s.cuts[(n-1)&127:(n-1)&127+4])
	tracked := sizes == 0x03040303
	if !tracked && sizes != 0x01040303 {
		return false
	}
	start, _ := s.span(n)
	head := wordAt(s.Text, start) ^ fullGroup
	tail := uint64(halfAt(s.Text, start+8) ^ fullTail) // without a C/N0, "*hh" is still there to be read
	if !tracked {
		tail &= 0xff
	}
	pairs := head*10 + head>>8 // bytes 0, 3 and 6 are of use
	id, elevation, azimuth := int(pairs&0xff), int(pairs>>24&0xff), int(pairs>>48&0xff*10+tail&0xff)
	v.ID = id
	v.ElevationDeg = maybe.Known(float64(elevation))
	v.AzimuthDeg = maybe.Known(float64(azimuth))
	if tracked {
		v.CN0DBHz = maybe.Known(float64((tail*10 + tail>>8) >> 16 & 0xff))
	}
	return id > 0 && elevation <= 90 && azimuth <= 360 && allDigits(head) && allDigits(tail)
}

// "00,00,00" and what follows it, as words: what a group looks like when all its digits are 0.
const (
	fullGroup = digitZeros&^(0xff<<16|0xff<<40) | ','<<16 | ','<<40
	fullTail  = '0' | ','<<8 | '0'<<16 | '0'<<24
)

// quick reads the four fields from n on, each by itself. It wants a satellite id.
func (v *InView) quick(s *Sentence, n int) (ok bool) {
	*v = InView{}
	v.ID, ok = s.satellite(n)
	return ok && v.ID > 0 &&
		s.degrees(n+1, 90, &v.ElevationDeg) && s.degrees(n+2, 360, &v.AzimuthDeg) && s.degrees(n+3, 99, &v.CN0DBHz)
}

// degrees reads a number of at most three digits and no point, from 0 to limit.
func (s *Sentence) degrees(n, limit int, v *maybe.Value[float64]) bool {
	start, end := s.span(n)
	if start == end {
		return true
	}
	if end-start > 3 {
		return false
	}
	d := s.wordOf(end-start, end)
	x := int(fourDigits(d))
	*v = maybe.Known(float64(x))
	return allDigits(d) && x <= limit
}
