package sms

import (
	"fmt"
	"time"

	"firstfix/internal/maybe"
)

// ValidityForm says how the validity period of a SUBMIT is written, TS 23.040 clause 9.2.3.3.
type ValidityForm byte

// The forms; the number is the two bits 4 and 3 of the first octet.
const (
	FormNone     ValidityForm = 0 // no field: the service centre decides
	FormEnhanced ValidityForm = 1 // seven octets of several kinds
	FormRelative ValidityForm = 2 // one octet
	FormAbsolute ValidityForm = 3 // a time stamp
)

// String says the form in words.
func (f ValidityForm) String() string {
	return [...]string{"no validity period", "enhanced validity period (7 octets)", "relative validity period (1 octet)", "absolute validity period (7 octets)"}[f&3]
}

// octets is how long the field is.
func (f ValidityForm) octets() int { return [4]int{0, 7, 1, 7}[f&3] }

// Validity is how long a service centre may try, TS 23.040 clause 9.2.3.12.
// The zero Validity is none.
type Validity struct {
	Form   ValidityForm
	Octets [7]byte // as written; the relative form uses the first only
}

const (
	hour = time.Hour
	day  = 24 * time.Hour
	week = 7 * day
)

// ValidityRelative is the period of one octet, TS 23.040 clause 9.2.3.12.1.
func ValidityRelative(vp byte) time.Duration {
	switch v := time.Duration(vp); {
	case v <= 143:
		return (v + 1) * 5 * time.Minute
	case v <= 167:
		return 12*hour + (v-143)*30*time.Minute
	case v <= 196:
		return (v - 166) * day
	default:
		return (v - 192) * week
	}
}

// RelativeFor returns the octet of the shortest relative period that is not
// shorter than d; 255 (63 weeks) when none is as long.
func RelativeFor(d time.Duration) byte {
	lo, hi := 0, 255
	for lo < hi {
		mid := (lo + hi) / 2
		if ValidityRelative(byte(mid)) >= d {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return byte(lo)
}

// ValidOctet is the relative validity with this octet, as in +CSMP.
func ValidOctet(vp byte) Validity { return Validity{Form: FormRelative, Octets: [7]byte{vp}} }

// ValidFor is a relative validity of at least d (5 minutes to 63 weeks).
func ValidFor(d time.Duration) Validity { return ValidOctet(RelativeFor(d)) }

// ValidUntil is an absolute validity.
func ValidUntil(t Stamp) Validity { return Validity{Form: FormAbsolute, Octets: t} }

// ValidClock is an enhanced validity of hours, minutes and seconds (0 to 99,
// 59 and 59), with single shot when the service centre shall try only once.
func ValidClock(hours, minutes, seconds int, singleShot bool) Validity {
	v := Validity{Form: FormEnhanced, Octets: [7]byte{3, swapped(hours), swapped(minutes), swapped(seconds)}}
	if singleShot {
		v.Octets[0] |= 0x40
	}
	return v
}

// Period is how long the message stays valid, where the form says so: not known
// for an absolute time, for no validity, and for what is reserved.
func (v Validity) Period() maybe.Value[time.Duration] {
	switch v.Form {
	case FormRelative:
		return maybe.Known(ValidityRelative(v.Octets[0]))
	case FormEnhanced:
		return v.enhanced()
	}
	return maybe.Value[time.Duration]{}
}

// SingleShot says whether the service centre shall try only once (enhanced form).
func (v Validity) SingleShot() bool { return v.Form == FormEnhanced && v.Octets[0]&0x40 != 0 }

// Until is the time stamp of the absolute form.
func (v Validity) Until() (Stamp, bool) { return Stamp(v.Octets), v.Form == FormAbsolute }

// enhanced reads the period of TS 23.040 clause 9.2.3.12.3.
func (v Validity) enhanced() maybe.Value[time.Duration] {
	none := maybe.Value[time.Duration]{}
	at := 1
	for at < len(v.Octets) && v.Octets[at-1]&0x80 != 0 { // an extension octet follows the first
		at++
	}
	rest := v.Octets[at:]
	switch v.Octets[0] & 7 {
	case 1:
		if len(rest) > 0 {
			return maybe.Known(ValidityRelative(rest[0]))
		}
	case 2:
		if len(rest) > 0 && rest[0] > 0 {
			return maybe.Known(time.Duration(rest[0]) * time.Second)
		}
	case 3:
		if len(rest) < 3 {
			return none
		}
		h, okH := unswapped(rest[0])
		m, okM := unswapped(rest[1])
		s, okS := unswapped(rest[2])
		if okH && okM && okS {
			return maybe.Known(time.Duration(h)*hour + time.Duration(m)*time.Minute + time.Duration(s)*time.Second)
		}
	}
	return none
}

// String says the validity in words.
func (v Validity) String() string {
	once := ""
	if v.SingleShot() {
		once = ", one try only"
	}
	if until, ok := v.Until(); ok {
		return "until " + until.String()
	}
	if period, ok := v.Period().Get(); ok {
		return periodWords(period) + once
	}
	switch {
	case v.Form == FormNone:
		return "none given"
	case v.Octets[0]&7 == 0:
		return "none given" + once
	}
	return fmt.Sprintf("a reserved form (0x%02X 0x%02X)", v.Octets[0], v.Octets[1]) + once
}

// periodWords writes a period in its largest whole unit: "24 h", "12.5 h", "4 days".
func periodWords(d time.Duration) string {
	if d >= 12*hour && d < 2*day && d%(30*time.Minute) == 0 {
		return fmt.Sprintf("%g h", d.Hours())
	}
	for _, unit := range [...]struct {
		size      time.Duration
		from      time.Duration
		one, many string
	}{
		{week, 5 * week, "week", "weeks"}, {day, 2 * day, "day", "days"}, {hour, hour, "h", "h"}, {time.Minute, time.Minute, "min", "min"},
	} {
		if d >= unit.from && d%unit.size == 0 {
			n := int64(d / unit.size)
			if n == 1 {
				return "1 " + unit.one
			}
			return fmt.Sprintf("%d %s", n, unit.many)
		}
	}
	return d.String()
}
