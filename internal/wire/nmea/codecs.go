package nmea

import (
	"fmt"
	"math"
	"strings"

	"firstfix/internal/maybe"
)

// Each function here makes the codec of one kind of field for the part of a
// record that ref points at. They are what the tables of the sentences are made of.

// clock is a time of day, hhmmss.ss UTC.
func clock[R any](ref func(*R) *clockTime) codec[R] {
	return codec[R]{
		unit: "UTC",
		read: func(r *R, s *Sentence, n int) string {
			return readInto(ref(r), s.Field(n), readClock)
		},
		write: func(r *R) string { return writeFrom(ref(r), writeClock) },
		mean: func(s *Sentence, n int) string {
			t := s.Field(n)
			return t[:2] + ":" + t[2:4] + ":" + t[4:] + " UTC"
		},
	}
}

// date is ddmmyy.
func date[R any](ref func(*R) *calendar) codec[R] {
	read := func(text string) (d Date, want string) {
		if len(text) != 6 || !digitsOnly(text) {
			return d, "ddmmyy"
		}
		two := func(i int) int { return int(text[i]-'0')*10 + int(text[i+1]-'0') }
		d = shortDate(two(0), two(2), two(4))
		if !d.exists() {
			return d, "a day of the calendar"
		}
		return d, ""
	}
	return codec[R]{
		read: func(r *R, s *Sentence, n int) string { return readInto(ref(r), s.Field(n), read) },
		write: func(r *R) string {
			return writeFrom(ref(r), func(d Date) string { return fmt.Sprintf("%02d%02d%02d", d.Day, d.Month, d.Year%100) })
		},
		mean: func(s *Sentence, n int) string {
			d, _ := read(s.Field(n))
			return d.String()
		},
	}
}

// latitude and longitude read the digits and look at the next field for the
// hemisphere; the row after theirs is side.
func latitude[R any](ref func(*R) *angle) codec[R]  { return degrees(4, "NS", ref) }
func longitude[R any](ref func(*R) *angle) codec[R] { return degrees(5, "EW", ref) }

func degrees[R any](whole int, sides string, ref func(*R) *angle) codec[R] {
	return codec[R]{
		unit: "dddmm.mmmm"[5-whole:],
		read: func(r *R, s *Sentence, n int) string {
			text, side := s.Field(n), s.Field(n+1)
			if text == "" {
				return ""
			}
			a, want := readAngle(text, letterOf(side), whole)
			if want == "" && len(side) == 1 && strings.Contains(sides, side) {
				*ref(r) = maybe.Known(a)
			}
			return want
		},
		write: func(r *R) string { return writeFrom(ref(r), func(a Angle) string { return a.Text }) },
		mean: func(s *Sentence, n int) string {
			a, _ := readAngle(s.Field(n), sides[0], whole)
			return fmt.Sprintf("%.7f degrees %s", a.Deg, directions[letterOf(s.Field(n+1))])
		},
	}
}

// directions are the letters that follow a number.
var directions = [256]string{'N': "north", 'S': "south", 'E': "east", 'W': "west"}

func letterOf(text string) byte {
	if len(text) != 1 {
		return 0
	}
	return text[0]
}

// side is the hemisphere of the angle in the field before.
func side[R any](sides string, ref func(*R) *angle) codec[R] {
	return codec[R]{
		read: func(_ *R, s *Sentence, n int) string { return checkSide(s, n, sides) },
		write: func(r *R) string {
			return writeFrom(ref(r), func(a Angle) string { return string(a.Side) })
		},
		mean: func(s *Sentence, n int) string { return directions[letterOf(s.Field(n))] },
	}
}

// checkSide wants one of two letters, and wants it when the field before has a value.
func checkSide(s *Sentence, n int, sides string) string {
	text := s.Field(n)
	if (text == "" && s.Field(n-1) == "") || (len(text) == 1 && strings.Contains(sides, text)) {
		return ""
	}
	return sides[:1] + " or " + sides[1:]
}

