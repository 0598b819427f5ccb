package world

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"firstfix/internal/yamlfile"
)

// Validate returns what a world says that cannot be, in the order of the keys
// below. Line and column are known when the world was read by [Load].
func (w *World) Validate() Problems {
	c := checker{world: w}
	c.header()
	c.place()
	c.radio()
	c.card()
	c.supply()
	c.module()
	for i := range w.Faults {
		c.fault(fmt.Sprintf("faults[%d]", i), &w.Faults[i])
	}
	return c.problems
}

type checker struct {
	world    *World
	problems Problems
}

// must reports a key when what it should be is not so.
func (c *checker) must(ok bool, key, format string, args ...any) {
	if ok {
		return
	}
	p := &Problem{Key: key, Message: fmt.Sprintf(format, args...)}
	if read := c.world.read; read != nil {
		p.File = read.Name
		p.Line, p.Column = read.Place(key)
	}
	c.problems = append(c.problems, p)
}

func (c *checker) oneOf(got, key string, words []string) {
	if slices.Contains(words, got) {
		return
	}
	if near := yamlfile.Nearest(got, words); near != "" {
		c.must(false, key, "%q is not known; the nearest is %q", got, near)
		return
	}
	c.must(false, key, "%q is not known: want one of %s", got, strings.Join(words, ", "))
}

func (c *checker) between(got, low, high float64, key, unit string) {
	c.must(got >= low && got <= high, key, "%g%s does not fit: want %g to %g", got, unit, low, high)
}

func (c *checker) digits(got, key string, least, most int) {
	ok := len(got) >= least && len(got) <= most
	for i := range len(got) {
		ok = ok && got[i] >= '0' && got[i] <= '9'
	}
	c.must(ok, key, "%q does not fit: want %d to %d digits", got, least, most)
}

// number wants a telephone number in international form: "+" and at most 15
// digits (ITU-T E.164).
func (c *checker) number(got, key string) {
	rest, plus := strings.CutPrefix(got, "+")
	c.must(plus, key, "%q does not fit: want + and the country code first", got)
	c.digits(rest, key, 3, 15)
}

func (c *checker) hex(got, key string, digits int) {
	ok := len(got) == digits
	for i := range len(got) {
		ok = ok && strings.IndexByte("0123456789ABCDEF", got[i]) >= 0
	}
	c.must(ok, key, "%q does not fit: want %d hexadecimal digits, capital letters", got, digits)
}

func (c *checker) header() {
	w := c.world
	ok := w.Name != ""
	for i := range len(w.Name) {
		b := w.Name[i]
		ok = ok && (b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '-')
	}
	c.must(ok, "name", "%q does not fit: want small letters, digits and hyphens", w.Name)
	c.must(w.Title != "", "title", "is missing: want one line for a list")
	c.oneOf(w.Truth, "truth", Truths)
	c.must(!w.Start.IsZero(), "start", "is missing: want a date and time as 2026-03-04T10:15:00Z")
	c.must(w.Start.IsZero() || w.Start.Nanosecond() == 0, "start", "has a fraction of a second: want whole seconds")
}

func (c *checker) place() {
	w := c.world
	c.between(w.Place.LatDeg, -90, 90, "place.lat_deg", " degrees")
	c.between(w.Place.LonDeg, -180, 180, "place.lon_deg", " degrees")
	c.between(w.Place.AltitudeM, -500, 9000, "place.altitude_m", " m")
	c.between(w.Place.GeoidM, -110, 90, "place.geoid_m", " m")
	c.oneOf(w.Sky.View, "sky.view", SkyViews)
	c.between(w.Sky.MaskDeg, 0, 90, "sky.mask_deg", " degrees")
	c.between(w.Sky.CN0OffsetDB, -60, 10, "sky.cn0_offset_db", " dB")
	for i, o := range w.Sky.Obstacles {
		key := fmt.Sprintf("sky.obstacles[%d]", i)
		c.between(o.FromDeg, 0, 360, key+".from_deg", " degrees")
		c.between(o.ToDeg, 0, 360, key+".to_deg", " degrees")
		c.between(o.UpToDeg, 0, 90, key+".up_to_deg", " degrees")
		c.between(o.LossDB, 0, 60, key+".loss_db", " dB")
	}
	c.oneOf(w.AntennaGNSS, "antenna_gnss", AntennaStates)
	c.oneOf(w.AntennaCellular, "antenna_cellular", AntennaStates)
	c.oneOf(w.GNSS.Engine, "gnss.engine", EngineStates)
}

