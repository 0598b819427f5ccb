package world

import (
	"fmt"
	"math"
)

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
	const mostDirections = 360
	c.must(len(w.Sky.HorizonDeg) <= mostDirections, "sky.horizon_deg", "the list has %d values: want at most %d", len(w.Sky.HorizonDeg), mostDirections)
	for i, h := range w.Sky.HorizonDeg {
		c.between(h, -10, 90, fmt.Sprintf("sky.horizon_deg[%d]", i), " degrees")
	}
	c.oneOf(w.AntennaGNSS, "antenna_gnss", AntennaStates)
	c.oneOf(w.AntennaCellular, "antenna_cellular", AntennaStates)
	c.between(w.TemperatureC, -60, 150, "temperature_c", " degrees")
	g := &w.GNSS
	c.oneOf(g.Engine, "gnss.engine", EngineStates)
	c.oneOf(g.Radio, "gnss.radio", RadioSharings)
	c.oneOf(g.Sentences.Talker, "gnss.sentences.talker", Talkers)
	c.betweens([]limits{
		{g.RateHz, 0.1, 10, "gnss.rate_hz", " Hz"},
		{float64(g.WeekShift), -4096, 4096, "gnss.week_shift", ""},
		{float64(g.LeapErrorS), -60, 60, "gnss.leap_error_s", " s"},
		{g.ReflectionsM, 0, 1000, "gnss.reflections_m", " m"},
		{g.FalseEastM, -1e6, 1e6, "gnss.false_east_m", " m"},
		{g.FalseNorthM, -1e6, 1e6, "gnss.false_north_m", " m"},
		{g.DropWhileSendingDB, 0, 100, "gnss.drop_while_sending_db", " dB"},
		{g.JammedDB, 0, 100, "gnss.jammed_db", " dB"},
		{g.Sentences.DamagedPerThousand, 0, 1000, "gnss.sentences.damaged_per_thousand", ""},
		{g.Sentences.MergedPerThousand, 0, 1000, "gnss.sentences.merged_per_thousand", ""},
	})
	period := 1000 / g.RateHz
	c.must(math.Abs(period-math.Round(period)) < 1e-6 || g.RateHz <= 0, "gnss.rate_hz", "%g Hz does not fit: want a rate whose period is whole milliseconds", g.RateHz)
}

// limits is one value and what it may be.
type limits struct {
	got, low, high float64
	key, unit      string
}

func (c *checker) betweens(rows []limits) {
	for _, r := range rows {
		c.between(r.got, r.low, r.high, r.key, r.unit)
	}
}

func (c *checker) radio() {
	w := c.world
	v := &w.Coverage
	c.between(v.RSSIdBm, -150, -20, "coverage.rssi_dbm", " dBm")
	c.oneOf(v.Registration, "coverage.registration", Registrations)
	c.between(float64(v.DeniedCause), 1, 255, "coverage.denied_cause", "")
	c.between(v.RegisterAfterS, 0, 3600, "coverage.register_after_s", " s")
	c.oneOf(v.Circuit, "coverage.circuit", CircuitStates)
	c.oneOf(v.Access, "coverage.access", Accesses)
	c.hex(v.AreaCode, "coverage.area_code", 4)
	c.hex(v.CellID, "coverage.cell_id", 8)
	c.between(float64(v.ZoneQuarterHours), -48, 56, "coverage.zone_quarter_hours", "")
	c.between(float64(v.ZoneErrorQuarterHours), -96, 96, "coverage.zone_error_quarter_hours", "")
	c.must(len(w.Operators) > 0 || v.Registration == "none", "operators", "the list is empty but coverage.registration is %q: want at least one, the first is the home network", v.Registration)
	for i, o := range w.Operators {
		key := fmt.Sprintf("operators[%d]", i)
		c.must(len(o.Long) <= 16 && o.Long != "", key+".long", "%q does not fit: want 1 to 16 characters", o.Long)
		c.must(len(o.Short) <= 8 && o.Short != "", key+".short", "%q does not fit: want 1 to 8 characters", o.Short)
		c.digits(o.Numeric, key+".numeric", 5, 6)
	}
	s := &w.ServiceCentre
	if s.Number != "" {
		c.number(s.Number, "service_centre.number")
	}
	c.oneOf(s.Report, "service_centre.report", DeliveryReports)
	c.betweens([]limits{
		{s.DelayS, 0, 86400 * 7, "service_centre.delay_s", " s"},
		{s.RefusesPercent, 0, 100, "service_centre.refuses_percent", " %"},
		{float64(s.RefusesCause), 1, 511, "service_centre.refuses_cause", ""},
		{s.LosesPercent, 0, 100, "service_centre.loses_percent", " %"},
		{s.DoublesPercent, 0, 100, "service_centre.doubles_percent", " %"},
		{float64(s.MostAnHour), 0, 1000, "service_centre.most_an_hour", ""},
	})
	c.oneOf(w.Packet.Attach, "packet.attach", Answers)
	c.oneOf(w.Packet.Activate, "packet.activate", Answers)
	c.between(float64(w.Packet.Cause), 1, 511, "packet.cause", "")
	c.between(w.Packet.DropsAfterS, 0, 86400*7, "packet.drops_after_s", " s")
	c.oneOf(w.Calls.Caller, "calls.caller", CallerStates)
}

