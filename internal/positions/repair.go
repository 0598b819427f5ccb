package positions

import (
	"fmt"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/wire/nmea"
)

// A damaged sentence can be asked what it may have said. The checksum is the exclusive or
// of all characters (IEC 61162-1, from memory), so if one character was changed, the
// difference between the sum written and the sum computed is the difference of that
// character: there is one candidate for each place. Most of them make no sense. Those that
// do, and lie where the receiver can have been, are a guess: never a position.

const (
	// maxGuesses bounds the sentences of one file that are guessed at: each costs some
	// eighty readings.
	maxGuesses = 10_000

	// A guess lies within reach of the last fix: 70 m/s and 100 m, and not an hour later.
	guessMPS   = 70.0
	guessM     = 100.0
	guessSpan  = time.Hour
	guessReach = 100e3
)

// repair says what a damaged sentence may have said, in words.
func (f *feed) repair(text string) string {
	var s nmea.Sentence
	_ = nmea.Scan(text, &s)
	said := fmt.Sprintf("its checksum says *%02X, its characters give *%02X", s.Said, s.Checksum)
	if f.guesses++; f.guesses > maxGuesses {
		return said
	}
	diff := s.Said ^ s.Checksum
	end := -1
	for i := range text {
		if text[i] == '*' {
			end = i
		}
	}
	if end < 0 || !f.last.known || text[0] != '$' {
		return said + "; there is no fix nearby to compare a guess with"
	}
	var first geo.Point
	found, spread := 0, 0.0
	changed := []byte(text)
	try := func() {
		p, ok := f.readable(string(changed), &s)
		if !ok {
			return
		}
		if found == 0 {
			first = p
		}
		spread = max(spread, geo.DistanceM(first, p))
		found++
	}
	for i := 1; i < end; i++ {
		was := text[i]
		if changed[i] = was ^ diff; plausible(was, changed[i]) {
			try()
		}
		changed[i] = was
	}
	copy(changed[end:], fmt.Sprintf("*%02X", s.Checksum)) // or the checksum itself was changed
	if hexDigitsApart(text[end:], string(changed[end:])) == 1 {
		try()
	}
	if found == 0 {
		return said + "; no change of one character makes it fit the last fix"
	}
	near := geo.FormatDecimal(first, 5)
	if found == 1 {
		return fmt.Sprintf("%s; with one character changed it would say %s: a guess, no position", said, near)
	}
	return fmt.Sprintf("%s; with one character changed it would fit in %d ways, near %s and up to %s apart: a guess, no position", said, found, near, geo.FormatMetres(spread))
}

// plausible: noise that turns one character of a sentence into another of the same class is
// taken back; what was no character at all may have been anything.
func plausible(was, now byte) bool {
	class := func(b byte) int {
		switch {
		case b >= '0' && b <= '9':
			return 1
		case b == ',' || b == '.' || b == '-':
			return 2
		case b >= 'A' && b <= 'Z':
			return 3
		}
		return 0
	}
	a, b := class(was), class(now)
	return b != 0 && (a == 0 || a == b || a+b == 3) // a digit and a comma or point: one bit apart
}

func hexDigitsApart(a, b string) (n int) {
	if len(a) != len(b) {
		return len(a) + len(b)
	}
	for i := range len(a) {
		if a[i]|0x20 != b[i]|0x20 {
			n++
		}
	}
	return n
}

// readable reads a candidate: a sentence that the receiver stands by, at a place and a time
// that can follow the last fix.
func (f *feed) readable(text string, s *nmea.Sentence) (p geo.Point, ok bool) {
	if nmea.Scan(text, s) != nil || !s.SumOK() {
		return p, false
	}
	lat, lon, clock, stands, err := fixOf(s)
	if err != nil || !stands {
		return p, false
	}
	p = geo.Point{LatDeg: lat, LonDeg: lon}
	if !p.Valid() {
		return p, false
	}
	reach := guessReach
	if was, known := f.last.time.Get(); known {
		span := clock - was
		if span < -12*time.Hour {
			span += 24 * time.Hour
		}
		if span < 0 || span > guessSpan {
			return p, false
		}
		reach = guessM + guessMPS*span.Seconds()
	}
	return p, geo.DistanceM(f.last.point, p) <= reach
}

// fixOf reads the place, the time and the status of a sentence that has them. Any field
// that cannot be read is an error: a guess must be a whole sentence.
func fixOf(s *nmea.Sentence) (lat, lon float64, clock time.Duration, stands bool, err error) {
	take := func(a, o nmea.Angle, ok1, ok2 bool) bool { lat, lon = a.Deg, o.Deg; return ok1 && ok2 }
	ok := false
	switch s.Type {
	case "RMC":
		var r nmea.RMC
		err = r.Decode(s)
		a, ok1 := r.Lat.Get()
		o, ok2 := r.Lon.Get()
		ok = take(a, o, ok1, ok2)
		clock, stands = r.Time.Or(-1), r.Valid.Or(false) && (r.Mode == 0 || r.Mode.Measured())
	case "GGA":
		var r nmea.GGA
		err = r.Decode(s)
		a, ok1 := r.Lat.Get()
		o, ok2 := r.Lon.Get()
		ok = take(a, o, ok1, ok2)
		quality := r.Quality.Or(0)
		clock, stands = r.Time.Or(-1), quality >= 1 && quality <= 5
	case "GNS":
		var r nmea.GNS
		err = r.Decode(s)
		a, ok1 := r.Lat.Get()
		o, ok2 := r.Lon.Get()
		ok = take(a, o, ok1, ok2)
		clock, stands = r.Time.Or(-1), r.Mode().Measured()
	case "GLL":
		var r nmea.GLL
		err = r.Decode(s)
		a, ok1 := r.Lat.Get()
		o, ok2 := r.Lon.Get()
		ok = take(a, o, ok1, ok2)
		clock, stands = r.Time.Or(-1), r.Valid.Or(false) && (r.Mode == 0 || r.Mode.Measured())
	}
	return lat, lon, clock, ok && stands && clock >= 0, err
}
