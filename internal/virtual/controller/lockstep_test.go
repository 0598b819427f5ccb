package controller

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// lockstepSwitch turns on the comparison with libsimavr, an independent core that
// Debian packages (libsimavr-dev). Its value is how many million instructions to run.
const lockstepSwitch = "FIRSTFIX_LOCKSTEP"

// program makes random instructions that stay inside RAM and flash: no jumps but
// short ones forward, pointers reloaded now and then, and a jump back at the end.
var words = newDecoder(ATmega328P())

func program(r *rand.Rand, length int) []uint16 {
	code := []uint16{0, 0xEF0F, 0xE016, 0xBF0D, 0xBF1E} // nop; r16, r17 to SPL, SPH: 0x06FF
	for reg := uint16(10); reg < 16; reg += 2 {
		code = append(code, ldi(reg, 0), ldi(reg+1, 4))
	}
	for len(code) < length {
		if r.IntN(12) == 0 {
			// X, Y or Z to the middle of RAM, so far in that a skipped half does not matter.
			reg, addr := uint16(10+2*r.IntN(3)), uint16(0x280+r.IntN(0x500))
			code = append(code, ldi(reg, addr&0xFF), ldi(reg+1, addr>>8))
			continue
		}
		p := &words.patterns[r.IntN(len(words.patterns))]
		if last := code[len(code)-1]; follow[oneOp(last).kind] != nil && r.IntN(2) == 0 {
			likely := follow[oneOp(last).kind]
			p = patternOf(likely[r.IntN(len(likely))])
		}
		word := p.want | uint16(r.Uint32())&^p.mask
		o := oneOp(word)
		switch o.kind {
		case kErased, kIllegal, kRET, kRETI, kSLEEP, kBREAK, kWDR, kSPM, kIJMP, kICALL, kJMP, kCALL, kRJMP, kRCALL, kSBI, kCBI, kSBIC, kSBIS:
			continue
		case kBRBS, kBRBC:
			word = word&^0x3F8 | uint16(1+r.IntN(3))<<3
		case kLDS, kSTS:
			if o.kind == kLDS && o.a >= 26 {
				continue
			}
			// The address may be executed: from 0x0200 on it is an instruction that does no harm.
			code = append(code, word, uint16(0x200+r.IntN(0x700)))
			continue
		case kIN:
			if o.a >= 26 {
				continue
			}
			word = word&^0x60F | 0x60F // SREG
		case kOUT:
			word = word&^0x60F | 0x40A // GPIOR1
		case kBSET:
			if o.a == flagI {
				continue
			}
		}
		if writesPointer(o) || word&0xFC0C == 0x940C && skips(code[len(code)-1]) {
			// libsimavr 1.6 takes adiw and sbiw that end in 0xC to 0xF for jmp and call
			// when it skips them; the manual gives them one word.
			continue
		}
		code = append(code, word)
	}
	code = append(code, 0, 0, 0, 0, 0x940C, 1)
	return code
}

// follow are the instructions that compilers like to write after another, which is
// what sprint has steps for.
var follow = map[kind][]kind{
	kADD: {kADC}, kADC: {kADC}, kSUB: {kSBC}, kSBC: {kSBC}, kCP: {kCPC, kBRBS, kBRBC}, kCPC: {kBRBS, kBRBC},
	kCPI: {kCPC, kBRBS, kBRBC}, kSUBI: {kSBCI, kBRBS, kBRBC}, kSBCI: {kBRBS, kBRBC}, kLSR: {kROR}, kMOVW: {kMOVW},
	kLDI: {kLDI}, kLDDY: {kLDDY}, kLDDZ: {kLDDZ}, kSTDY: {kSTDY}, kSTDZ: {kSTDZ}, kPUSH: {kPUSH}, kPOP: {kPOP},
	kDEC: {kBRBS, kBRBC}, kAND: {kBRBS, kBRBC}, kOR: {kBRBS, kBRBC}, kSBIW: {kBRBC},
}

func patternOf(k kind) *pattern {
	for i := range words.patterns {
		if words.patterns[i].kind == k {
			return &words.patterns[i]
		}
	}
	return nil
}

func skips(word uint16) bool {
	switch oneOp(word).kind {
	case kCPSE, kSBRC, kSBRS:
		return true
	}
	return false
}

func ldi(reg, v uint16) uint16 { return 0xE000 | v&0xF0<<4 | reg<<4 | v&0x0F }

func oneOp(word uint16) op {
	return words.at([]uint16{word, 0}, 0)
}