// maxStore is the most places a card's store may have: the index of a text
// has one octet on the card (records of a linear file, at most 254).
const maxStore = 254

func (c *checker) card() {
	card := c.world.Card
	c.oneOf(card.Lock, "card.lock", Locks)
	c.between(card.BusyS, 0, 86400, "card.busy_s", " s")
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
	c.betweens([]limits{
		{s.VoltageV, 0, 30, "supply.voltage_v", " V"},
		{s.SourceOhm, 0, 100, "supply.source_ohm", " ohm"},
		{s.CapacitorUF, 0, 1e6, "supply.capacitor_uf", " uF"},
		{s.IdleA, 0, 5, "supply.idle_a", " A"},
		{s.BurstA, 0, 10, "supply.burst_a", " A"},
		{s.RestartBelowV, 0, 30, "supply.restart_below_v", " V"},
		{s.ShutdownAboveV, 0, 30, "supply.shutdown_above_v", " V"},
	})
	c.must(s.VoltageV-s.IdleA*s.SourceOhm >= s.RestartBelowV, "supply.voltage_v", "%g V leaves less than restart_below_v (%g V) at rest: the module would never start", s.VoltageV, s.RestartBelowV)
}

func (c *checker) module() {
	w := c.world
	l := &w.Line
	c.must(l.Baud == 0 || l.Baud >= 300 && l.Baud <= 4_000_000, "line.baud", "%d does not fit: want 300 to 4000000, or 0 for a module that finds the speed", l.Baud)
	c.oneOf(l.Frame, "line.frame", Frames)
	c.oneOf(l.Broken, "line.broken", Breaks)
	c.betweens([]limits{
		{float64(l.TrainingLines), 0, 100, "line.training_lines", ""},
		{l.LostPerMillion, 0, 1e6, "line.lost_per_million", ""},
		{l.BitErrorsPerMillion, 0, 1e6, "line.bit_errors_per_million", ""},
		{l.SendingErrorsPerMillion, 0, 1e6, "line.sending_errors_per_million", ""},
		{float64(l.StallsAfterBytes), 0, 1 << 20, "line.stalls_after_bytes", ""},
		{l.StallS, 0, 86400, "line.stall_s", " s"},
		{float64(l.ControllerBufferBytes), 0, 1 << 20, "line.controller_buffer_bytes", ""},
		{l.ControllerReadsEveryMS, 0.01, 1e6, "line.controller_reads_every_ms", " ms"},
		{l.DeafAfterSendingMS, 0, 1e6, "line.deaf_after_sending_ms", " ms"},
	})
	s := w.Settings
	c.must(s.CFUN == 0 || s.CFUN == 1 || s.CFUN == 4, "settings.cfun", "%d does not fit: want 0, 1 or 4", s.CFUN)
	c.must(s.COPS == 0 || s.COPS == 2, "settings.cops", "%d does not fit: want 0 or 2", s.COPS)
	c.between(float64(s.CMEE), 0, 2, "settings.cmee", "")
	c.between(float64(s.CMGF), 0, 1, "settings.cmgf", "")
	c.oneOf(s.CSCS, "settings.cscs", Charsets)
	c.octets(s.CSMP, "settings.csmp", 4, 255)
	c.octets(s.CNMI, "settings.cnmi", 5, 3)
	c.oneOf(s.Memory, "settings.memory", Memories)
	c.betweens([]limits{
		{w.Timing.BootS, 0.1, 120, "timing.boot_s", " s"},
		{w.Timing.Slower, 0.1, 1000, "timing.slower", ""},
		{w.Timing.PromptS, 0, 3600, "timing.prompt_s", " s"},
		{w.Timing.PromptDeafMS, 0, 60000, "timing.prompt_deaf_ms", " ms"},
		{w.Module.SleepAfterS, 0.1, 86400, "module.sleep_after_s", " s"},
	})
}

