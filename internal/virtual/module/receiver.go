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
	noise *rand.Rand
	on    bool
	since when.Instant // when it was switched on
	at    when.Instant // the state is that of this instant

	channels [world.Slots]channel
	seen     []world.Seen
	looks    []world.Look
	rows     [][4]float64
	errors   []float64

	knowsTime    bool // from a satellite, or kept by the backup
	knowsAlmanac bool
	knowsPlace   bool
	readingSince when.Instant // since when some satellite's message was read without a break
	settled      bool         // nothing will change from one second to the next

	fix fix
}

// channel follows one satellite.
type channel struct {
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
	errorsSet bool
}

// fix is a position of one second.
type fix struct {
	valid            bool
	at               when.Instant
	point            geo.Point
	altitudeM        float64
	speedKMH         float64
	hdop, pdop, vdop float64
	used             []int // satellites, in order of number
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
)

// longestStep bounds how far a settled receiver is moved at once: a satellite
// that rises is noticed this late.
const longestStep = 30 * when.Second

func (r *receiver) switchOn(now when.Instant) {
	if r.on {
		return
	}
	r.on, r.since, r.at, r.settled = true, now, now-now%when.Second, false
	r.readingSince, r.fix.valid = 0, false
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
		r.switchOn(now)
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
	for i := range r.channels {
		r.channels[i].visible = false
	}
	r.settled = true
	reading := false
	for i := range r.seen {
		s := &r.seen[i]
		c := &r.channels[s.Satellite-1]
		c.visible, c.look = true, s.Look
		c.wobble = r.drift(c.wobble, wobbleDB, step, wobbleTau)
		c.cn0dBHz = s.CN0dBHz + c.wobble
		r.follow(c)
		r.readMessage(life, c, step)
		r.rangeErrors(c, step)
		reading = reading || c.validTo > r.at && c.tracked
		r.settled = r.settled && c.foundAt == 0 && (c.goodSince == 0 || c.validTo > r.at)
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

// solve computes a position from the satellites that are understood.
func (r *receiver) solve(life *world.Life) {
	f := &r.fix
	f.valid, f.at, f.used = false, r.at, f.used[:0]
	r.looks, r.errors = r.looks[:0], r.errors[:0]
	for i := range r.channels {
		c := &r.channels[i]
		if c.visible && c.tracked && c.validTo > r.at {
			f.used = append(f.used, i+1)
			r.looks = append(r.looks, c.look)
			r.errors = append(r.errors, c.slowM+c.fastM)
		}
	}
	const worstPDOP = 20 // beyond it the position is worth nothing; our choice
	g := world.NewGeometry(r.looks, r.rows)
	r.rows = g.Rows()
	if !g.Valid || !r.knowsTime || g.DOP().P > worstPDOP {
		f.used = f.used[:0]
		return
	}
	d := g.DOP()
	place := &life.At(r.at).Place
	east, north, up := g.Offset(r.errors)
	truth := geo.Point{LatDeg: place.LatDeg, LonDeg: place.LonDeg}
	point, height := geo.FromENU(truth, place.AltitudeM+place.GeoidM, east, north, up)
	f.valid, f.point, f.altitudeM = true, point, height-place.GeoidM
	f.hdop, f.pdop, f.vdop = d.H, d.P, d.V
	f.speedKMH = math.Abs(r.noise.NormFloat64()) * 0.1 * d.H // standing still; our estimate
	r.knowsPlace = true
}