// writesPointer says that an instruction changes r26 to r31 other than by counting.
func writesPointer(o op) bool {
	switch o.kind {
	case kCP, kCPC, kCPI, kCPSE, kBST, kSBRC, kSBRS, kPUSH, kSTS, kOUT, kBRBS, kBRBC, kBSET, kBCLR, kNOP, kMUL, kMULS, kMULSU, kFMUL, kFMULS, kFMULSU:
		return false
	case kSTX, kSTXinc, kSTXdec, kSTYinc, kSTYdec, kSTZinc, kSTZdec, kSTDY, kSTDZ:
		return o.a >= 26 // what is stored while it counts is not defined
	}
	return o.a >= 25
}

func rawImage(words []uint16) []byte {
	b := make([]byte, 0, 2*len(words))
	for _, w := range words {
		b = binary.LittleEndian.AppendUint16(b, w)
	}
	return b
}

// load makes a core that runs words from address 0.
func load(t testing.TB, words []uint16, opts Options) *Core {
	t.Helper()
	c := New(ATmega328P(), opts)
	if err := c.Load(&Image{Name: t.Name(), Flash: rawImage(words), flashFrom: make([]int32, 2*len(words))}); err != nil {
		t.Fatal(err)
	}
	return c
}

func (c *Core) fingerprint(hash uint64) uint64 {
	fold := func(v uint64) { hash = (hash ^ v) * 1099511628211 }
	fold(uint64(c.cycle))
	fold(uint64(c.pc) | uint64(c.sreg)<<32 | uint64(c.sp)<<40)
	for k := range 4 {
		fold(binary.LittleEndian.Uint64(c.data[8*k:]))
	}
	return hash
}

func (c *Core) stateLine() string {
	return fmt.Sprintf("%d %04x %02x %04x %x", c.cycle, c.pc, c.sreg, c.sp, c.data[:32])
}

// TestLockstep holds every instruction's result, flags and cycles against libsimavr,
// in a process of its own, over random programs.
func TestLockstep(t *testing.T) {
	million := 0
	fmt.Sscan(os.Getenv(lockstepSwitch), &million)
	if million == 0 {
		t.Skipf("set %s to a number of million instructions to compare with libsimavr (apt-get install libsimavr-dev)", lockstepSwitch)
	}
	tool := filepath.Join(t.TempDir(), "lockstep")
	if out, err := exec.Command("cc", "-O2", "-o", tool, "testdata/simavr/lockstep.c", "-lsimavr").CombinedOutput(); err != nil {
		t.Skipf("no harness: %v\n%s", err, out)
	}
	for seed := range uint64(million) {
		compareSteps(t, tool, program(rand.New(rand.NewPCG(seed, 8)), 6000), 1_000_000)
	}
	// What a compiler makes is another mixture.
	var code []uint16
	for flash := firmware(t, "compute.hex").Flash; len(flash) > 0; flash = flash[2:] {
		code = append(code, binary.LittleEndian.Uint16(flash))
	}
	compareSteps(t, tool, code, million*1_000_000)
}

// compareSteps runs one program on both and compares a hash of all states.
func compareSteps(t *testing.T, tool string, code []uint16, steps int) {
	t.Helper()
	const every = 1000
	image := filepath.Join(t.TempDir(), "image")
	if err := os.WriteFile(image, rawImage(code), 0o600); err != nil {
		t.Fatal(err)
	}
	theirs, err := exec.Command(tool, image, fmt.Sprint(steps), fmt.Sprint(every)).Output()
	if err != nil {
		t.Fatal(err)
	}
	c := load(t, code, Options{Plain: true, StallMS: -1})
	lines := strings.Fields(string(theirs))
	hash := uint64(1469598103934665603)
	for n, want := range lines {
		for range every {
			c.step()
			hash = c.fingerprint(hash)
		}
		if got := fmt.Sprintf("%016x", hash); got != want {
			explain(t, tool, image, code, n*every, every)
			t.Fatalf("different after %d instructions", n*every)
		}
	}
	if len(lines) != steps/every {
		t.Fatalf("libsimavr ended after %d thousand instructions", len(lines))
	}
}

// explain finds the instruction after which the two differ.
func explain(t *testing.T, tool, image string, code []uint16, from, every int) {
	t.Helper()
	theirs, err := exec.Command(tool, image, fmt.Sprint(from+every), "0", fmt.Sprint(from)).Output()
	if err != nil {
		t.Fatal(err)
	}
	c := load(t, code, Options{Plain: true, StallMS: -1})
	for range from {
		c.step()
	}
	for _, want := range bytes.Split(bytes.TrimSpace(theirs), []byte("\n")) {
		text, _ := c.Disassemble(c.pc * 2)
		before := c.stateLine()
		c.step()
		if got := c.stateLine(); got != string(want) {
			t.Errorf("%s\nbefore %s\nwe     %s\nthey   %s", text, before, got, want)
			return
		}
	}
}
