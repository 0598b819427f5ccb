package track

import (
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// Figures are what a track amounts to. They are part of the output as data: the names of
// the fields are documented in docs/formats/track.md.
type Figures struct {
	Read   int        `json:"read"` // sightings
	Kept   int        `json:"kept"`
	Apart  []ApartRow `json:"set_apart"` // in the order of Reasons
	First  *Stand     `json:"first"`     // the first sighting kept; nil for none
	Last   *Stand     `json:"last"`
	Box    *Box       `json:"box"`
	SpanS  Seconds    `json:"span_s"` // from the first to the last
	Moving Moving     `json:"moving"`
	Speed  Speed      `json:"speed"`
	Every  Interval   `json:"interval"`
	Gaps   Gaps       `json:"gaps"`
	Stops  Stops      `json:"stops"`
}

// Seconds and distances may not be known.
type (
	Seconds  = maybe.Value[float64]
	Distance = maybe.Value[float64]
)

// ApartRow is how many sightings were set apart for one reason.
type ApartRow struct {
	Reason    string    `json:"reason"`
	Title     string    `json:"title"`
	Source    string    `json:"source"`
	Count     int       `json:"count"`
	FarthestM Distance  `json:"farthest_m"` // what they said, from the sighting kept before
	Examples  []Example `json:"examples"`   // each with other words
}

// Example is one sighting that was set apart.
type Example struct {
	Where string              `json:"where"`
	UTC   *time.Time          `json:"utc"`
	Says  string              `json:"says"`
	Place maybe.Value[Degree] `json:"as_written"` // what it said: no position to be used
}

// Degree is a place as data.
type Degree struct {
	LatDeg float64 `json:"lat_deg"`
	LonDeg float64 `json:"lon_deg"`
}

// Stand is a kept sighting, briefly.
type Stand struct {
	UTC    *time.Time `json:"utc"` // nil: no date is known
	LatDeg float64    `json:"lat_deg"`
	LonDeg float64    `json:"lon_deg"`
	Where  string     `json:"where"` // in the files
}

// Box is the smallest area between two parallels and two meridians that holds the track.
// West is east of East where it spans the 180th meridian (RFC 7946, 5.2).
type Box struct {
	South float64 `json:"south_deg"`
	West  float64 `json:"west_deg"`
	North float64 `json:"north_deg"`
	East  float64 `json:"east_deg"`
}

// Moving is how far it went.
type Moving struct {
	MovingM   float64 `json:"moving_m"`   // between sightings, without stops and gaps
	GapsM     float64 `json:"gaps_m"`     // straight lines over gaps: it went at least so far
	StandingM float64 `json:"standing_m"` // the wander of the positions in stops: no way
	MovingS   float64 `json:"moving_s"`
	GapsS     float64 `json:"gaps_s"`
	StandingS float64 `json:"standing_s"`
}

// TotalM is how far it went at least.
func (m *Moving) TotalM() float64 { return m.MovingM + m.GapsM }

// Speed is how fast it went.
type Speed struct {
	Source  string  `json:"source"` // "receiver", "positions"; "" when not known
	MaxMPS  Seconds `json:"max_mps"`
	MaxAt   *Stand  `json:"max_at"`
	MeanMPS Seconds `json:"mean_moving_mps"` // while it moved
	P95MPS  Seconds `json:"p95_moving_mps"`  // 95 of 100 seconds of moving were slower
}

// Interval is how often it was heard.
type Interval struct {
	UsualS Seconds `json:"usual_s"` // the middle one
	P95S   Seconds `json:"p95_s"`
	LimitS float64 `json:"gap_limit_s"` // longer ones are gaps
}

// Gaps are the times without a sighting to believe.
type Gaps struct {
	Count int   `json:"count"`
	List  []Gap `json:"list"` // the first ones, see maxListed
}

// Gap is one of them.
type Gap struct {
	From  Stand   `json:"from"`
	To    Stand   `json:"to"`
	SpanS Seconds `json:"span_s"` // not known where the clock was set meanwhile
	WayM  float64 `json:"way_m"`  // straight
	Why   string  `json:"why"`
}

// Stops are the times at which it stood.
type Stops struct {
	Count   int     `json:"count"`
	RadiusM float64 `json:"radius_m"`
	LeastS  float64 `json:"least_s"`
	List    []Stop  `json:"list"`
}

// Stop is one of them. Its place is the mean of the positions.
type Stop struct {
	From    Stand   `json:"from"`
	To      Stand   `json:"to"`
	LatDeg  float64 `json:"lat_deg"`
	LonDeg  float64 `json:"lon_deg"`
	SpanS   float64 `json:"span_s"`
	SilentS float64 `json:"silent_s"` // of it without a sighting, in gaps
	Count   int     `json:"count"`    // sightings
}

// maxListed is how many gaps and stops are listed, the first ones; all are counted. A year
// of a busy trailer has fewer.
const maxListed = 10_000

// box grows to hold points. Longitudes are kept relative to the first one, so that a track
// over the 180th meridian has a small box.
type box struct {
	any                      bool
	origin                   float64
	south, north, west, east float64
	last                     float64 // longitude relative to origin, unwrapped step by step
}

func (b *box) add(p geo.Point) {
	if !b.any {
		*b = box{any: true, origin: p.LonDeg, south: p.LatDeg, north: p.LatDeg}
		return
	}
	lon := p.LonDeg - b.origin
	if apart := lon - b.last; apart > 180 || apart < -180 {
		lon = b.last + geo.NormalLon(apart)
	}
	b.last = lon
	b.south, b.north = min(b.south, p.LatDeg), max(b.north, p.LatDeg)
	b.west, b.east = min(b.west, lon), max(b.east, lon)
}

func (b *box) result() *Box {
	if !b.any {
		return nil
	}
	if b.east-b.west >= 360 {
		return &Box{b.south, -180, b.north, 180}
	}
	return &Box{South: b.south, North: b.north, West: geo.NormalLon(b.origin + b.west), East: geo.NormalLon(b.origin + b.east)}
}
