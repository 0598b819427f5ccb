package uart

import (
	"bytes"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestHearByHand compares with frames drawn on squared paper: what eight data
// bits become at half and at double speed. Source: the framing of 8N1 itself,
// one low start bit, least significant bit first, one high stop bit.
func TestHearByHand(t *testing.T) {
	for _, row := range []struct {
		name       string
		sent       []byte
		from, to   float64
		read       []byte
		errors     Errors
		frame      Frame
		whyByWords string
	}{
		{"same speed", []byte("AT\r"), 9600, 9600, []byte("AT\r"), Errors{}, EightN1, "nothing changes"},
		{"all ones, sender at half speed", []byte{0xFF}, 9600, 19200, []byte{0xFE}, Errors{}, EightN1,
			"the start bit lasts two bits: one is taken for a low first data bit"},
		{"all zeros, sender at half speed", []byte{0x00}, 9600, 19200, []byte{0x00}, Errors{Framing: 1}, EightN1,
			"low for 18 bits: the stop bit is missing, and no edge comes after it"},
		{"all ones, sender at double speed", []byte{0xFF}, 19200, 9600, nil, Errors{FalseStarts: 1}, EightN1,
			"the start bit is over before its middle is looked at"},
		{"U, sender at half speed", []byte{0x55}, 9600, 19200, []byte{0x66, 0xE6}, Errors{Framing: 1}, EightN1,
			"00 11 00 11 00 11 00 11 00 11: start 0, data 01100110, stop 0; the next edge is before the " +
				"second 00 from the right: start 0, data 0110011 and the idle line"},
		{"all zeros, sender ten times slower", []byte{0x00, 0x00}, 960, 9600, []byte{0x00, 0x00}, Errors{Framing: 2}, EightN1,
			"one falling edge in each character"},
		{"seven bits and even parity", []byte{0x03, 0x07}, 9600, 9600, []byte{0x03, 0x07}, Errors{},
			Frame{DataBits: 7, Parity: Even, StopBits: 1}, "parity 0 for two ones, 1 for three"},
	} {
		t.Run(row.name, func(t *testing.T) {
			read, errors := Mishear(row.sent, row.from, row.to, row.frame)
			if !bytes.Equal(read, row.read) || errors != row.errors {
				t.Errorf("% x at %v read at %v: % x %+v, want % x %+v: %s", row.sent, row.from, row.to, read, errors, row.read, row.errors, row.whyByWords)
			}
		})
	}
}

// TestParityErrorIsCounted: 8N1 read as 7E1: the eighth data bit is the parity
// bit, so "C" (0x43, three ones, eighth bit 0) is wrong and "A" (0x41, two ones) is right.
func TestParityErrorIsCounted(t *testing.T) {
	seven := Frame{DataBits: 7, Parity: Even, StopBits: 1}
	read, errors := Hear([]byte("CA"), End{9600, EightN1}, End{9600, seven})
	if string(read) != "CA" || errors != (Errors{Parity: 1}) {
		t.Errorf("read %q %+v", read, errors)
	}
}

// TestSameSpeedIsHeardRight: every frame, any bytes.
func TestSameSpeedIsHeardRight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		frame := Frame{
			DataBits: rapid.IntRange(5, 8).Draw(t, "data bits"),
			Parity:   rapid.SampledFrom([]Parity{None, Even, Odd, Mark, Space}).Draw(t, "parity"),
			StopBits: rapid.IntRange(1, 2).Draw(t, "stop bits"),
		}
		baud := float64(rapid.SampledFrom(StandardSpeeds).Draw(t, "baud"))
		sent := rapid.SliceOf(rapid.Byte()).Draw(t, "sent")
		read, errors := Mishear(sent, baud, baud, frame)
		for i := range sent {
			sent[i] &= byte(1<<frame.DataBits - 1)
		}
		if !bytes.Equal(read, sent) || errors != (Errors{}) {
			t.Fatalf("sent % x, read % x, %+v", sent, read, errors)
		}
	})
}

// TestHearAgreesWithTolerance: within the published limits (Tolerance) every
// character is read right; a receiver that samples ideally fails beyond 0.5/9.5.
func TestHearAgreesWithTolerance(t *testing.T) {
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	slow, fast := Tolerance(EightN1, 16)
	for off := slow; off <= fast; off += 0.1 {
		read, errors := Mishear(all, 9600*(1+off/100), 9600, EightN1)
		if !bytes.Equal(read, all) || errors != (Errors{}) {
			t.Errorf("a clock %.1f %% off is within %.2f to %.2f %%, but was misread", off, slow, fast)
		}
	}
	ideal := TolerancePercent(EightN1)
	for _, off := range []float64{-ideal - 1, ideal + 1} {
		if read, errors := Mishear(all, 9600*(1+off/100), 9600, EightN1); bytes.Equal(read, all) && errors == (Errors{}) {
			t.Errorf("a clock %.1f %% off is beyond %.2f %%, but was read right", off, ideal)
		}
	}
}

func TestImpossibleSpeedsReadNothing(t *testing.T) {
	for _, baud := range []float64{0, -1, math.NaN()} {
		if read, _ := Mishear([]byte("AT\r"), baud, 9600, EightN1); read != nil {
			t.Errorf("sent at %v: % x", baud, read)
		}
		if read, _ := Mishear([]byte("AT\r"), 9600, baud, EightN1); read != nil {
			t.Errorf("read at %v: % x", baud, read)
		}
	}
}

func TestFrameText(t *testing.T) {
	for _, text := range []string{"8N1", "7E1", "8O2", "5N2", "7M1", "7S1"} {
		f, ok := ParseFrame(text)
		if !ok || f.String() != text {
			t.Errorf("%s reads as %+v and writes as %s", text, f, f)
		}
	}
	for _, text := range []string{"", "8N", "9N1", "8X1", "8N3", "4N1", "8N11"} {
		if _, ok := ParseFrame(text); ok {
			t.Errorf("%q is no frame", text)
		}
	}
	if got := (Frame{}).Bits(); got != 10 {
		t.Errorf("8N1 has %d bits, want 10", got)
	}
	if got := (Frame{DataBits: 8, Parity: Even}).Bits(); got != 11 {
		t.Errorf("8E1 has %d bits, want 11", got)
	}
}

// FuzzHear: it ends, and delivers no more than edges allow.
func FuzzHear(f *testing.F) {
	f.Add([]byte("\r\nOK\r\n"), 115200.0, 9600.0, byte(8), byte(0))
	f.Add([]byte("\r\nOK\r\n"), 9600.0, 115200.0, byte(8), byte('E'))
	f.Add([]byte{0, 0xFF, 0x55}, 300.0, 921600.0, byte(5), byte('M'))
	f.Fuzz(func(t *testing.T, sent []byte, from, to float64, dataBits, parity byte) {
		if len(sent) > 200 {
			return
		}
		read, errors := Mishear(sent, from, to, Frame{DataBits: int(dataBits), Parity: Parity(parity)})
		// A falling edge takes a high and a low bit: at most one in two of those sent.
		if limit := len(sent) * 6; len(read)+errors.FalseStarts > limit {
			t.Errorf("%d characters and %d false starts from %d bytes", len(read), errors.FalseStarts, len(sent))
		}
	})
}
