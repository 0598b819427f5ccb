package trackfile

import (
	"strconv"
	"strings"
	"time"
)

// stampRules are what the first rows of a table have shown of its dates.
type stampRules struct {
	monthFirst bool // 03/04/2026 is the fourth of March
	zone       *time.Location
}

// stamp is a time as a table writes it.
type stamp struct {
	at       time.Time
	step     time.Duration // how coarse it is written
	zoneless bool
	slashed  bool // day and month could be either way round
	epoch    bool // seconds since 1970
}

// A Stamp is a time as people and programs write it.
type Stamp struct {
	Time     time.Time
	Step     time.Duration // how coarse it is written
	Zoneless bool          // it did not say its zone
}

// ReadStamp reads a date with a time in the usual spellings. zone is that of times which do
// not say theirs; nil: UTC.
func ReadStamp(text string, zone *time.Location) (Stamp, bool) {
	s, ok := readStamp(text, stampRules{zone: zone})
	return Stamp{s.at, s.step, s.zoneless && !s.epoch}, ok
}

// readStamp reads a date with a time: RFC 3339 and its relatives, day.month.year, with
// slashes, fourteen digits, seconds or thousandths since 1970.
func readStamp(text string, rules stampRules) (s stamp, ok bool) {
	text = strings.TrimSpace(text)
	if len(text) < 8 || len(text) > 40 {
		return s, false
	}
	if s, ok := epochStamp(text); ok {
		return s, true
	}
	y, m, d, rest, slashed, ok := readDay(text, rules)
	if !ok {
		return s, false
	}
	rest = strings.TrimLeft(rest, " T,")
	if rest == "" {
		return s, false
	}
	since, step, rest, ok := readClock(rest)
	if !ok {
		return s, false
	}
	s = stamp{step: step, slashed: slashed}
	zone, zoned, ok := readZone(rest)
	if !ok {
		return s, false
	}
	if !zoned {
		s.zoneless = true
		if zone = time.UTC; rules.zone != nil {
			zone = rules.zone
		}
	}
	s.at = time.Date(y, m, d, int(since/time.Hour), int(since/time.Minute%60), int(since/time.Second%60), int(since%time.Second), zone).UTC()
	return s, plausible(s.at)
}

// epochStamp reads seconds, thousandths, millionths or billionths since 1970, of this century.
func epochStamp(text string) (s stamp, ok bool) {
	whole, frac, _ := strings.Cut(text, ".")
	n, err := strconv.ParseInt(whole, 10, 64)
	if err != nil || n <= 0 || strings.Trim(frac, "0123456789") != "" {
		return s, false
	}
	s.epoch = true
	switch len(whole) {
	case 9, 10:
		if n < 946_684_800 { // 2000-01-01
			return s, false
		}
		nanos, _ := strconv.ParseInt((frac + "000000000")[:9], 10, 64)
		s.at = time.Unix(n, nanos).UTC()
		return s, true
	case 13:
		s.at = time.UnixMilli(n).UTC()
	case 16:
		s.at = time.UnixMicro(n).UTC()
	case 19:
		s.at = time.Unix(0, n).UTC()
	default:
		return s, false
	}
	return s, s.at.Year() >= 2000 && s.at.Year() < 2250
}

// readDay reads a date at the beginning of text.
func readDay(text string, rules stampRules) (y int, m time.Month, d int, rest string, slashed, ok bool) {
	var n [3]int
	var digits [3]int
	var sep byte
	rest = text
	for i := range n {
		k := 0
		for k < len(rest) && rest[k] >= '0' && rest[k] <= '9' {
			k++
		}
		if i == 0 && k >= 8 { // yyyymmdd, perhaps with hhmmss behind it
			for j, at := range [...]int{0, 4, 6, 8} {
				if j > 0 {
					from := [...]int{0, 0, 4, 6}[j]
					n[j-1], _ = strconv.Atoi(rest[from:at])
				}
			}
			return n[0], time.Month(n[1]), n[2], rest[8:], false, isDay(n[0], n[1], n[2])
		}
		if k == 0 || k > 4 {
			return y, m, d, rest, false, false
		}
		n[i], _ = strconv.Atoi(rest[:k])
		digits[i] = k
		rest = rest[k:]
		if i == 2 {
			break
		}
		if rest == "" || strings.IndexByte("-/.", rest[0]) < 0 || sep != 0 && rest[0] != sep {
			return y, m, d, rest, false, false
		}
		sep = rest[0]
		rest = rest[1:]
	}
	switch {
	case digits[0] == 4:
		y, d = n[0], n[2]
		m = time.Month(n[1])
	case digits[2] != 4:
		return y, m, d, rest, false, false
	case sep != '.' && rules.monthFirst:
		y, m, d, slashed = n[2], time.Month(n[0]), n[1], true
	default:
		y, m, d, slashed = n[2], time.Month(n[1]), n[0], sep != '.'
	}
	return y, m, d, rest, slashed, isDay(y, int(m), d)
}

