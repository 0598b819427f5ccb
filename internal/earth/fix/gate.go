package fix

import (
	"fmt"
	"strconv"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/when"
)

// A Gate says which fixes are good enough to be told to somebody.
type Gate struct {
	MinSatellites int           // 0: any
	MaxHDOP       float64       // 0: any
	MaxAge        time.Duration // 0: any
}

// Usual is the gate that firmware of trackers should have at least.
var Usual = Gate{MinSatellites: 4, MaxHDOP: 5, MaxAge: 5 * time.Second}

// A Reason is why a fix does not pass a gate.
type Reason struct {
	Name   string // "void", "satellites"…; stable
	Text   string // "3 satellites used, 4 are wanted"
	Source string // where the demand comes from
}

// A demand is one row of what a gate wants. tell returns "" when it is met. What the fix
// does not say meets every demand: not known is not zero.
type demand struct {
	name, source string
	tell         func(g Gate, f *Fix, now when.Instant) string
}

var demands = []demand{
	{"void", "NMEA 0183, status of RMC and GLL, mode, quality of GGA", func(_ Gate, f *Fix, _ when.Instant) string {
		if f.Valid {
			return ""
		}
		if f.Void == "" {
			return "the receiver does not stand by it"
		}
		return "the receiver does not stand by it: " + f.Void
	}},
	{"no position", "NMEA 0183: an empty field is not known", func(_ Gate, f *Fix, _ when.Instant) string {
		if f.Point.IsKnown() {
			return ""
		}
		return "it has no position"
	}},
	{"zeros", "common practice, no source: no receiver ever stood at exactly 0, 0", func(_ Gate, f *Fix, _ when.Instant) string {
		if p, ok := f.Point.Get(); !ok || p != (geo.Point{}) {
			return ""
		}
		return "its position is exactly 0, 0"
	}},
	{"dimensions", "NMEA 0183, GSA field 2: 1 is no fix", func(_ Gate, f *Fix, _ when.Instant) string {
		if f.Dimensions.Or(3) > 1 {
			return ""
		}
		return "GSA says that there is no fix"
	}},
	{"satellites", "four unknowns, three of place and the receiver's clock, want four satellites: SPS performance standard, user position solution (clause from memory)",
		func(g Gate, f *Fix, _ when.Instant) string {
			n, ok := f.SatellitesUsed.Get()
			if !ok || n >= g.MinSatellites {
				return ""
			}
			return fmt.Sprintf("%d satellites used, %d are wanted", n, g.MinSatellites)
		}},
	{"hdop", "common practice: handbooks call an HDOP below 4 good", func(g Gate, f *Fix, _ when.Instant) string {
		hdop, ok := f.HDOP.Get()
		if !ok || g.MaxHDOP == 0 || hdop <= g.MaxHDOP {
			return ""
		}
		return fmt.Sprintf("HDOP is %s, at most %s is wanted", short(hdop), short(g.MaxHDOP))
	}},
	{"age", "our estimate: five reports of a receiver that speaks once a second", func(g Gate, f *Fix, now when.Instant) string {
		age := f.Age(now)
		if g.MaxAge == 0 || age <= g.MaxAge {
			return ""
		}
		return fmt.Sprintf("it is %s old, at most %s is wanted", age.Round(time.Millisecond), g.MaxAge)
	}},
}

func short(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Check returns why a fix is not good enough at now, the gravest reason first; none when it is.
func (g Gate) Check(f *Fix, now when.Instant) []Reason {
	var out []Reason
	for _, d := range demands {
		if text := d.tell(g, f, now); text != "" {
			out = append(out, Reason{d.name, text, d.source})
		}
	}
	return out
}

// Passes says whether a fix is good enough at now.
func (g Gate) Passes(f *Fix, now when.Instant) bool {
	for _, d := range demands {
		if d.tell(g, f, now) != "" {
			return false
		}
	}
	return true
}
