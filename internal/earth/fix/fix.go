// Package fix holds a position with its time, its quality and how it is known.
//
// # What it promises
//
// A [Fix] is never a position unless Valid says so: a void, estimated or
// stale one keeps its numbers for the record, and its reason.
//
// # Where to start
//
// Read [Fix].
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
