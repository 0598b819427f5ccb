package nmea

import "firstfix/internal/maybe"

// ZDA is time and date, with the zone of the place.
type ZDA struct {
	Time             clockTime // since midnight UTC
	Day, Month, Year wholes
	ZoneHours        decimals // to be added to local time to make UTC (from memory)
	ZoneMinutes      decimals // same sign as the hours
}

// Date is the day of the three fields; not known when one of them is not, or when
// the calendar has no such day.
func (r *ZDA) Date() calendar {
	day, ok1 := r.Day.Get()
	month, ok2 := r.Month.Get()
	year, ok3 := r.Year.Get()
	d := NewDate(year, month, day)
	if !ok1 || !ok2 || !ok3 || !d.exists() {
		return calendar{}
	}
	return maybe.Known(d)
}

// zdaFields is the sentence, in order. To add a field, add a line. One public
// description lists the two zone fields the other way round.
var zdaFields = []field[ZDA]{
	{1, "time", "", clock(func(r *ZDA) *clockTime { return &r.Time })},
	{2, "day", "", padded(2, atLeast(1, 31, func(r *ZDA) *wholes { return &r.Day }))},
	{3, "month", "", padded(2, atLeast(1, 12, func(r *ZDA) *wholes { return &r.Month }))},
	{4, "year", "", padded(4, count(9999, func(r *ZDA) *wholes { return &r.Year }))},
	{5, "local zone, hours", "", between(-13, 13, "hours", func(r *ZDA) *decimals { return &r.ZoneHours })},
	{6, "local zone, minutes", "", between(-59, 59, "minutes", func(r *ZDA) *decimals { return &r.ZoneMinutes })},
}

// DecodeZDA reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeZDA(s *Sentence) (r ZDA, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeZDA into a record that is there already.
func (r *ZDA) Decode(s *Sentence) error { return decode(zdaName, zdaFields, s, r) }

// Encode writes the sentence.
func (r ZDA) Encode(talker string) string { return encode(talker, zdaName, zdaFields, &r) }

const zdaName = "ZDA"
