// Package fix holds a position with its time, its quality and how it is known.
//
// # What it promises
//
// A [Fix] is never a position unless Valid says so: a void, estimated or
// stale one keeps its numbers for the record, and its reason.
//
// # What it leaves to others
//
// Putting a fix together is the work of talk/epoch; whether its date can be true and
// whether its story holds, that of the judge.
//
// # Where to start
//
// Read [Fix]; then [Gate] for whether one is good enough, and [Measure] for what
// many of one place say.
package fix

import (
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/when"
)

// Fix is a position at an instant of measurement.
type Fix struct {
	At             when.Instant               // session time of the sentence that completed it
	UTC            maybe.Value[time.Time]     // date and time of measurement; needs a sentence with a date
	TimeOfDay      maybe.Value[time.Duration] // since midnight UTC, when only the time is known
	Point          maybe.Value[geo.Point]     // present even when void, so that it can be shown as void
	Valid          bool                       // the receiver stands by it: status A, quality above 0, mode not N, E, M or S
	Void           string                     // why Valid is false, in words: "status V", "quality 0: no fix"; "" when it is true
	Mode           string                     // "autonomous", "differential", "estimated", …; "" when not said
	Quality        maybe.Value[int]           // GGA quality 0 to 8
	Dimensions     maybe.Value[int]           // 1 none, 2, 3, from GSA
	SatellitesUsed maybe.Value[int]
	HDOP           maybe.Value[float64]
	PDOP           maybe.Value[float64]
	VDOP           maybe.Value[float64]
	AltitudeM      maybe.Value[float64] // above mean sea level
	GeoidM         maybe.Value[float64] // geoid above ellipsoid
	SpeedMPS       maybe.Value[float64]
	CourseDeg      maybe.Value[float64]
}

// Age is how long before now the fix was heard. The receiver measured it a little earlier
// still; a fix read from a store may be much older, see [Fix.Lag].
func (f *Fix) Age(now when.Instant) time.Duration { return now.Sub(f.At) }

// Lag is how long before clock the position was measured, by the fix's own date and time.
func (f *Fix) Lag(clock time.Time) maybe.Value[time.Duration] {
	utc, ok := f.UTC.Get()
	if !ok {
		return maybe.Value[time.Duration]{}
	}
	return maybe.Known(clock.Sub(utc))
}

// EllipsoidHeightM is the height above the WGS-84 ellipsoid: the altitude above mean sea
// level and the height of the geoid there, together (NMEA 0183, GGA fields 9 and 11).
func (f *Fix) EllipsoidHeightM() maybe.Value[float64] {
	altitude, ok1 := f.AltitudeM.Get()
	geoid, ok2 := f.GeoidM.Get()
	if !ok1 || !ok2 {
		return maybe.Value[float64]{}
	}
	return maybe.Known(altitude + geoid)
}