func (c *checker) radio() {
	w := c.world
	c.between(w.Coverage.RSSIdBm, -150, -20, "coverage.rssi_dbm", " dBm")
	c.oneOf(w.Coverage.Registration, "coverage.registration", Registrations)
	c.between(float64(w.Coverage.DeniedCause), 1, 255, "coverage.denied_cause", "")
	c.between(w.Coverage.RegisterAfterS, 0, 3600, "coverage.register_after_s", " s")
	c.oneOf(w.Coverage.Access, "coverage.access", Accesses)
	c.hex(w.Coverage.AreaCode, "coverage.area_code", 4)
	c.hex(w.Coverage.CellID, "coverage.cell_id", 8)
	c.between(float64(w.Coverage.ZoneQuarterHours), -48, 56, "coverage.zone_quarter_hours", "")
	c.must(len(w.Operators) > 0 || w.Coverage.Registration == "none", "operators", "the list is empty but coverage.registration is %q: want at least one, the first is the home network", w.Coverage.Registration)
	for i, o := range w.Operators {
		key := fmt.Sprintf("operators[%d]", i)
		c.must(len(o.Long) <= 16 && o.Long != "", key+".long", "%q does not fit: want 1 to 16 characters", o.Long)
		c.must(len(o.Short) <= 8 && o.Short != "", key+".short", "%q does not fit: want 1 to 8 characters", o.Short)
		c.digits(o.Numeric, key+".numeric", 5, 6)
	}
	if w.ServiceCentre.Number != "" {
		c.number(w.ServiceCentre.Number, "service_centre.number")
	}
	c.between(w.ServiceCentre.DelayS, 0, 86400*7, "service_centre.delay_s", " s")
}

// maxStore is the most places a card's store may have: the index of a text
// has one octet on the card (records of a linear file, at most 254).
const maxStore = 254

func (c *checker) card() {
	card := c.world.Card
	if card.PIN != "" {
		c.digits(card.PIN, "card.pin", 4, 8)
	}
	c.digits(card.PUK, "card.puk", 8, 8)
	c.between(float64(card.TriesLeft), 0, 3, "card.tries_left", "")
	c.between(float64(card.PUKTriesLeft), 0, 10, "card.puk_tries_left", "")
	if card.Number != "" {
		c.number(card.Number, "card.number")
	}
	c.digits(card.IMSI, "card.imsi", 14, 15)
	c.between(float64(card.Store.Size), 0, maxStore, "card.store.size", "")
	c.between(float64(card.Store.Used), 0, float64(card.Store.Size), "card.store.used", "")
}

func (c *checker) supply() {
	s := c.world.Supply
	c.between(s.VoltageV, 0, 30, "supply.voltage_v", " V")
	c.between(s.SourceOhm, 0, 100, "supply.source_ohm", " ohm")
	c.between(s.IdleA, 0, 5, "supply.idle_a", " A")
	c.between(s.BurstA, 0, 10, "supply.burst_a", " A")
	c.between(s.RestartBelowV, 0, 30, "supply.restart_below_v", " V")
	c.must(s.VoltageV-s.IdleA*s.SourceOhm >= s.RestartBelowV, "supply.voltage_v", "%g V leaves less than restart_below_v (%g V) at rest: the module would never start", s.VoltageV, s.RestartBelowV)
}

