package module

import (
	"math"
	"math/rand/v2"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

// receiver is the position engine: it finds satellites, reads their messages,
// and computes a position when four of them are understood. Its state is that
// of a whole second; it is brought forward only when somebody asks.
type receiver struct {
	noise   *rand.Rand
	sending *sendings // when the module's own radio was on air
	on      bool
	since   when.Instant // when it was switched on
	at      when.Instant // the state is that of this instant

	channels []channel
	seen     []world.Seen
	looks    []world.Look
	rows     [][4]float64
	errors   []float64

	knowsTime    bool // from a satellite, or kept by the backup
	knowsAlmanac bool // and with it the leap seconds
	knowsPlace   bool
	readingSince when.Instant // since when some satellite's message was read without a break
	settled      bool         // nothing will change from one second to the next
	radioOn      bool         // the one receiver of a shared radio listens to the network

	fix    fix
	last   fix // the last valid one, for engines that go on with it
	frozen bool
	fixes  int // how often it found a position after having none
}

// begin makes an engine that knows nothing.
func (r *receiver) begin(satellites int, noise *rand.Rand, sending *sendings) {
	r.channels, r.noise, r.sending = make([]channel, satellites), noise, sending
}

// channel follows one satellite.
type channel struct {
	number    int // as sentences name it
	visible   bool
	look      world.Look
	wobble    float64 // fluctuation of the level, dB
	cn0dBHz   float64
	foundAt   when.Instant // the search will have found it then; 0: not sought
	tracked   bool
	goodSince when.Instant // message readable without a break since; 0: not
	subframes uint8        // bits for subframes 1 to 3
	validTo   when.Instant // of its ephemeris; 0: none
	slowM     float64      // range error that drifts over half an hour
	fastM     float64      // range error that changes within a minute
	mirrorM   float64      // range error by a reflected signal
	errorsSet bool
}

// fix is a position of one second.
type fix struct {
	valid            bool
	estimated        bool // from an earlier one, without satellites
	at               when.Instant
	point            geo.Point
	altitudeM        float64
	geoidM           float64
	speedKMH         float64
	courseDeg        float64
	moving           bool // fast enough for a course
	hdop, pdop, vdop float64
	used             []int // satellites, in order of number

	// How far the solution is from the truth, kept for moments within the second.
	eastM, northM, upM float64
}

// Levels in dB-Hz. Acquisition and tracking are our estimates of a usual
// receiver; reading 50 bit/s needs 26 to 27 (common practice, no source).
const (
	acquireDBHz = 24.0
	trackDBHz   = 21.0
	readDBHz    = 26.0
	surelyDBHz  = 30.0 // from here no subframe is lost
)

// The message: IS-GPS-200 clause 20.3. A subframe lasts 6 s, a frame of five
// 30 s; subframes 1 to 3 hold clock and ephemeris. The almanac takes 25 frames.
const (
	subframe       = 6 * when.Second
	subframes      = 5
	wholeEphemeris = 0b111
	almanacTakes   = 750 * when.Second
	ephemerisLasts = 4 * 3600 * when.Second // usable time, from memory
	gpsAheadOfUTC  = 18 * when.Second       // leap seconds since 2017
)

// Range errors, one sigma: clock, ephemeris and atmosphere drift together
// slowly; reflections and noise change quickly. A handbook budget for one
// frequency: 2.0, 2.0, 4.0, 0.7 m and 1.4, 0.5 m. The times are our estimates.
const (
	slowSigmaM = 4.95
	fastSigmaM = 1.49
	slowTau    = 1800.0 // s
	fastTau    = 40.0   // s
	wobbleDB   = 0.8
	wobbleTau  = 20.0 // s
	mirrorTau  = 25.0 // s; a standing receiver, a reflecting wall: our estimate
)

// courseFromKMH is the speed from which a course means something; our choice.
const courseFromKMH = 2.0

// longestStep bounds how far a settled receiver is moved at once: a satellite
// that rises is noticed this late.
const longestStep = 30 * when.Second

func (r *receiver) switchOn(now when.Instant, keepsNothing bool) {
	if r.on {
		return
	}
	if keepsNothing {
		r.forget(now)
	}
	r.on, r.since, r.at, r.settled = true, now, now-now%when.Second, false
	r.readingSince, r.fix.valid, r.frozen, r.last.valid = 0, false, false, false
	for i := range r.channels {
		r.channels[i].lose()
	}
}

func (r *receiver) switchOff() { r.on, r.fix.valid = false, false }

// forget makes the next start a cold one: no time, place, almanac, ephemeris.
func (r *receiver) forget(now when.Instant) {
	was := r.on
	r.knowsTime, r.knowsAlmanac, r.knowsPlace, r.on = false, false, false, false
	for i := range r.channels {
		r.channels[i].validTo = 0
	}
	r.fix.valid = false
	if was {
		r.switchOn(now, false)
	}
}

// powerLost ends the engine; without a backup supply it forgets everything.
func (r *receiver) powerLost(backup bool) {
	r.switchOff()
	if !backup {
		r.forget(0)
	}
}

// lose stops following a satellite. Its ephemeris stays good.
func (c *channel) lose() {
	c.tracked, c.foundAt, c.goodSince, c.subframes = false, 0, 0, 0
}

// advance brings the receiver to the last whole second before or at now.
func (r *receiver) advance(life *world.Life, now when.Instant) {
	target := now - now%when.Second
	for r.on && r.at < target {
		step := when.Second
		if r.settled {
			step = min(longestStep, target-r.at)
		}
		r.at += step
		r.move(life, step)
	}
}

// move lives through one step that ends at r.at.
func (r *receiver) move(life *world.Life, step when.Instant) {
	r.seen = life.Sky(r.at, r.seen[:0])
	c := life.At(r.at)
	drop, mirrorM := 0.0, c.GNSS.ReflectionsM
	if c.GNSS.DropWhileSendingDB > 0 && r.sending.at(r.at) {
		drop = c.GNSS.DropWhileSendingDB
	}
	if r.radioOn && c.GNSS.Radio == "shared" {
		drop = 100 // it does not listen to the sky at all
	}
	for i := range r.channels {
		r.channels[i].visible = false
	}
	r.settled = true
	reading := false
	for i := range r.seen {
		s := &r.seen[i]
		c := &r.channels[s.Index]
		c.visible, c.look, c.number = true, s.Look, s.Number
		c.wobble = r.drift(c.wobble, wobbleDB, step, wobbleTau)
		c.cn0dBHz = s.CN0dBHz + c.wobble - drop
		r.follow(c)
		r.readMessage(life, c, step)
		r.rangeErrors(c, step)
		if mirrorM > 0 {
			c.mirrorM = r.drift(c.mirrorM, mirrorM, step, mirrorTau)
		}
		reading = reading || c.validTo > r.at && c.tracked
		r.settled = r.settled && drop == 0 && c.foundAt == 0 && (c.goodSince == 0 || c.validTo > r.at)
	}
	for i := range r.channels {
		if !r.channels[i].visible {
			r.channels[i].lose()
		}
	}
	r.learnAlmanac(reading)
	r.solve(life)
}

// drift moves a value that wanders about zero with a given deviation and
// memory (a first-order autoregression).
func (r *receiver) drift(x, sigma float64, step when.Instant, tau float64) float64 {
	keep := math.Exp(-step.Seconds() / tau)
	return x*keep + sigma*math.Sqrt(1-keep*keep)*r.noise.NormFloat64()
}

// follow finds a satellite, or loses it.
func (r *receiver) follow(c *channel) {
	switch {
	case c.tracked:
		if c.cn0dBHz < trackDBHz {
			c.lose()
		}
	case c.cn0dBHz < acquireDBHz:
		c.foundAt = 0
	case c.foundAt == 0:
		c.foundAt = r.at.Add(r.searchTime(c))
	}
	if !c.tracked && c.foundAt != 0 && r.at >= c.foundAt {
		c.tracked, c.foundAt = true, 0
	}
	switch {
	case !c.tracked || c.cn0dBHz < readDBHz:
		c.goodSince, c.subframes = 0, 0
	case c.goodSince == 0:
		c.goodSince = r.at
	}
}

// searchTime draws how long it takes to find a satellite: long without any
// idea where to look, short when the receiver knows; our estimates.
func (r *receiver) searchTime(c *channel) time.Duration {
	longest := 9.0
	switch {
	case r.knowsTime && r.knowsPlace && c.validTo > r.at:
		longest = 0.8
	case r.knowsTime && r.knowsPlace && r.knowsAlmanac:
		longest = 2.5
	}
	if c.cn0dBHz < surelyDBHz+4 {
		longest *= 2.5
	}
	return time.Duration((0.1 + 0.9*r.noise.Float64()) * longest * float64(time.Second)).Round(time.Microsecond)
}

// readMessage collects the subframe that ends now, if it was received whole.
func (r *receiver) readMessage(life *world.Life, c *channel, step when.Instant) {
	if c.goodSince == 0 {
		return
	}
	if step > when.Second {
		// A settled receiver goes on reading: what it has stays fresh.
		if c.validTo > r.at && c.cn0dBHz >= surelyDBHz {
			c.validTo = r.at + ephemerisLasts
		}
		return
	}
	gps := when.Instant(life.UTC(r.at).UnixNano()) + gpsAheadOfUTC
	if gps%subframe != 0 || r.at-c.goodSince < subframe {
		return
	}
	if chance := (c.cn0dBHz - readDBHz) / (surelyDBHz - readDBHz); chance < 1 && r.noise.Float64() > chance {
		return
	}
	r.knowsTime = true // every subframe tells the time of week
	ended := int(gps/subframe+subframes-1) % subframes
	if ended < 3 {
		c.subframes |= 1 << ended
	}
	if c.subframes == wholeEphemeris {
		c.validTo, c.subframes = r.at+ephemerisLasts, 0
	}
}

// rangeErrors moves the errors of the satellite's range.
func (r *receiver) rangeErrors(c *channel, step when.Instant) {
	if !c.errorsSet {
		c.slowM, c.fastM, c.errorsSet = slowSigmaM*r.noise.NormFloat64(), fastSigmaM*r.noise.NormFloat64(), true
		return
	}
	c.slowM = r.drift(c.slowM, slowSigmaM, step, slowTau)
	c.fastM = r.drift(c.fastM, fastSigmaM, step, fastTau)
}

// learnAlmanac: the whole almanac comes by in 12.5 minutes (IS-GPS-200 20.3.2).
func (r *receiver) learnAlmanac(reading bool) {
	switch {
	case !reading:
		r.readingSince = 0
	case r.readingSince == 0:
		r.readingSince = r.at
	case r.at-r.readingSince >= almanacTakes:
		r.knowsAlmanac = true
	}
}

// worstPDOP is the geometry beyond which a position is worth nothing; our choice.
const worstPDOP = 20

// solve computes a position from the satellites that are understood.
func (r *receiver) solve(life *world.Life) {
	c := life.At(r.at)
	g := &c.GNSS
	f := &r.fix
	had := f.valid
	f.valid, f.estimated, f.at, f.used = false, false, r.at, f.used[:0]
	r.looks, r.errors = r.looks[:0], r.errors[:0]
	for i := range r.channels {
		c := &r.channels[i]
		if c.visible && c.tracked && c.validTo > r.at {
			f.used = append(f.used, c.number)
			r.looks = append(r.looks, c.look)
			e := c.slowM + c.fastM
			if g.ReflectionsM > 0 {
				// Low satellites are reflected more.
				e += c.mirrorM * (1.2 - c.look.ElevationDeg/90)
			}
			r.errors = append(r.errors, e)
		}
	}
	geometry := world.NewGeometry(r.looks, r.rows)
	r.rows = geometry.Rows()
	if !geometry.Valid || !r.knowsTime || geometry.DOP().P > worstPDOP {
		f.used = f.used[:0]
		if g.Estimates {
			r.estimate()
		}
		return
	}
	d := geometry.DOP()
	f.eastM, f.northM, f.upM = geometry.Offset(r.errors)
	f.eastM += g.FalseEastM
	f.northM += g.FalseNorthM
	f.hdop, f.pdop, f.vdop = d.H, d.P, d.V
	f.valid = true
	r.place(life, r.at)
	noise := r.noise.NormFloat64()
	if truth := life.Where(r.at); truth.SpeedKMH >= courseFromKMH {
		f.speedKMH = math.Abs(truth.SpeedKMH + noise*0.3*d.H)
		f.courseDeg, f.moving = math.Mod(truth.CourseDeg+noise*20/truth.SpeedKMH+360, 360), true
	} else {
		f.speedKMH, f.moving = math.Abs(noise)*0.1*d.H, false // standing still; our estimate
	}
	r.knowsPlace = true
	switch {
	case !g.Frozen:
		r.frozen = false
	case !r.frozen && r.last.valid:
		r.frozen = true
	}
	if r.frozen {
		f.point, f.altitudeM, f.speedKMH, f.moving = r.last.point, r.last.altitudeM, 0, false
		return
	}
	if !had {
		r.fixes++
	}
	used := append(r.last.used[:0], f.used...)
	r.last = *f
	r.last.used = used
}

// place puts the fix where the truth is at an instant, and the errors of its
// second away from it.
func (r *receiver) place(life *world.Life, at when.Instant) {
	f := &r.fix
	p := life.Where(at)
	point, height := geo.FromENU(geo.Point{LatDeg: p.LatDeg, LonDeg: p.LonDeg}, p.AltitudeM+p.GeoidM, f.eastM, f.northM, f.upM)
	f.point, f.altitudeM, f.geoidM = point, height-p.GeoidM, p.GeoidM
}

// estimate goes on from the last position as it moved there: dead reckoning.
func (r *receiver) estimate() {
	if !r.last.valid {
		return
	}
	f := &r.fix
	used := f.used
	*f = r.last
	f.used, f.at, f.estimated = used, r.at, true
	if f.moving {
		metres := f.speedKMH / 3.6 * (r.at - r.last.at).Seconds()
		f.point, _ = geo.Direct(r.last.point, f.courseDeg, metres)
	}
}

// within is the fix of a moment behind the second of the state: the errors are
// the same, the place is that of the moment.
func (r *receiver) within(life *world.Life, at when.Instant) {
	if r.fix.valid && !r.frozen && !r.fix.estimated && at != r.at {
		r.place(life, at)
	}
	r.fix.at = at
}

// utc is what the engine takes for the time at an instant; false when it does
// not know. Without a backup its own counter begins where week 0 began.
func (r *receiver) utc(life *world.Life, at when.Instant) (now time.Time, known bool) {
	c := life.At(at)
	if !r.knowsTime {
		return clockBegin.Add(at.Sub(r.since - r.since%when.Second)), c.GNSS.Sentences.EarlyDate
	}
	now = life.UTC(at).AddDate(0, 0, 7*c.GNSS.WeekShift)
	if !r.knowsAlmanac {
		now = now.Add(time.Duration(c.GNSS.LeapErrorS) * time.Second)
	}
	return now, true
}