// signed is a number whose sign is a letter in the next field, sides[0] for plus. The
// row after it is sign.
func signed[R any](unit, sides string, ref func(*R) *decimals) codec[R] {
	return codec[R]{
		unit: unit,
		read: func(r *R, s *Sentence, n int) string {
			if s.Field(n) == "" {
				return ""
			}
			x, want := readNumber(s.Field(n))
			if want == "" && x < 0 {
				want = "a number without a sign: the next field has it"
			}
			if want == "" {
				switch s.Field(n + 1) {
				case sides[:1]:
					*ref(r) = maybe.Known(x)
				case sides[1:]:
					*ref(r) = maybe.Known(-x)
				}
			}
			return want
		},
		write: func(r *R) string {
			return writeFrom(ref(r), func(x float64) string { return writeNumber(math.Abs(x)) })
		},
	}
}

// sign is the letter of the number in the field before.
func sign[R any](sides string, ref func(*R) *decimals) codec[R] {
	return codec[R]{
		read: func(_ *R, s *Sentence, n int) string { return checkSide(s, n, sides) },
		write: func(r *R) string {
			return writeFrom(ref(r), func(x float64) string {
				if math.Signbit(x) {
					return sides[1:]
				}
				return sides[:1]
			})
		},
		mean: func(s *Sentence, n int) string { return directions[letterOf(s.Field(n))] },
	}
}

// number is any number.
func number[R any](unit string, ref func(*R) *decimals) codec[R] {
	return codec[R]{
		unit:  unit,
		read:  func(r *R, s *Sentence, n int) string { return readInto(ref(r), s.Field(n), readNumber) },
		write: func(r *R) string { return writeFrom(ref(r), writeNumber) },
	}
}

// upTo is a number from 0 to limit.
func upTo[R any](limit float64, unit string, ref func(*R) *decimals) codec[R] {
	return between(0, limit, unit, ref)
}

// between is a number from low to high.
func between[R any](low, high float64, unit string, ref func(*R) *decimals) codec[R] {
	read := func(text string) (float64, string) {
		x, want := readNumber(text)
		if want == "" && (x < low || x > high) {
			want = "a number not below " + writeNumber(low)
			if high < math.MaxFloat64 {
				want = "a number from " + writeNumber(low) + " to " + writeNumber(high)
			}
		}
		return x, want
	}
	c := number(unit, ref)
	c.read = func(r *R, s *Sentence, n int) string { return readInto(ref(r), s.Field(n), read) }
	return c
}

// noLimit is for numbers that may not be negative and have no upper end.
const noLimit = math.MaxFloat64

// knots is a speed in knots; 1 kn is 1.852 km/h exactly (the international nautical mile).
func knots[R any](ref func(*R) *decimals) codec[R] {
	c := upTo(noLimit, "knots", ref)
	c.mean = func(s *Sentence, n int) string {
		x, _ := readNumber(s.Field(n))
		return fmt.Sprintf("%.1f km/h, %.1f m/s", x*1.852, x*1.852/3.6)
	}
	return c
}

// padded makes a number be written with so many digits before the point, as most
// equipment does.
func padded[R any](width int, c codec[R]) codec[R] {
	write := c.write
	c.write = func(r *R) string {
		text := write(r)
		whole, _, _ := strings.Cut(text, ".")
		if text == "" || text[0] == '-' || len(whole) >= width {
			return text
		}
		return strings.Repeat("0", width-len(whole)) + text
	}
	return c
}

// count is a whole number from 0 to limit, which may be at most 9999.
func count[R any](limit int, ref func(*R) *wholes) codec[R] {
	read := func(text string) (int, string) { return readWhole(text, limit) }
	return codec[R]{
		read:  func(r *R, s *Sentence, n int) string { return readInto(ref(r), s.Field(n), read) },
		write: func(r *R) string { return writeFrom(ref(r), func(n int) string { return fmt.Sprint(n) }) },
	}
}

// hexDigit is a whole number written as one hexadecimal digit.
func hexDigit[R any](ref func(*R) *wholes) codec[R] {
	read := func(text string) (int, string) {
		if len(text) != 1 || hexValue(text[0]) < 0 {
			return 0, "one hexadecimal digit"
		}
		return hexValue(text[0]), ""
	}
	return codec[R]{
		read:  func(r *R, s *Sentence, n int) string { return readInto(ref(r), s.Field(n), read) },
		write: func(r *R) string { return writeFrom(ref(r), func(n int) string { return fmt.Sprintf("%X", n&15) }) },
	}
}

