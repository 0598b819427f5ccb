package geo

import "math"

const (
	degree  = math.Pi / 180
	epsilon = 0x1p-52 // distance from 1 to the next number

	// tiny keeps a sine away from zero where a quotient needs its sign. Its
	// square is the smallest normal number.
	tiny = 0x1p-511
)

// sincosDeg returns sine and cosine of an angle in degrees. Multiples of 90
// are exact: the quarter turns are taken off before the change to radians.
func sincosDeg(x float64) (s, c float64) {
	if math.Abs(x) > 720 {
		x = math.Mod(x, 360)
	}
	quarters := math.Round(x / 90)
	s, c = math.Sincos((x - 90*quarters) * degree)
	switch int(quarters) & 3 {
	case 1:
		s, c = c, -s
	case 2:
		s, c = -s, -c
	case 3:
		s, c = -c, s
	}
	return s + 0, c + 0 // + 0: no negative zero
}

// atan2Deg returns the direction of the pair (s, c) in degrees, -180 to 180.
// Like sincosDeg it is exact at multiples of 90.
func atan2Deg(s, c float64) float64 {
	switch {
	case math.Abs(s) <= math.Abs(c) && c >= 0:
		return math.Atan2(s, c) / degree
	case math.Abs(s) <= math.Abs(c):
		return math.Copysign(180, s) - math.Atan2(s, -c)/degree
	case s > 0:
		return 90 - math.Atan2(c, s)/degree
	case s < 0:
		return math.Atan2(c, -s)/degree - 90
	}
	return math.NaN()
}

// unit scales a pair to length one.
func unit(s, c float64) (float64, float64) {
	h := math.Hypot(s, c)
	return s / h, c / h
}

// twoSum returns u + v and what rounding took from it (Knuth's exact sum).
func twoSum(u, v float64) (sum, lost float64) {
	sum = u + v
	up := sum - v
	vp := sum - up
	return sum, (u - up) + (v - vp)
}

// lonDifference returns to - from in -180 to 180, and what rounding took from
// it: a metre between meridians near 180 keeps all its digits.
func lonDifference(from, to float64) (diff, lost float64) {
	diff, lost = twoSum(turn(to), turn(-from))
	diff, lost = twoSum(turn(diff), lost)
	switch {
	case diff > 180 || (diff == 180 && lost > 0):
		diff -= 360
	case diff < -180 || (diff == -180 && lost <= 0):
		diff += 360
	}
	return diff, lost
}

// turn brings an angle into -180 to 180; exact.
func turn(x float64) float64 {
	if x >= -180 && x <= 180 {
		return x
	}
	return math.Remainder(x, 360)
}
