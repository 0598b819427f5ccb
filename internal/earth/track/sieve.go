package track

import (
	"fmt"
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
)

// The names of the reasons, the gravest first. They are part of the outcome as data.
const (
	Damaged       = "damaged"
	Void          = "void"
	Impossible    = "impossible"
	Poor          = "poor"
	Retold        = "retold"
	Stale         = "stale"
	Duplicate     = "duplicate"
	Backwards     = "backwards"
	Contradiction = "contradiction"
	Jump          = "jump"
)

// A ReasonRow tells of one reason, for people.
type ReasonRow struct{ Name, Title, Source string }

// Reasons lists why a sighting is set apart, the gravest first.
var Reasons = []ReasonRow{
	{Damaged, "its sentence arrived damaged; what it may have said is only a guess", "IEC 61162-1: a sentence with a wrong checksum is not to be used (from memory)"},
	{Void, "the receiver does not stand by it", "NMEA 0183: status of RMC and GLL, mode, quality of GGA"},
	{Impossible, "it is no place on earth, or one where no receiver is", "WGS-84: latitude to 90, longitude to 180 degrees; 0, 0: common practice, no source"},
	{Poor, "the receiver thinks little of it", "the limits you gave"},
	{Retold, "a text repeats what the receiver itself said in the same recording", "our choice: one fix is one sighting"},
	{Stale, "it is an old fix told as a new one", "common practice, no source: a fix has one time"},
	{Duplicate, "the same fix was already told", "our choice: one fix is one sighting"},
	{Backwards, "its time lies before that of the sighting before it", "time goes forward"},
	{Contradiction, "two sightings cannot both be right and nothing says which is", "nothing is in two places"},
	{Jump, "it is farther from the last than anything could have gone in that time", "speed and acceleration, see Limits"},
}

func sourceOf(reason string) string {
	for i := range Reasons {
		if Reasons[i].Name == reason {
			return Reasons[i].Source
		}
	}
	return ""
}

// Limits are what the device can do, and what the person wants of a fix.
type Limits struct {
	MaxSpeedMPS  float64  // no faster, unless the receiver itself says so at both ends
	MaxAccelMPS2 float64  // speeding up or braking
	Gate         fix.Gate // the zero Gate asks for nothing
}

// Usual is for a trailer: 70 m/s (252 km/h) is more than any road vehicle; 8 m/s² is full
// braking on a dry road. Both are our estimate.
var Usual = Limits{MaxSpeedMPS: 70, MaxAccelMPS2: 8}

const (
	// A fix is off by about 5.2 m times the HDOP (one sigma; handbook budget of a civil
	// receiver), so two fixes of one place lie within 3 × √2 × 5.2 m × HDOP.
	noiseM        = 22.0
	unknownNoiseM = 50.0 // where no HDOP is told: that of a HDOP of 2.3
	maxNoiseHDOP  = 20.0 // a worse one explains nothing more

	frozenM  = 100.0           // so far must the speed have carried it while the numbers stood still
	lateHear = 2 * time.Second // heard again so much later: the same fix is told as a new one
)

// Sieve judges sightings. Use [NewSieve].
type Sieve struct {
	limits Limits
	line   line
	gated  bool

	base    mark // the last that was kept
	hasBase bool
	said    bool // the receiver itself was heard in this recording
	recent  [recentMarks]mark
	recents int
	frozenM float64 // how far it should have gone since the numbers stood still

	strands []strand
	queue   []waiting
}

// mark is what the next sighting is compared with.
type mark struct {
	point    geo.Point
	moment   Moment
	speedMPS float64
	told     bool // speedMPS is known
	hdop     float64
	stepDeg  float64
	at       int64
	timed    bool
}

// recentMarks is how many kept fixes are compared for duplicates: some loggers write a
// handful of sources one after the other.
const recentMarks = 8

// NewSieve returns a sieve that has seen nothing yet.
func NewSieve(l Limits) *Sieve {
	if l.MaxSpeedMPS <= 0 {
		l.MaxSpeedMPS = Usual.MaxSpeedMPS
	}
	if l.MaxAccelMPS2 <= 0 {
		l.MaxAccelMPS2 = Usual.MaxAccelMPS2
	}
	return &Sieve{limits: l, gated: l.Gate != (fix.Gate{})}
}

// Add judges the next sighting. It appends what is decided by it to out, in the order in
// which the sightings came: a jump waits until the next sightings say whether it was one.
func (v *Sieve) Add(s *Sighting, out []Judged) []Judged {
	m := v.line.of(s)
	why := v.alone(s)
	if why.Name == "" && v.hasBase {
		why = v.again(s, m)
	}
	if why.Name != "" {
		if why.Name == Void && m.Known && v.line.placed {
			if ahead := time.Duration(m.NS - v.line.moment); ahead > 0 && ahead < patience && v.line.roundsNow == 0 {
				v.line.place(s, m)
			}
		}
		return v.settle(s, m, why, out)
	}
	return v.move(s, m, out)
}