// status is A or V.
func status[R any](ref func(*R) *truth) codec[R] {
	return codec[R]{
		read: func(r *R, s *Sentence, n int) string {
			switch s.Field(n) {
			case "":
			case "A":
				*ref(r) = maybe.Known(true)
			case "V":
				*ref(r) = maybe.Known(false)
			default:
				return "A or V"
			}
			return ""
		},
		write: func(r *R) string {
			return writeFrom(ref(r), func(valid bool) string {
				if valid {
					return "A"
				}
				return "V"
			})
		},
		mean: meanLetter(&statuses),
	}
}

// code is one letter of a table; 0 in the record is not said.
func code[R any, L ~byte](table *[256]string, ref func(*R) *L) codec[R] {
	return codec[R]{
		read: func(r *R, s *Sentence, n int) string {
			text := s.Field(n)
			switch {
			case text == "":
			case len(text) == 1 && table[text[0]] != "":
				*ref(r) = L(text[0])
			default:
				return "one of " + lettersOf(table)
			}
			return ""
		},
		write: func(r *R) string {
			if *ref(r) == 0 {
				return ""
			}
			return string(rune(*ref(r)))
		},
		mean: meanLetter(table),
	}
}

func meanLetter(table *[256]string) func(*Sentence, int) string {
	return func(s *Sentence, n int) string { return table[letterOf(s.Field(n))] }
}

// lettersOf lists the letters of a table: "A, D, E".
func lettersOf(table *[256]string) string {
	var list []string
	for c, meaning := range table {
		if meaning != "" {
			list = append(list, string(rune(c)))
		}
	}
	return strings.Join(list, ", ")
}

// constant is a field that always holds the same text, such as a unit, and stands
// for nothing of its own. It is written when present says so.
func constant[R any](text string, present func(*R) bool) codec[R] {
	return codec[R]{
		read: func(_ *R, s *Sentence, n int) string {
			if got := s.Field(n); got != "" && got != text {
				return text
			}
			return ""
		},
		write: func(r *R) string {
			if present(r) {
				return text
			}
			return ""
		},
	}
}

func always[R any](*R) bool { return true }

// words is any text.
func words[R any](ref func(*R) *string) codec[R] {
	return codec[R]{
		read:  func(r *R, s *Sentence, n int) string { *ref(r) = s.Field(n); return "" },
		write: func(r *R) string { return *ref(r) },
	}
}

// meaning gives a codec other words.
func meaning[R any](c codec[R], mean func(s *Sentence, n int) string) codec[R] {
	c.mean = mean
	return c
}

// readInto reads a text into a value; an empty one leaves it not known.
func readInto[T any](v *maybe.Value[T], text string, read func(string) (T, string)) (want string) {
	if text == "" {
		return ""
	}
	x, want := read(text)
	if want == "" {
		*v = maybe.Known(x)
	}
	return want
}

// writeFrom is the text of a value; "" when it is not known.
func writeFrom[T any](v *maybe.Value[T], write func(T) string) string {
	x, known := v.Get()
	if !known {
		return ""
	}
	return write(x)
}

// atLeast is a whole number from low to limit.
func atLeast[R any](low, limit int, ref func(*R) *wholes) codec[R] {
	read := func(text string) (int, string) {
		n, want := readWhole(text, limit)
		if want != "" || n < low {
			want = fmt.Sprintf("%d to %d", low, limit)
		}
		return n, want
	}
	c := count(limit, ref)
	c.read = func(r *R, s *Sentence, n int) string { return readInto(ref(r), s.Field(n), read) }
	return c
}

// satelliteID is a satellite id; 0 in the record is none.
func satelliteID[R any](ref func(*R) *int) codec[R] {
	return codec[R]{
		read: func(r *R, s *Sentence, n int) (want string) {
			*ref(r), want = readSatellite(s.Field(n))
			return want
		},
		write: func(r *R) string {
			if *ref(r) == 0 {
				return ""
			}
			return writeSatellite(*ref(r))
		},
	}
}
