package sms

import (
	"fmt"
	"time"
)

// Stamp is a time stamp as it travels: seven pairs of swapped semi-octets, TS
// 23.040 clause 9.2.3.11. It keeps what was written, right or not.
type Stamp [7]byte

// centuryPivot splits the two-digit years: 70 and later are the last century. No
// message is older than the system, and clocks that were never set begin in 1970
// or 1980. The standard does not say; this is our choice.
const centuryPivot = 70

// swapped writes 0 to 99 as two semi-octets, the tens in the low half.
func swapped(n int) byte { return byte(n%10<<4 | n/10%10) }

// unswapped reads two semi-octets; false when one of them is no digit.
func unswapped(b byte) (int, bool) {
	tens, units := int(b&0x0F), int(b>>4)
	return tens*10 + units, tens <= 9 && units <= 9
}

// zone reads the time zone octet in quarter hours: bit 3 is the sign, the tens
// have only three bits.
func zone(b byte) (quarters int, ok bool) {
	tens, units := int(b&0x07), int(b>>4)
	quarters = tens*10 + units
	if b&0x08 != 0 {
		quarters = -quarters
	}
	return quarters, units <= 9
}

// zoneOctet writes quarters of an hour, -79 to 79.
func zoneOctet(quarters int) byte {
	if quarters < 0 {
		return swapped(-quarters) | 0x08
	}
	return swapped(quarters)
}

// NewStamp writes local date and time with its zone in quarter hours. Values
// outside what two digits hold are cut.
func NewStamp(year, month, day, hour, minute, second, zoneQuarters int) Stamp {
	return Stamp{swapped(year % 100), swapped(month), swapped(day), swapped(hour), swapped(minute), swapped(second), zoneOctet(zoneQuarters)}
}

// StampOf writes t with its own zone, rounded towards zero to a quarter hour.
func StampOf(t time.Time) Stamp {
	_, offset := t.Zone()
	return NewStamp(t.Year(), int(t.Month()), t.Day(), t.Hour(), t.Minute(), t.Second(), offset/900)
}

// IsZero says whether all octets are zero, as where no time is known.
func (s Stamp) IsZero() bool { return s == Stamp{} }

// ZoneQuarters is the time zone in quarter hours.
func (s Stamp) ZoneQuarters() int { q, _ := zone(s[6]); return q }

// fields reads the six numbers; false when a half octet is no digit.
func (s Stamp) fields() (f [6]int, ok bool) {
	ok = true
	for i := range f {
		n, good := unswapped(s[i])
		f[i], ok = n, ok && good
	}
	_, good := zone(s[6])
	return f, ok && good
}

// Time is the instant of the stamp; false when it is no date.
func (s Stamp) Time() (time.Time, bool) {
	f, ok := s.fields()
	if !ok {
		return time.Time{}, false
	}
	year := 2000 + f[0]
	if f[0] >= centuryPivot {
		year -= 100
	}
	quarters := s.ZoneQuarters()
	t := time.Date(year, time.Month(f[1]), f[2], f[3], f[4], f[5], 0, time.FixedZone("", quarters*900))
	// time.Date turns 31 February into March; a stamp with such a day is no date.
	if int(t.Month()) != f[1] || t.Day() != f[2] || t.Hour() != f[3] || t.Minute() != f[4] || t.Second() != f[5] {
		return time.Time{}, false
	}
	return t, true
}

// String writes "2026-03-04 10:15:30 +01:00"; what is no date is shown as octets.
func (s Stamp) String() string {
	t, ok := s.Time()
	if !ok {
		return fmt.Sprintf("no date (%X)", s[:])
	}
	return t.Format("2006-01-02 15:04:05 ") + s.zoneString()
}

func (s Stamp) zoneString() string {
	q, sign := s.ZoneQuarters(), '+'
	if s[6]&0x08 != 0 {
		q, sign = -q, '-'
	}
	return fmt.Sprintf("%c%02d:%02d", sign, q/4, q%4*15)
}

// TextMode writes the stamp as text mode does: "26/03/04,10:15:30+04", the zone in
// quarter hours (TS 27.005 clause 3.1, <scts>).
func (s Stamp) TextMode() string {
	f, _ := s.fields()
	q, sign := s.ZoneQuarters(), '+'
	if s[6]&0x08 != 0 {
		q, sign = -q, '-'
	}
	return fmt.Sprintf("%02d/%02d/%02d,%02d:%02d:%02d%c%02d", f[0], f[1], f[2], f[3], f[4], f[5], sign, q)
}

// ParseTextMode reads what [Stamp.TextMode] writes; the zone may be missing, as
// some modules leave it out, and counts as +00 then.
func ParseTextMode(text string) (Stamp, bool) {
	var n [7]int
	const shape = "00/00/00,00:00:00"
	if len(text) != len(shape) && len(text) != len(shape)+3 {
		return Stamp{}, false
	}
	field := 0
	for i := 0; i < len(shape); i++ {
		if shape[i] != '0' {
			if text[i] != shape[i] {
				return Stamp{}, false
			}
			field++
			continue
		}
		if text[i] < '0' || text[i] > '9' {
			return Stamp{}, false
		}
		n[field] = n[field]*10 + int(text[i]-'0')
	}
	s := NewStamp(n[0], n[1], n[2], n[3], n[4], n[5], 0)
	if len(text) == len(shape) {
		return s, true
	}
	sign, tens, units := text[17], text[18], text[19]
	if (sign != '+' && sign != '-') || tens < '0' || tens > '7' || units < '0' || units > '9' {
		return Stamp{}, false
	}
	s[6] = swapped(int(tens-'0')*10 + int(units-'0'))
	if sign == '-' {
		s[6] |= 0x08
	}
	return s, true
}
