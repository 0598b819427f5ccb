package uart

import (
	"math"
	"testing"
)

// TestToleranceTable: the published table of an 8-bit microcontroller's data
// sheet, limits in percent for data bits (with parity) 5 to 10, recomputed from
// its own formula. The sheet prints -4.54 for eight bits at 16 samples where its
// own ratio 95.36 gives -4.64; the ratio is taken here.
func TestToleranceTable(t *testing.T) {
	for _, row := range []struct {
		samples    int
		frame      Frame
		slow, fast float64
	}{
		{16, Frame{DataBits: 5}, -6.80, 6.67},
		{16, Frame{DataBits: 6}, -5.88, 5.79},
		{16, Frame{DataBits: 7}, -5.19, 5.11},
		{16, Frame{DataBits: 8}, -4.64, 4.58},
		{16, Frame{DataBits: 8, Parity: Even}, -4.19, 4.14},
		{8, Frame{DataBits: 5}, -5.88, 5.66},
		{8, Frame{DataBits: 6}, -5.08, 4.92},
		{8, Frame{DataBits: 7}, -4.48, 4.35},
		{8, Frame{DataBits: 8}, -4.00, 3.90},
		{8, Frame{DataBits: 8, Parity: Odd}, -3.61, 3.53},
	} {
		slow, fast := Tolerance(row.frame, row.samples)
		if math.Abs(slow-row.slow) > 0.006 || math.Abs(fast-row.fast) > 0.006 {
			t.Errorf("%v with %d samples: %.2f %.2f, want %.2f %.2f", row.frame, row.samples, slow, fast, row.slow, row.fast)
		}
	}
}

// TestTolerancePercent: half a bit over 9.5 bits, and over 10.5 for an 11-bit frame.
func TestTolerancePercent(t *testing.T) {
	for _, row := range []struct {
		frame Frame
		want  float64
	}{
		{EightN1, 5.26},
		{Frame{DataBits: 8, Parity: Even, StopBits: 1}, 4.76},
		{Frame{DataBits: 8, StopBits: 2}, 5.26}, // the second stop bit is not sampled
	} {
		if got := TolerancePercent(row.frame); math.Abs(got-row.want) > 0.005 {
			t.Errorf("%v: %.2f, want %.2f", row.frame, got, row.want)
		}
	}
}

// dividers are rows of the 8-bit microcontroller data sheet's table of baud
// settings, recomputed; the printed errors, with one decimal, agree.
var dividers = []struct {
	clockHz        float64
	baud           float64
	normal         int
	normalError    float64
	doubled        int
	doubledPercent float64
}{
	{16e6, 2400, 416, -0.08, 832, 0.04},
	{16e6, 4800, 207, 0.16, 416, -0.08},
	{16e6, 9600, 103, 0.16, 207, 0.16},
	{16e6, 14400, 68, 0.64, 138, -0.08},
	{16e6, 19200, 51, 0.16, 103, 0.16},
	{16e6, 28800, 34, -0.79, 68, 0.64},
	{16e6, 38400, 25, 0.16, 51, 0.16},
	{16e6, 57600, 16, 2.12, 34, -0.79},
	{16e6, 76800, 12, 0.16, 25, 0.16},
	{16e6, 115200, 8, -3.55, 16, 2.12},
	{16e6, 230400, 3, 8.51, 8, -3.55},
	{16e6, 250000, 3, 0, 7, 0},
	{8e6, 2400, 207, 0.16, 416, -0.08},
	{8e6, 9600, 51, 0.16, 103, 0.16},
	{8e6, 57600, 8, -3.55, 16, 2.12},
	{8e6, 76800, 6, -6.99, 12, 0.16},
	{8e6, 115200, 3, 8.51, 8, -3.55},
	{8e6, 230400, 1, 8.51, 3, 8.51},
	{7372800, 9600, 47, 0, 95, 0},
	{7372800, 115200, 3, 0, 7, 0},
	{7372800, 230400, 1, 0, 3, 0},
}

func TestDividerTable(t *testing.T) {
	for _, row := range dividers {
		for _, way := range []struct {
			double  bool
			divider int
			percent float64
		}{{false, row.normal, row.normalError}, {true, row.doubled, row.doubledPercent}} {
			divider, percent := DividerError(row.clockHz, row.baud, way.double)
			if divider != way.divider || math.Abs(percent-way.percent) > 0.006 {
				t.Errorf("%v Hz, %v baud, double %v: %d %+.2f %%, want %d %+.2f %%", row.clockHz, row.baud, way.double,
					divider, percent, way.divider, way.percent)
			}
		}
	}
	if _, percent := DividerError(0, 9600, false); !math.IsNaN(percent) {
		t.Errorf("no clock: %v", percent)
	}
}