// settle emits a sighting that is decided by itself, behind those that still wait.
func (v *Sieve) settle(s *Sighting, m Moment, why Reason, out []Judged) []Judged {
	if len(v.queue) == 0 {
		return append(out, Judged{Sighting: *s, Moment: m, Why: why})
	}
	v.queue = append(v.queue, waiting{Judged: Judged{Sighting: *s, Moment: m, Why: why}, strand: decided})
	if len(v.queue) >= maxWaiting {
		return v.decide(out)
	}
	return out
}

// alone judges a sighting by what it says of itself.
func (v *Sieve) alone(s *Sighting) Reason {
	switch p, has := s.Point.Get(); {
	case s.Guess != "":
		return reason(Damaged, s.Guess)
	case s.Odd != "":
		return reason(Impossible, s.Odd)
	case !s.Valid && s.Void == "":
		return reason(Void, "the receiver does not stand by it")
	case !s.Valid:
		return reason(Void, s.Void)
	case !has:
		return reason(Void, "no position")
	case !p.Valid():
		return reason(Impossible, fmt.Sprintf("%.6f, %.6f is no place on earth", p.LatDeg, p.LonDeg))
	case p == geo.Point{}:
		return reason(Impossible, "exactly 0, 0: no receiver ever stood there")
	case s.Dimensions.Or(3) <= 1:
		return reason(Void, "GSA says that there is no fix")
	}
	if v.gated {
		if reasons := v.limits.Gate.Check(&s.Fix, s.At); len(reasons) > 0 {
			return Reason{Poor, reasons[0].Text, reasons[0].Source}
		}
	}
	if !s.Told {
		v.said = true
	} else if v.said {
		return reason(Retold, v.retold(s))
	}
	return Reason{}
}

func reason(name, text string) Reason { return Reason{name, text, sourceOf(name)} }

func (v *Sieve) retold(s *Sighting) string {
	if !v.hasBase {
		return "the receiver's own sentences are in the same recording"
	}
	p, _ := s.Point.Get()
	return geo.FormatMetres(stepM(v.base.point, p)) + " from what the receiver last said"
}

// again finds what was told before: duplicates, old fixes told as new ones, numbers that
// stand still while the speed says otherwise.
func (v *Sieve) again(s *Sighting, m Moment) Reason {
	p, _ := s.Point.Get()
	if m.Known && v.base.moment.Known && m.NS <= v.base.moment.NS && v.line.roundsNow == 0 {
		for i := range v.recents {
			had := &v.recent[i]
			if had.moment != m || had.point != p {
				continue
			}
			if apart := time.Duration(int64(s.At) - had.at); s.Timed && had.timed && apart >= lateHear {
				return reason(Stale, fmt.Sprintf("the same fix again, %s after it was first heard", short(apart)))
			}
			return reason(Duplicate, "the same time and place as a sighting before")
		}
		if m.NS == v.base.moment.NS && s.TimeStep == 0 && stepM(v.base.point, p) <= v.noise(&v.base, s) {
			return reason(Duplicate, fmt.Sprintf("the same time as the sighting before, %s beside it", geo.FormatMetres(stepM(v.base.point, p))))
		}
	}
	if p != v.base.point {
		v.frozenM = 0
		return Reason{}
	}
	speed, told := s.SpeedMPS.Get()
	if !told || !m.Known || !v.base.moment.Known {
		return Reason{}
	}
	seconds := m.Sub(v.base.moment).Seconds()
	// The base stays the first of the frozen ones that were kept: count from it.
	if carried := v.frozenM + speed*seconds; carried > max(frozenM, 3*s.StepDeg*degreeM, 3*v.base.stepDeg*degreeM) {
		return reason(Stale, fmt.Sprintf("the numbers have stood still while the speed says %.1f m/s: by now %s", speed, geo.FormatMetres(carried)))
	}
	return Reason{}
}

// noise is how far apart two fixes of one place may lie.
func (v *Sieve) noise(a *mark, s *Sighting) float64 {
	hdop, known := s.HDOP.Get()
	n := unknownNoiseM
	if known && a.hdop > 0 {
		n = noiseM * min(max(1, hdop, a.hdop), maxNoiseHDOP)
	}
	return n + (s.StepDeg+a.stepDeg)*degreeM
}

func markOf(s *Sighting, m Moment) mark {
	p, _ := s.Point.Get()
	k := mark{point: p, moment: m, hdop: s.HDOP.Or(0), stepDeg: s.StepDeg, at: int64(s.At), timed: s.Timed}
	k.speedMPS, k.told = s.SpeedMPS.Get()
	return k
}

// short writes a span of time with as much of it as matters.
func short(d time.Duration) string {
	switch {
	case d < 10*time.Second:
		return d.Round(100 * time.Millisecond).String()
	case d < time.Hour:
		return d.Round(time.Second).String()
	case d < 48*time.Hour:
		return fmt.Sprintf("%dh%02dm", int(d.Hours()), int(d.Minutes())%60)
	}
	return fmt.Sprintf("%.1f days", d.Hours()/24)
}
