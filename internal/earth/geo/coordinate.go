package geo

import "math"

// angle is one coordinate as written: one to three numbers, their marks, and
// perhaps a letter before or behind.
type angle struct {
	start, end int // with the letter
	hemisphere byte
	part       [3]number
	parts      int
	marked     bool // degree, minute or second marks were written
	together   int  // 2 or 3: that many parts stand in one number, see runTogether
}

// free lets angleAt find out by itself how many numbers belong together.
const free = 0

// angleAt reads one coordinate at i. want says how many numbers it has, where
// only blanks stand between them: "51 42 0 18" cannot be cut in two otherwise.
func (s *scanner) angleAt(i, want int) (a angle, ok bool) {
	a.start = i
	letter, j := s.hemisphereAt(i)
	if letter != 0 {
		a.hemisphere = letter
		j = s.blanks(j)
		if s.byteAt(j) == ':' || s.byteAt(j) == '=' {
			j = s.blanks(j + 1)
		}
	}
	if a.part[0], ok = s.numberAt(j); !ok {
		return a, false
	}
	a.parts, a.end = 1, a.part[0].end
	s.markAfter(&a, 0)
	for a.parts < 3 && a.parts != want && s.nextPart(&a, want) {
		a.parts++
	}
	if want != free && a.parts != want {
		return a, s.miss(a.end, "another number")
	}
	if a.hemisphere == 0 {
		k := s.blanks(a.end)
		if letter, end := s.hemisphereAt(k); letter != 0 && s.behind(k, end) {
			a.hemisphere, a.end = letter, end
		}
	}
	// A number that runs into a word or a further point is something else: a
	// version, an address, a name.
	if next := s.byteAt(a.end); a.end == a.part[a.parts-1].end &&
		(isLetter(next) && !s.hemisphereFollows(a.end) || next == '.' && isDigit(s.byteAt(a.end+1)) || next == '_') {
		return a, s.miss(a.end, "the end of the number")
	}
	return a, true
}

// behind says that the letter at k to end belongs to the number before it and
// not to one that follows it: in "51.7 N 0.3 W" each number has one behind, in
// "51.7 W0.3" the letter touches the next number.
func (s *scanner) behind(k, end int) bool {
	touchesNext := isDigit(s.byteAt(end)) || s.byteAt(end) == '-'
	touchesThis := k > 0 && s.byteAt(k-1) != ' '
	return touchesThis || !touchesNext
}

func (s *scanner) hemisphereFollows(i int) bool {
	letter, _ := s.hemisphereAt(i)
	return letter != 0
}

// markAfter reads the mark of the part just read.
func (s *scanner) markAfter(a *angle, rank int) {
	if end, ok := s.signOf(rank, s.blanks(a.end)); ok {
		if rank == 2 && s.text[end-1] == 's' && !a.marked && !isDigit(s.byteAt(end)) && end-a.end > 1 {
			return // " s" after bare numbers is a side, not a second
		}
		a.end, a.marked = end, true
	} else if s.byteAt(a.end) == 'S' && rank == 2 && a.marked {
		// Capital marks, 51D42M36S: the last is a mark when a letter for the side follows.
		if letter, _ := s.hemisphereAt(s.blanks(a.end + 1)); letter != 0 {
			a.end++
		}
	}
}

// nextPart reads minutes after degrees, or seconds after minutes.
func (s *scanner) nextPart(a *angle, want int) bool {
	if a.part[a.parts-1].decimals > 0 {
		return false // only the last part has decimals
	}
	k := a.end
	switch {
	case s.byteAt(k) == ':':
		k++
	case a.marked:
		k = s.blanks(k)
	case want != free && s.blanks(k) > k:
		k = s.blanks(k)
	default:
		return false
	}
	n, ok := s.numberAt(k)
	if !ok || n.signed || n.intDigits > 2 {
		return false
	}
	marksSoFar, end := a.marked, a.end
	a.part[a.parts], a.end = n, n.end
	s.markAfter(a, a.parts)
	if marksSoFar && a.end == n.end && want == free && !s.lastPartMayBeBare(a) {
		a.end = end // "51° 42 ..." where 42 begins something else
		return false
	}
	return true
}

// lastPartMayBeBare: after a degree mark people leave out the last mark when a
// letter follows, or the end: "51°42.6 N".
func (s *scanner) lastPartMayBeBare(a *angle) bool {
	k := s.blanks(a.end)
	return k >= len(s.text) || s.hemisphereFollows(k) || s.byteAt(k) == ',' || s.byteAt(k) == ';'
}

// axis says which coordinate the letter stands for: 'N' latitude, 'E' longitude, 0 not said.
func (a *angle) axis() byte {
	switch a.hemisphere {
	case 'N', 'S':
		return 'N'
	case 'E', 'W':
		return 'E'
	}
	return 0
}

// runTogether says how many parts a bare number of so many digits before its
// point must hold, because decimal degrees never have as many: 2 for ddmm.mmm and
// dddmm.mmm of NMEA 0183 (IEC 61162-1), 3 for the same with ss (ISO 6709), 0 for
// what may be decimal degrees.
func (a *angle) runTogether(lat bool) int {
	digits := a.part[0].intDigits
	if !lat {
		digits--
	}
	switch {
	case a.parts != 1:
		return 0
	case digits > 4:
		return 3
	case digits > 2 && (lat && digits > 3 || !lat):
		return 2
	}
	return 0
}

// split returns the parts of the coordinate, run together or not, and how many there are.
func (a *angle) split() (deg, min, sec float64, parts int) {
	switch a.together {
	case 2:
		v := a.part[0].value
		deg = math.Floor(v / 100)
		return deg, v - 100*deg, 0, 2
	case 3:
		v := a.part[0].value
		deg = math.Floor(v / 10000)
		min = math.Floor((v - 10000*deg) / 100)
		return deg, min, v - 10000*deg - 100*min, 3
	}
	return a.part[0].value, a.part[1].value, a.part[2].value, a.parts
}

// degrees turns the parts into decimal degrees. The sign belongs to the whole,
// so that 0 degrees west stays west. wrong names the part that is out of range.
func (a *angle) degrees(lat bool) (deg float64, wrong string) {
	d, m, s, parts := a.split()
	limit := 180.0
	if lat {
		limit = 90
	}
	switch {
	case parts > 1 && m >= 60:
		wrong = "minutes below 60"
	case parts > 2 && s >= 60:
		wrong = "seconds below 60"
	}
	deg = d
	switch parts {
	case 2:
		deg = (d*60 + m) / 60
	case 3:
		deg = (d*3600 + m*60 + s) / 3600
	}
	if deg > limit && wrong == "" {
		wrong = "a longitude of at most 180 degrees"
		if lat {
			wrong = "a latitude of at most 90 degrees"
		}
	}
	if a.part[0].minus || a.hemisphere == 'S' || a.hemisphere == 'W' {
		deg = -deg
	}
	return deg, wrong
}

// stepDeg is what one step of the last digit is worth, in degrees.
func (a *angle) stepDeg() float64 {
	_, _, _, parts := a.split()
	step := 1 / powersOfTen[a.part[a.parts-1].decimals]
	for range parts - 1 {
		step /= 60
	}
	return step
}