func (c *checker) octets(got []int, key string, count, most int) {
	ok := len(got) == count
	for _, n := range got {
		ok = ok && n >= 0 && n <= most
	}
	c.must(ok, key, "%v does not fit: want %d numbers from 0 to %d", got, count, most)
}

// fastestKMH is more than any vehicle does; a route that wants more is a slip of the pen.
const fastestKMH = 1200

// way holds route and cells to what can be.
func (c *checker) way() {
	w := c.world
	for i, p := range w.Route {
		key := fmt.Sprintf("route[%d]", i)
		c.between(p.AtS, 0, 1e9, key+".at_s", " s")
		c.between(p.LatDeg, -90, 90, key+".lat_deg", " degrees")
		c.between(p.LonDeg, -180, 180, key+".lon_deg", " degrees")
		c.between(p.AltitudeM, -500, 9000, key+".altitude_m", " m")
		if i > 0 {
			before := w.Route[i-1]
			c.must(p.AtS > before.AtS, key+".at_s", "%g s does not fit: want more than the point before (%g s)", p.AtS, before.AtS)
		}
	}
	for i, l := range legsOf(w.Route) {
		if seconds := (l.to - l.from).Seconds(); seconds > 0 {
			speed := l.lengthM / seconds * 3.6
			c.must(speed <= fastestKMH, fmt.Sprintf("route[%d]", i+1), "is %.0f m away and %.0f s later, %.0f km/h: want at most %d km/h", l.lengthM, seconds, speed, fastestKMH)
		}
	}
	for i, cell := range w.Cells {
		key := fmt.Sprintf("cells[%d]", i)
		c.between(cell.LatDeg, -90, 90, key+".lat_deg", " degrees")
		c.between(cell.LonDeg, -180, 180, key+".lon_deg", " degrees")
		c.between(cell.AtOneKMdBm, -150, -20, key+".at_1km_dbm", " dBm")
		c.between(cell.ReachM, 1, 200_000, key+".reach_m", " m")
		c.either(cell.Registration, key+".registration", Registrations)
		c.either(cell.Access, key+".access", Accesses)
		c.hex(cell.AreaCode, key+".area_code", 4)
		c.hex(cell.CellID, key+".cell_id", 8)
	}
}

// maxIncomingBytes bounds an incoming text: a dozen parts.
const maxIncomingBytes = 1800

func (c *checker) incoming() {
	in := &c.world.Incoming
	for i, t := range in.Texts {
		key := fmt.Sprintf("incoming.texts[%d]", i)
		c.times(key, &t.Times)
		c.peer(t.From, key+".from")
		c.must(len(t.Text) <= maxIncomingBytes, key+".text", "has %d bytes: want at most %d", len(t.Text), maxIncomingBytes)
		c.either(t.Coding, key+".coding", TextCodings[1:])
		c.between(t.AgeS, 0, 86400*63*7, key+".age_s", " s")
	}
	for i, t := range in.Calls {
		key := fmt.Sprintf("incoming.calls[%d]", i)
		c.times(key, &t.Times)
		if t.From != "" {
			c.number(t.From, key+".from")
		}
		c.between(t.ForS, 0, 3600, key+".for_s", " s")
	}
	for i, t := range in.Broadcasts {
		key := fmt.Sprintf("incoming.broadcasts[%d]", i)
		c.times(key, &t.Times)
		c.between(float64(t.Number), 0, 65535, key+".number", "")
		c.must(len(t.Text) <= maxIncomingBytes, key+".text", "has %d bytes: want at most %d", len(t.Text), maxIncomingBytes)
	}
}

func (c *checker) times(key string, t *Times) {
	c.between(t.AtS, 0, 1e9, key+".at_s", " s")
	c.must(t.EveryS == 0 || t.EveryS >= 0.1 && t.EveryS <= 1e9, key+".every_s", "%g s does not fit: want 0.1 to 1e+09, or 0 for once", t.EveryS)
	c.must(t.JitterS >= 0 && (t.EveryS == 0 || t.JitterS <= t.EveryS), key+".jitter_s", "%g s does not fit: want 0 to every_s", t.JitterS)
	c.between(float64(t.Count), 0, 1e6, key+".count", "")
}
