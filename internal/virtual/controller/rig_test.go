package controller

import (
	"os"
	"regexp"
	"strconv"
	"testing"

	"firstfix/internal/tidy/needs"
)

// rig is a controller whose registers a test works by hand, while the program goes
// round in one instruction and every handler returns at once.
type rig struct {
	*Core
	t      testing.TB
	events []Event
}

const rigMain = 0x40 // where the program goes round, in words

func newRig(t testing.TB, opts Options) *rig {
	t.Helper()
	code := make([]uint16, rigMain+1)
	code[0] = 0xC000 | (rigMain - 1) // rjmp
	for n := 1; n <= 25; n++ {
		code[2*n] = 0x9518 // reti
	}
	code[rigMain] = 0xCFFF // rjmp to itself
	opts.SkipNothing = true
	if opts.StallMS == 0 {
		opts.StallMS = -1
	}
	r := &rig{Core: load(t, code, opts), t: t}
	r.run(10)
	return r
}

func (c *Core) addrOf(name string) uint16 {
	for _, r := range c.part.registers {
		if r.name == name {
			return r.addr
		}
	}
	panic("no register " + name)
}

func (r *rig) set(name string, v uint8) { r.writeIO(r.addrOf(name), v, r.cycle) }
func (r *rig) get(name string) uint8    { return r.readIO(r.addrOf(name), r.cycle) }

// run lets cycles pass and keeps what happened.
func (r *rig) run(n Cycle) []Event {
	r.t.Helper()
	stop, events := r.Run(r.cycle+n, nil)
	if stop.Final() {
		r.t.Fatal(stop)
	}
	r.events = append(r.events, events...)
	return events
}

// edges are the changes of one pin, with their times.
func edges(events []Event, p Pin) []Event {
	var list []Event
	for _, e := range events {
		if e.Kind == PinDriven && e.Pin == p {
			list = append(list, e)
		}
	}
	return list
}

func count(events []Event, kind EventKind) int {
	n := 0
	for _, e := range events {
		if e.Kind == kind {
			n++
		}
	}
	return n
}

// TestRegisterAddresses compares the register summary with avr-libc's header, written
// by others from the same datasheet.
func TestRegisterAddresses(t *testing.T) {
	const header = "/usr/lib/avr/include/avr/iom328p.h"
	text, err := os.ReadFile(header)
	if err != nil {
		needs.Something(t, "no "+header+" (apt-get install avr-libc): the register summary is not compared")
	}
	theirs := map[string]uint16{"SPL": 0x5D, "SPH": 0x5E, "SREG": 0x5F} // in a header of their own
	for _, m := range regexp.MustCompile(`#define (\w+)\s+_SFR_(IO|MEM)(8|16)\s*\(0x([0-9A-Fa-f]+)\)`).FindAllStringSubmatch(string(text), -1) {
		addr, _ := strconv.ParseUint(m[4], 16, 16)
		if m[2] == "IO" {
			addr += ioBase
		}
		if m[3] == "8" {
			theirs[m[1]] = uint16(addr)
		}
	}
	for _, r := range ATmega328P().registers {
		if addr, ok := theirs[r.name]; !ok || addr != r.addr {
			t.Errorf("%s is at 0x%02X here, at 0x%02X there (known there: %v)", r.name, r.addr, addr, ok)
		}
		delete(theirs, r.name)
	}
	for name, addr := range theirs {
		t.Errorf("%s (0x%02X) is not here", name, addr)
	}
	vectors := regexp.MustCompile(`#define (\w+)_vect_num\s+(\d+)`).FindAllStringSubmatch(string(text), -1)
	if len(vectors) != len(ATmega328P().vectors) {
		t.Errorf("%d vectors there, %d here", len(vectors), len(ATmega328P().vectors))
	}
	for _, m := range vectors {
		n, _ := strconv.Atoi(m[2])
		if got := ATmega328P().vectors[n-1].name; got != m[1] {
			t.Errorf("vector %d is %s there, %s here", n, m[1], got)
		}
	}
}
