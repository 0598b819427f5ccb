package controller

import (
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"testing"
)

// wild runs any bytes as a program for a while, in three ways that must come to the
// same: plain, fast without skipping, fast with skipping.
func wild(t *testing.T, flash []byte, pins []byte) {
	flash = flash[:min(len(flash), 32<<10)]
	if len(flash) == 0 {
		return
	}
	const life = 120_000
	var first *Core
	var firstStop Stop
	var firstEvents []Event
	for _, opts := range []Options{{SkipNothing: true}, {Plain: true}, {}} {
		opts.StallMS, opts.BrownOutMV = -1, 2700
		c := New(ATmega328P(), opts)
		if err := c.Load(&Image{Name: "wild", Flash: flash, flashFrom: make([]int32, len(flash))}); err != nil {
			return // a reset vector for another part
		}
		c.Watch(allPins()...)
		for i, b := range pins[:min(len(pins), 200)] {
			if p := PinOf("BCD"[b>>3&3%3], int(b&7)); c.ports[p.port()].has&p.mask() != 0 {
				c.Drive(p, Drive(b>>6), Cycle(i)*977)
			}
		}
		var events []Event
		var stop Stop
		for to := Cycle(0); to < life && !stop.Final(); {
			to += 7919
			stop, events = c.Run(to, events)
			if c.Now() > to+8 || !stop.Final() && c.Now() < to {
				t.Fatalf("Run(%d) ended at %d", to, c.Now())
			}
		}
		if stop.Why == Ended {
			return // only skipping notices that a loop has no end
		}
		if first == nil {
			first, firstStop, firstEvents = c, stop, events
			continue
		}
		if stop != firstStop {
			t.Fatalf("%v and %v", firstStop, stop)
		}
		if !slices.Equal(events, firstEvents) {
			t.Fatal(firstDifference(firstEvents, events))
		}
		if !sameState(t, first, c) {
			t.FailNow()
		}
	}
}

// likely makes programs that do something: known instructions, registers of
// peripherals as addresses, short jumps.
func likely(r *rand.Rand, length int) []byte {
	code := make([]uint16, 0, length)
	for n := range 26 {
		code = append(code, 0xC000|uint16(60+r.IntN(length-100)-2*n)&0xFFF, 0x9518)
	}
	for len(code) < length {
		p := &words.patterns[r.IntN(len(words.patterns))]
		word := p.want | uint16(r.Uint32())&^p.mask
		switch k := p.kind; {
		case k == kSPM || k == kBREAK || k == kIJMP || k == kICALL || (k == kRET || k == kRETI) && r.IntN(8) > 0:
			continue
		case k == kJMP || k == kCALL:
			code = append(code, p.want, uint16(52+r.IntN(length-60)))
			continue
		case k == kLDS || k == kSTS:
			addr := uint16(0x100 + r.IntN(0x800))
			if r.IntN(3) > 0 {
				list := ATmega328P().registers
				reg := list[r.IntN(len(list))]
				if reg.kind == regSPMCSR || reg.kind == regSPH || reg.kind == regSPL || reg.kind == regCLKPR {
					continue
				}
				addr = reg.addr
			}
			code = append(code, word, addr)
			continue
		case k == kRJMP || k == kRCALL:
			word = p.want | uint16(int16(r.IntN(40)-25))&0xFFF
		case k == kBRBS || k == kBRBC:
			word = word&^0x3F8 | uint16(r.IntN(30)-20)&0x7F<<3
		case k == kOUT:
			if a := oneOp(word).k; a == 0x5D || a == 0x5E || a == 0x57 {
				continue
			}
		case k >= kLDX && k <= kLDXdec || k >= kSTX && k <= kSTXdec:
			code = append(code, ldi(10, uint16(r.IntN(256))), ldi(11, uint16(r.IntN(8))))
		case k == kPUSH && r.IntN(2) == 0:
			code = append(code, word, 0x900F) // with a pop
			continue
		}
		code = append(code, word)
	}
	return rawImage(code)
}

// TestWildPrograms is the fuzz target over programs that get somewhere.
func TestWildPrograms(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 77))
		pins := make([]byte, 100)
		for i := range pins {
			pins[i] = byte(r.Uint32())
		}
		code := likely(r, 300+r.IntN(1500))
		wild(t, code, pins)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

func FuzzProgram(f *testing.F) {
	f.Add(rawImage([]uint16{0, 0xCFFF}), []byte{1, 0x41, 0x81})
	f.Add(rawImage([]uint16{0x9478, 0x9588, 0xCFFE}), []byte{})
	f.Add(binary.LittleEndian.AppendUint16(nil, 0xFFFF), []byte{9})
	for seed := range uint64(4) {
		f.Add(likely(rand.New(rand.NewPCG(seed, 78)), 400), []byte{byte(seed), 0x50, 0x90})
	}
	f.Fuzz(wild)
}
