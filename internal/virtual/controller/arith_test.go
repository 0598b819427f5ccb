package controller

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"
)

// sums is what the host makes of each operation of testdata/firmware/arith.c. The
// firmware's side is avr-gcc's and avr-libc's arithmetic, which knows nothing of us.
var sums = []func(x, y uint64) uint64{
	func(x, y uint64) uint64 { return uint64(uint8(x)) + uint64(uint8(y)) },
	func(x, y uint64) uint64 { return uint64(uint16(x) * uint16(y)) },
	func(x, y uint64) uint64 { return uint64(uint32(x) * uint32(y)) },
	func(x, y uint64) uint64 { return x * y },
	func(x, y uint64) uint64 { return uint64(uint8(x) / uint8(y)) },
	func(x, y uint64) uint64 { return uint64(uint16(x) / uint16(y)) },
	func(x, y uint64) uint64 { return uint64(uint32(x) / uint32(y)) },
	func(x, y uint64) uint64 { return x / y },
	func(x, y uint64) uint64 { return uint64(int64(int16(int8(x)) % int16(int8(y)))) },
	func(x, y uint64) uint64 { return uint64(int64(int16(x) % int16(y))) },
	func(x, y uint64) uint64 { return uint64(int64(int32(x) % int32(y))) },
	func(x, y uint64) uint64 { return uint64(int64(x) % int64(y)) },
	func(x, y uint64) uint64 { return uint64(int64(int16(x) / int16(y))) },
	func(x, y uint64) uint64 { return uint64(int64(int32(x) / int32(y))) },
	func(x, y uint64) uint64 { return x + y },
	func(x, y uint64) uint64 { return x - y },
	func(x, y uint64) uint64 { return uint64(uint32(x) >> (y & 31)) },
	func(x, y uint64) uint64 { return uint64(int64(int32(x) >> (y & 31))) },
	func(x, y uint64) uint64 { return uint64(uint32(x) << (y & 31)) },
	func(x, y uint64) uint64 { return x >> (y & 63) },
	func(x, y uint64) uint64 { return uint64(bit(int64(x) < int64(y))) },
	func(x, y uint64) uint64 { return uint64(bit(uint32(x) < uint32(y))) },
	func(x, y uint64) uint64 { return uint64(int64(int32(int16(x)) * int32(int16(y)))) },
	func(x, y uint64) uint64 { return uint64(uint32(uint16(x)) * uint32(uint16(y))) },
	func(x, y uint64) uint64 { return bitsOf(float(x) + float(y)) },
	func(x, y uint64) uint64 { return bitsOf(float(x) - float(y)) },
	func(x, y uint64) uint64 { return bitsOf(float(x) * float(y)) },
	func(x, y uint64) uint64 { return bitsOf(float(x) / float(y)) },
	func(x, y uint64) uint64 { return bitsOf(float32(int32(x))) },
	func(x, y uint64) uint64 { return uint64(int64(int32(float(x)))) },
	func(x, y uint64) uint64 { return uint64(bit(float(x) < float(y))) },
	func(x, y uint64) uint64 { return bitsOf(float32(math.Sqrt(float64(float(x))))) },
}

func float(v uint64) float32   { return math.Float32frombits(uint32(v)) }
func bitsOf(v float32) uint64  { return uint64(math.Float32bits(v)) }
func isFloat(op int) bool      { return op >= 24 && op != 28 }
func ulps(a, b uint64) float64 { return math.Abs(float64(int64(a) - int64(b))) }

// operands are random, of random length, and often at the edges.
func operands(r *rand.Rand, op int) (x, y uint64) {
	draw := func() uint64 {
		v := r.Uint64() >> r.IntN(64)
		switch r.IntN(8) {
		case 0:
			v = ^v
		case 1:
			v = uint64(1)<<r.IntN(64) - uint64(r.IntN(2))
		}
		if isFloat(op) { // ordinary numbers: no infinities, no denormals
			f := float32(math.Ldexp(0.5+r.Float64()/2, r.IntN(24)-8))
			if r.IntN(2) == 0 && op != 31 {
				f = -f
			}
			return bitsOf(f)
		}
		return v
	}
	x, y = draw(), draw()
	if op >= 4 && op <= 13 { // a divisor that is zero in its width, or that overflows, is not defined
		width := map[int]int{4: 8, 5: 16, 6: 32, 7: 64, 8: 8, 9: 16, 10: 32, 11: 64, 12: 16, 13: 32}[op]
		for part := y << (64 - width); part == 0 || part == ^uint64(0)<<(64-width); part = y << (64 - width) {
			y = draw()
		}
	}
	return x, y
}

// TestArithmeticOfFirmware compares over random operands, the fast way and the plain.
func TestArithmeticOfFirmware(t *testing.T) {
	for _, opts := range []Options{{StallMS: -1}, {Plain: true, StallMS: -1}} {
		c := start(t, "arith.elf", opts)
		at := map[string]uint32{}
		for _, s := range c.image.Symbols {
			if s.Data {
				at[s.Name] = s.Addr
			}
		}
		rounds := 300
		if opts.Plain {
			rounds = 30
		}
		r := rand.New(rand.NewPCG(10, 10))
		c.Run(2000, nil)
		const flag = 0x3E // GPIOR0
		for op, want := range sums {
			for range rounds {
				x, y := operands(r, op)
				binary.LittleEndian.PutUint64(c.data[at["a"]:], x)
				binary.LittleEndian.PutUint64(c.data[at["b"]:], y)
				c.data[at["op"]] = uint8(op)
				c.data[flag] = 1
				for n := 0; c.data[flag] != 0; n++ {
					if stop, _ := c.Run(c.cycle+400, nil); stop.Final() || n > 500 {
						t.Fatalf("operation %d: %v", op, stop)
					}
				}
				got, host := binary.LittleEndian.Uint64(c.data[at["r"]:]), want(x, y)
				// avr-libc promises the last bit of a float as little as others do.
				if got != host && !(isFloat(op) && op < 28 && ulps(got, host) <= 1) {
					t.Fatalf("operation %d of 0x%X and 0x%X: 0x%X; the host says 0x%X", op, x, y, got, host)
				}
			}
		}
	}
}
