package uart

import "math"

// Tolerance says by how much a receiver's clock may differ from the sender's, in
// percent: slow is negative, fast is positive. The last bit must still be
// sampled in its middle. D is data and parity bits together; samples a bit is
// 16, or 8 at double speed, of which the three around the middle vote:
//
//	slowest = (D+1) S / (S - 1 + D S + SF)
//	fastest = (D+2) S / ((D+1) S + SM)
//
// From the data sheet of an 8-bit microcontroller; SF and SM are the first and
// the middle of the voting samples. That sheet recommends half of it at most,
// as both ends share it.
func Tolerance(frame Frame, samplesPerBit int) (slowPercent, fastPercent float64) {
	frame = frame.norm()
	d := float64(frame.DataBits)
	if frame.Parity != None {
		d++
	}
	s, sf, sm := 16.0, 8.0, 9.0
	if samplesPerBit == 8 {
		s, sf, sm = 8, 4, 5
	}
	slowest := (d + 1) * s / (s - 1 + d*s + sf)
	fastest := (d + 2) * s / ((d+1)*s + sm)
	return (slowest - 1) * 100, (fastest - 1) * 100
}

// TolerancePercent is the simple rule: the last stop bit is sampled in its
// middle as long as the slip over the whole character stays under half a bit.
// Both ends together may be off by that much: 5.26 % for 8N1.
func TolerancePercent(frame Frame) float64 {
	return 0.5 / (float64(frame.Bits()-frame.norm().StopBits) + 0.5) * 100
}

// DividerError returns the divider a microcontroller uses for a speed, and by
// how many percent the speed is off with it. Its baud generator divides the
// clock by 16, or by 8 at double speed, times the divider plus one.
func DividerError(clockHz, baud float64, double bool) (divider int, errorPercent float64) {
	if !(clockHz > 0) || !(baud > 0) {
		return 0, math.NaN()
	}
	prescale := 16.0
	if double {
		prescale = 8
	}
	divider = max(0, int(math.Round(clockHz/(prescale*baud)-1)))
	return divider, (clockHz/(prescale*float64(divider+1))/baud - 1) * 100
}
