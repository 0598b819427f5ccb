package epoch

import (
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// said is what the sentences of the open epoch say. has tells which of the records are of
// this epoch.
type said struct {
	rmc nmea.RMC
	gga nmea.GGA
	gns nmea.GNS
	gll nmea.GLL
	vtg nmea.VTG
	zda nmea.ZDA
	gsa nmea.GSA // the last; the others are in used and in the four below
	gsv nmea.GSV // only passing through

	has  [kinds]talker // who said it; 0: nobody
	at   when.Instant  // of the last sentence that has a position
	used []usedSatellite

	dimensions       maybe.Value[int]
	pdop, hdop, vdop maybe.Value[float64]
}

type usedSatellite struct {
	system System
	id     int
}

func (d *said) clear() {
	d.has = [kinds]talker{}
	d.at = 0
	d.used = d.used[:0]
	d.dimensions = maybe.Value[int]{}
	d.pdop, d.hdop, d.vdop = maybe.Value[float64]{}, maybe.Value[float64]{}, maybe.Value[float64]{}
}

// outranks orders talkers that say the same kind in one epoch: several systems together,
// then GPS, then any other by its letters. So the order of sentences does not matter.
func outranks(who, other talker) bool {
	const gps talker = 'G'<<8 | 'P'
	rank := func(t talker) int {
		switch t {
		case 0:
			return 0
		case combined:
			return 1 << 18
		case gps:
			return 1 << 17
		}
		return 1<<16 - int(t)
	}
	return rank(who) > rank(other)
}

// hear takes in a sentence of any kind but GSV. What cannot be read of it is not known;
// a rule that asks for the sentence sees why.
func (d *said) hear(kind kind, s *nmea.Sentence, at when.Instant) {
	if kind == gsaKind {
		d.hearGSA(s)
		d.has[kind] = talkerOf(s.Talker)
		return
	}
	switch kind {
	case rmcKind, ggaKind, gnsKind, gllKind:
		d.at = max(d.at, at)
	}
	who := talkerOf(s.Talker)
	if !outranks(who, d.has[kind]) {
		return
	}
	d.has[kind] = who
	switch kind {
	case rmcKind:
		_ = d.rmc.Decode(s)
	case ggaKind:
		_ = d.gga.Decode(s)
	case gnsKind:
		_ = d.gns.Decode(s)
	case gllKind:
		_ = d.gll.Decode(s)
	case vtgKind:
		_ = d.vtg.Decode(s)
	case zdaKind:
		_ = d.zda.Decode(s)
	}
}

func (d *said) hearGSA(s *nmea.Sentence) {
	_ = d.gsa.Decode(s)
	g := &d.gsa
	for _, id := range g.IDs() {
		if len(d.used) < maxUsed {
			d.used = append(d.used, usedSatellite{systemOf(nmea.SystemOf(s.Talker, g.SystemID.Or(0), id)), id})
		}
	}
	if n, ok := g.Fix.Get(); ok && n > d.dimensions.Or(0) {
		d.dimensions = g.Fix
	}
	d.pdop, d.hdop, d.vdop = first(d.pdop, g.PDOP), first(d.hdop, g.HDOP), first(d.vdop, g.VDOP)
}

// maxUsed is how many satellites used are remembered: twelve in each GSA of an epoch.
const maxUsed = 12 * maxGSA

// first is a when it is known, else b.
func first[T any](a, b maybe.Value[T]) maybe.Value[T] {
	if a.IsKnown() {
		return a
	}
	return b
}

// compose puts the fix together. Of a value that several sentences have it takes that of
// GGA, then GNS, RMC, GLL, GSA, VTG. last is when the last sentence came.
func (d *said) compose(f *fix.Fix, timeOfDay maybe.Value[time.Duration], last when.Instant) {
	f.At = last
	if d.has[rmcKind]|d.has[ggaKind]|d.has[gnsKind]|d.has[gllKind] != 0 {
		f.At = d.at
	}
	f.TimeOfDay = timeOfDay
	f.UTC = d.utc(timeOfDay)
	f.Dimensions = d.dimensions
	if d.has[ggaKind] != 0 {
		f.Quality, f.SatellitesUsed, f.HDOP = d.gga.Quality, d.gga.SatellitesUsed, d.gga.HDOP
		f.AltitudeM, f.GeoidM = d.gga.AltitudeM, d.gga.GeoidM
	}
	if d.has[gnsKind] != 0 {
		f.SatellitesUsed, f.HDOP = first(f.SatellitesUsed, d.gns.SatellitesUsed), first(f.HDOP, d.gns.HDOP)
		f.AltitudeM, f.GeoidM = first(f.AltitudeM, d.gns.AltitudeM), first(f.GeoidM, d.gns.GeoidM)
	}
	if d.has[gsaKind] != 0 {
		f.SatellitesUsed = first(f.SatellitesUsed, maybe.Known(len(d.used)))
		f.HDOP, f.PDOP, f.VDOP = first(f.HDOP, d.hdop), d.pdop, d.vdop
	}
	d.motion(f)
	f.Mode = d.mode()
	point := d.point()
	f.Void = d.void(point.IsKnown())
	f.Valid = f.Void == ""
	if p, ok := point.Get(); ok && (f.Valid || p != (geo.Point{})) {
		f.Point = point // zeros in a void sentence are no position
	}
}

// motion: 1 knot is 1852 m in an hour, exactly.
func (d *said) motion(f *fix.Fix) {
	if d.has[rmcKind] != 0 {
		if kn, ok := d.rmc.SpeedKnots.Get(); ok {
			f.SpeedMPS = maybe.Known(kn * 1852 / 3600)
		}
		f.CourseDeg = d.rmc.CourseDeg
	}
	if d.has[vtgKind] != 0 {
		if kn, ok := d.vtg.SpeedKnots.Get(); ok {
			f.SpeedMPS = first(f.SpeedMPS, maybe.Known(kn*1852/3600))
		}
		if kmh, ok := d.vtg.SpeedKMH.Get(); ok {
			f.SpeedMPS = first(f.SpeedMPS, maybe.Known(kmh/3.6))
		}
		f.CourseDeg = first(f.CourseDeg, d.vtg.CourseDeg)
	}
}

// utc needs a date: of RMC with its own time, else of ZDA.
func (d *said) utc(timeOfDay maybe.Value[time.Duration]) (utc maybe.Value[time.Time]) {
	if d.has[rmcKind] != 0 {
		date, dated := d.rmc.Date.Get()
		t, timed := d.rmc.Time.Get()
		if dated && timed {
			return maybe.Known(date.At(t))
		}
	}
	if d.has[zdaKind] == 0 {
		return utc
	}
	date, dated := d.zda.Date().Get()
	sent, timed := d.zda.Time.Get()
	if !dated || !timed {
		return utc
	}
	// The epoch may be a moment before or after, and so on the day before or after.
	const day = 24 * time.Hour
	apart := timeOfDay.Or(sent) - sent
	switch {
	case apart > day/2:
		apart -= day
	case apart < -day/2:
		apart += day
	}
	return maybe.Known(date.At(sent).Add(apart))
}

func (d *said) point() (p maybe.Value[geo.Point]) {
	take := func(kind kind, lat, lon maybe.Value[nmea.Angle]) {
		a, ok1 := lat.Get()
		o, ok2 := lon.Get()
		if d.has[kind] != 0 && ok1 && ok2 && !p.IsKnown() {
			p = maybe.Known(geo.Point{LatDeg: a.Deg, LonDeg: o.Deg})
		}
	}
	take(ggaKind, d.gga.Lat, d.gga.Lon)
	take(gnsKind, d.gns.Lat, d.gns.Lon)
	take(rmcKind, d.rmc.Lat, d.rmc.Lon)
	take(gllKind, d.gll.Lat, d.gll.Lon)
	return p
}

// void says why the receiver does not stand by the position; "" when it does. It does
// when some sentence says so and none denies it: RMC and GLL by status A and by their mode,
// GGA by its quality, GNS by its modes. Of modes A, D, F, P and R are measured, E, M, N and S
// are not; of qualities 1 to 5 are, 0, 6, 7 and 8 are not (NMEA 0183 version 2.3, from memory).
func (d *said) void(hasPoint bool) string {
	stands := false
	status := func(kind kind, valid maybe.Value[bool], mode nmea.Mode) string {
		if d.has[kind] == 0 {
			return ""
		}
		a, known := valid.Get()
		stands = stands || a
		if mode != 0 && !mode.Measured() {
			return voidModes[mode]
		}
		if known && !a {
			return "status V"
		}
		return ""
	}
	if why := status(rmcKind, d.rmc.Valid, d.rmc.Mode); why != "" {
		return why
	}
	if why := status(gllKind, d.gll.Valid, d.gll.Mode); why != "" {
		return why
	}
	if quality, known := d.gga.Quality.Get(); known && d.has[ggaKind] != 0 {
		if why := voidQualities[quality]; why != "" {
			return why
		}
		stands = true
	}
	if mode := d.gns.Mode(); mode != 0 && d.has[gnsKind] != 0 {
		if !mode.Measured() {
			return voidModes[mode]
		}
		stands = true
	}
	switch {
	case !hasPoint:
		return "no position"
	case !stands:
		return "no sentence vouches for it"
	}
	return ""
}

// The reasons of void, made once.
var (
	voidModes = [256]string{
		'E': "mode E: estimated", 'M': "mode M: manual input", 'N': "mode N: not valid", 'S': "mode S: simulator",
	}
	voidQualities = [9]string{
		0: "quality 0: no fix", 6: "quality 6: estimated", 7: "quality 7: manual input", 8: "quality 8: simulator",
	}
)

// modeWords are the modes in one or two words.
var modeWords = [256]string{
	'A': "autonomous", 'D': "differential", 'E': "estimated", 'F': "RTK float", 'M': "manual input",
	'N': "not valid", 'P': "precise", 'R': "RTK fixed", 'S': "simulator",
}

// qualityModes are the modes that the qualities of GGA stand for.
const qualityModes = "NADPRFEMS"

// mode is how the position is known, in words: as RMC, GLL, GNS or VTG say, else as the
// quality of GGA says.
func (d *said) mode() string {
	var mode nmea.Mode
	take := func(kind kind, m nmea.Mode) {
		if mode == 0 && d.has[kind] != 0 {
			mode = m
		}
	}
	take(rmcKind, d.rmc.Mode)
	take(gllKind, d.gll.Mode)
	take(gnsKind, d.gns.Mode())
	take(vtgKind, d.vtg.Mode)
	if q, known := d.gga.Quality.Get(); known && mode == 0 && d.has[ggaKind] != 0 {
		mode = nmea.Mode(qualityModes[q])
	}
	return modeWords[mode]
}
