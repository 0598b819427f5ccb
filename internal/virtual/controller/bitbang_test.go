package controller

import (
	"strings"
	"testing"
)

// answering joins bitbang.hex to an outside that answers "AT" with "OK", and returns
// what the firmware said on its USART.
func answering(t testing.TB, c *Core, life Cycle, speed float64) (asked, told string) {
	t.Helper()
	bit := 16e6 / 9600 / speed
	line, err := NewPort(c, PinOf('D', 2), PinOf('D', 3), Framing{BitCycles: bit})
	if err != nil {
		t.Fatal(err)
	}
	debug, err := NewPort(c, PinOf('D', 0), PinOf('D', 1), Framing{BitCycles: 144})
	if err != nil {
		t.Fatal(err)
	}
	var heard []Heard
	var events []Event
	for c.Now() < life {
		var stop Stop
		if stop, events = c.RunToEvent(min(life, line.Deadline(), debug.Deadline()), events[:0]); stop.Final() {
			t.Fatal(stop)
		}
		for _, h := range line.Hear(events, c.Now(), heard[:0]) {
			asked += string(rune(h.Value))
			if h.BadStop {
				asked += "!"
			}
			if h.Value == '\r' {
				if err := line.Say(c.Now()+16_000, []byte("\r\nOK\r\n")); err != nil {
					t.Fatal(err)
				}
			}
		}
		for _, h := range debug.Hear(events, c.Now(), heard[:0]) {
			told += string(rune(h.Value))
		}
	}
	return asked, told
}

// TestBitBangedLine holds a dialogue with firmware that works its line bit by bit, at
// the right speed and with an outside that is two per cent off either way.
func TestBitBangedLine(t *testing.T) {
	for _, speed := range []float64{1, 0.98, 1.02} {
		c := start(t, "bitbang.hex", Options{StallMS: -1})
		asked, told := answering(t, c, 32_000_000, speed)
		if asked != strings.Repeat("AT\r", len(asked)/3) || len(asked) < 27 {
			t.Errorf("speed %.2f: asked %q", speed, asked)
		}
		if !strings.HasPrefix("1234567890", told) || len(told) < 8 {
			t.Errorf("speed %.2f: counted %q; want every answer", speed, told)
		}
	}
}

// TestWrongSpeedIsGarbage answers at three quarters of the speed: nothing gets through.
func TestWrongSpeedIsGarbage(t *testing.T) {
	c := start(t, "bitbang.hex", Options{StallMS: -1})
	if _, told := answering(t, c, 16_000_000, 0.75); strings.Trim(told, "0") != "" {
		t.Errorf("counted %q; want no answer understood", told)
	}
}