func isDay(y, m, d int) bool {
	if y < 1700 || y > 2250 || m < 1 || m > 12 || d < 1 {
		return false
	}
	return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC).Day() == d
}

// readClock reads "10:15", "10:15:30.5", "10:15:30,5", "101530", "101530.00", and "pm" behind them.
func readClock(text string) (since, step time.Duration, rest string, ok bool) {
	var n [3]int
	parts := 0
	rest = text
	for parts < 3 {
		if len(rest) < 1 || rest[0] < '0' || rest[0] > '9' {
			break
		}
		k := 1
		if len(rest) > 1 && rest[1] >= '0' && rest[1] <= '9' {
			k = 2
		}
		n[parts], _ = strconv.Atoi(rest[:k])
		rest = rest[k:]
		parts++
		if parts < 3 && strings.HasPrefix(rest, ":") {
			rest = rest[1:]
		} else if parts < 3 && (k < 2 || rest == "" || rest[0] < '0' || rest[0] > '9') {
			break
		}
	}
	if parts < 2 || n[0] > 24 || n[1] > 59 || n[2] > 60 {
		return 0, 0, text, false
	}
	since = time.Duration(n[0])*time.Hour + time.Duration(n[1])*time.Minute + time.Duration(n[2])*time.Second
	if parts == 2 {
		step = time.Minute
	} else if len(rest) > 1 && (rest[0] == '.' || rest[0] == ',') && rest[1] >= '0' && rest[1] <= '9' {
		k := 1
		for k < len(rest) && rest[k] >= '0' && rest[k] <= '9' {
			k++
		}
		nanos, _ := strconv.Atoi((rest[1:k] + "000000000")[:9])
		since += time.Duration(nanos)
		rest = rest[k:]
	}
	trimmed := strings.TrimLeft(rest, " ")
	if len(trimmed) >= 2 && n[0] >= 1 && n[0] <= 12 {
		switch half := strings.ToLower(trimmed[:2]); {
		case half == "pm" && n[0] < 12:
			since, rest = since+12*time.Hour, trimmed[2:]
		case half == "pm":
			rest = trimmed[2:]
		case half == "am" && n[0] == 12:
			since, rest = since-12*time.Hour, trimmed[2:]
		case half == "am":
			rest = trimmed[2:]
		}
	}
	return since, step, rest, since <= 24*time.Hour
}

// readZone reads "", "Z", "UTC", "+02:00", "+0200", "+02".
func readZone(text string) (zone *time.Location, zoned, ok bool) {
	text = strings.TrimSpace(text)
	switch strings.ToUpper(text) {
	case "":
		return nil, false, true
	case "Z", "UTC", "GMT":
		return time.UTC, true, true
	}
	if text[0] != '+' && text[0] != '-' {
		return nil, false, false
	}
	digits := strings.Replace(text[1:], ":", "", 1)
	if len(digits) == 2 {
		digits += "00"
	}
	n, err := strconv.Atoi(digits)
	if err != nil || len(digits) != 4 || n%100 > 59 || n/100 > 14 {
		return nil, false, false
	}
	seconds := (n/100*60 + n%100) * 60
	if text[0] == '-' {
		seconds = -seconds
	}
	return time.FixedZone("", seconds), true, true
}
