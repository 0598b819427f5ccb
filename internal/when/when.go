// Package when counts time inside a session.
//
// # What it promises
//
// An [Instant] is a whole number of nanoseconds since the session began. It is
// exact, it compares with < and it never knows the wall clock: only a capture's
// header does. Nothing here reads a clock.
//
// # Where to start
//
// Read [Instant], then [Parse].
package when

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Instant is nanoseconds since the session began.
type Instant int64

// Never is later than every instant that can happen; as a deadline it asks for nothing.
const Never Instant = math.MaxInt64

// Second and Millisecond are for writing instants in code and tests.
const (
	Millisecond Instant = 1e6
	Second      Instant = 1e9
)

// Add returns the instant d later. Never stays Never.
func (i Instant) Add(d time.Duration) Instant {
	if i == Never {
		return Never
	}
	return i + Instant(d)
}

// Sub returns how long after earlier the instant i is.
func (i Instant) Sub(earlier Instant) time.Duration { return time.Duration(i - earlier) }

// Before says whether i is earlier than other.
func (i Instant) Before(other Instant) bool { return i < other }

// Seconds returns the instant in seconds since the session began.
func (i Instant) Seconds() float64 { return float64(i) / 1e9 }

// String writes seconds since the session began, with as many decimals as are
// needed and at least three: "0.125", "12.000", "3.000000001".
func (i Instant) String() string {
	if i == Never {
		return "never"
	}
	sign, n := "", uint64(i)
	if i < 0 {
		sign, n = "-", uint64(-i)
	}
	frac := fmt.Sprintf("%09d", n%1e9)
	for len(frac) > 3 && frac[len(frac)-1] == '0' {
		frac = frac[:len(frac)-1]
	}
	return sign + strconv.FormatUint(n/1e9, 10) + "." + frac
}

// Parse reads what String writes: a decimal number of seconds, with at most
// nine decimals, without an exponent. It is exact.
func Parse(s string) (Instant, error) {
	text := s
	negative := strings.HasPrefix(text, "-")
	if negative {
		text = text[1:]
	}
	whole, frac, hasFrac := strings.Cut(text, ".")
	if whole == "" || (hasFrac && frac == "") || len(frac) > 9 {
		return 0, &SyntaxError{Text: s}
	}
	seconds, err := strconv.ParseUint(whole, 10, 63)
	if err != nil || seconds > uint64(math.MaxInt64/1_000_000_000)-1 {
		return 0, &SyntaxError{Text: s}
	}
	var nanos uint64
	if hasFrac {
		nanos, err = strconv.ParseUint(frac+strings.Repeat("0", 9-len(frac)), 10, 63)
		if err != nil {
			return 0, &SyntaxError{Text: s}
		}
	}
	i := Instant(seconds*1e9 + nanos)
	if negative {
		i = -i
	}
	return i, nil
}

// A SyntaxError is a text that is not a number of seconds.
type SyntaxError struct{ Text string }

func (e *SyntaxError) Error() string {
	return fmt.Sprintf("when: %q is not seconds as 12 or 12.345 (at most nine decimals)", e.Text)
}