func (c *checker) module() {
	w := c.world
	c.must(w.Line.Baud == 0 || w.Line.Baud >= 300 && w.Line.Baud <= 4_000_000, "line.baud", "%d does not fit: want 300 to 4000000, or 0 for a module that finds the speed", w.Line.Baud)
	c.between(w.Line.LostPerMillion, 0, 1e6, "line.lost_per_million", "")
	s := w.Settings
	c.between(float64(s.CMEE), 0, 2, "settings.cmee", "")
	c.between(float64(s.CMGF), 0, 1, "settings.cmgf", "")
	c.oneOf(s.CSCS, "settings.cscs", Charsets)
	c.octets(s.CSMP, "settings.csmp", 4, 255)
	c.octets(s.CNMI, "settings.cnmi", 5, 3)
	c.oneOf(s.Memory, "settings.memory", Memories)
	c.between(w.Timing.BootS, 0.1, 120, "timing.boot_s", " s")
	c.between(w.Timing.Slower, 0.1, 1000, "timing.slower", "")
}

func (c *checker) octets(got []int, key string, count, most int) {
	ok := len(got) == count
	for _, n := range got {
		ok = ok && n >= 0 && n <= most
	}
	c.must(ok, key, "%v does not fit: want %d numbers from 0 to %d", got, count, most)
}

func (c *checker) fault(key string, s *Scheduled) {
	f, ok := FaultNamed(s.Fault)
	if !ok {
		c.oneOf(s.Fault, key+".fault", faultNames())
		return
	}
	const longest = 100 * 365 * 86400 // a session of a hundred years
	c.between(s.AtS, 0, longest, key+".at_s", " s")
	c.must(s.UntilS == 0 || s.UntilS > s.AtS && s.UntilS <= longest, key+".until_s", "%g s does not fit: want more than at_s (%g s), or 0 for good", s.UntilS, s.AtS)
	if s.EveryS != 0 {
		c.between(s.EveryS, 0.001, longest, key+".every_s", " s")
		c.must(s.ForS > 0 && s.ForS+s.JitterS <= s.EveryS, key+".for_s", "%g s with jitter_s %g s does not fit: want more than 0, and both together within every_s (%g s)", s.ForS, s.JitterS, s.EveryS)
		c.between(s.JitterS, 0, s.EveryS, key+".jitter_s", " s")
	} else {
		c.must(s.ForS == 0 && s.JitterS == 0, key+".for_s", "has a meaning only with every_s; want until_s")
	}
	for _, given := range s.given() {
		c.must(slices.Contains(f.Takes, given), key+"."+given, "the fault %s does not take it%s", f.Name, takes(f))
	}
	c.params(key, s.Params)
}

func takes(f Fault) string {
	if len(f.Takes) == 0 {
		return "; it takes no figure"
	}
	return "; it takes " + strings.Join(f.Takes, ", ")
}

// params holds each figure to the limits of the condition that it changes.
func (c *checker) params(key string, p Params) {
	rows := []struct {
		name      string
		value     float64
		low, high float64
	}{
		{"loss_db", p.LossDB.Or(0), 0, 100},
		{"source_ohm", p.SourceOhm.Or(0), 0, 100},
		{"voltage_v", p.VoltageV.Or(0), 0, 30},
		{"cause", float64(p.Cause.Or(1)), 1, 255},
		{"tries_left", float64(p.TriesLeft.Or(0)), 0, 3},
		{"baud", float64(p.Baud.Or(300)), 300, 4_000_000},
		{"coding", float64(p.Coding.Or(0)), 0, 255},
	}
	for _, r := range rows {
		c.must(!math.IsNaN(r.value) && r.value >= r.low && r.value <= r.high, key+"."+r.name, "%g does not fit: want %g to %g", r.value, r.low, r.high)
	}
}
