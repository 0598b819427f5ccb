package pump

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/uart"

	"pgregory.net/rapid"
)

// caller is a controller that sends "ping\n" every so often until it has heard
// so many lines.
type caller struct {
	every when.Instant
	count int
	baud  int

	next  when.Instant
	heard []byte
	lines int
}

func (c *caller) Feed(now when.Instant, b []byte, out []byte) []byte {
	c.heard = append(c.heard, b...)
	c.lines += bytes.Count(b, []byte("\n"))
	return c.Tick(now, out)
}

func (c *caller) Tick(now when.Instant, out []byte) []byte {
	if now >= c.next {
		c.next += c.every
		out = append(out, "ping\n"...)
	}
	return out
}

func (c *caller) Deadline() (when.Instant, string) { return c.next, "the next call" }
func (c *caller) Done() bool                       { return c.lines >= c.count }
func (c *caller) Baud() int                        { return c.baud }

// answerer is a module that answers each line a while later.
type answerer struct {
	after when.Instant
	baud  int

	due   []when.Instant
	heard []byte
	at    []when.Instant // when each byte was heard
}

func (a *answerer) Feed(now when.Instant, b []byte, out []byte) []byte {
	out = a.Tick(now, out)
	for _, c := range b {
		a.heard = append(a.heard, c)
		a.at = append(a.at, now)
		if c == '\n' {
			a.due = append(a.due, now+a.after)
		}
	}
	return out
}

func (a *answerer) Tick(now when.Instant, out []byte) []byte {
	for len(a.due) > 0 && a.due[0] <= now {
		a.due = a.due[1:]
		out = append(out, "pong\n"...)
	}
	return out
}

func (a *answerer) Deadline() (when.Instant, string) {
	if len(a.due) == 0 {
		return when.Never, ""
	}
	return a.due[0], "an answer"
}
func (a *answerer) Baud() int { return a.baud }

// tape writes what the tap is told as lines.
func tape(lines *[]string) Tap {
	return func(from Side, at when.Instant, b []byte, event string) {
		if event != "" {
			*lines = append(*lines, fmt.Sprintf("%v %v: %s", at, from, event))
			return
		}
		*lines = append(*lines, fmt.Sprintf("%v %v %q", at, from, b))
	}
}

// TestBytesTakeTime: 8N1 has ten bits a byte, so five bytes at 9600 take
// 5.208333 ms (ITU-T V.4's start-stop character and arithmetic).
func TestBytesTakeTime(t *testing.T) {
	var lines []string
	end, err := Simulate(t.Context(), Limits{}, &caller{every: when.Second, count: 2, baud: 9600}, &answerer{after: 10 * when.Millisecond, baud: 9600}, Wire{}, tape(&lines))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		`0.000 controller "ping\n"`,
		`0.020416666 module "pong\n"`, // 5.208333 + 10 + 5.208333
		`1.000 controller "ping\n"`,
		`1.020416666 module "pong\n"`,
	}
	if !slices.Equal(lines, want) {
		t.Errorf("the tap was told\n%s\nwant\n%s", strings.Join(lines, "\n"), strings.Join(want, "\n"))
	}
	if end != 1020416666 {
		t.Errorf("it ended at %v", end)
	}
}

// TestPieces: handed over byte by byte, each byte comes when its stop bit ends.
func TestPieces(t *testing.T) {
	module := &answerer{baud: 1200}
	if _, err := Simulate(t.Context(), Limits{}, &caller{every: when.Second, count: 1, baud: 1200}, module, Wire{PieceBytes: 1}, nil); err != nil {
		t.Fatal(err)
	}
	for i, at := range module.at[:5] {
		if want := when.Instant(float64(i+1) * 1e10 / 1200); at != want {
			t.Errorf("byte %d came at %v; want %v", i+1, at, want)
		}
	}
}

// TestPiecesDoNotMatter: however a receiver hands over, the machines say the
// same, and no byte comes earlier than its own time.
func TestPiecesDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		every := when.Instant(rapid.IntRange(20, 500).Draw(t, "every_ms")) * when.Millisecond
		talk := func(piece int) string {
			c := &caller{every: every, count: 5, baud: 9600}
			a := &answerer{after: 3 * when.Millisecond, baud: 9600}
			if _, err := Simulate(context.Background(), Limits{}, c, a, Wire{PieceBytes: piece}, nil); err != nil {
				t.Fatal(err)
			}
			return string(a.heard) + string(c.heard)
		}
		if whole, torn := talk(rapid.IntRange(2, 64).Draw(t, "piece")), talk(1); whole != torn {
			t.Fatalf("%q and %q", whole, torn)
		}
	})
}

// TestWrongSpeed: both ends hear what a receiver at their speed would, as
// wire/uart computes it bit by bit.
func TestWrongSpeed(t *testing.T) {
	module := &answerer{baud: 9600}
	c := &caller{every: when.Second, count: 1, baud: 19200}
	end, err := Simulate(t.Context(), Limits{Until: 500 * when.Millisecond}, c, module, Wire{}, nil)
	if err != nil || end != 500*when.Millisecond {
		t.Fatalf("ended at %v, %v", end, err)
	}
	want, _ := uart.Mishear([]byte("ping\n"), 19200, 9600, uart.Frame{})
	if !bytes.Equal(module.heard, want) || bytes.Equal(want, []byte("ping\n")) {
		t.Errorf("the module heard %q; want %q", module.heard, want)
	}
	// Speeds that differ by less than a receiver's tolerance do no harm.
	near := &answerer{baud: 9600}
	if _, err := Simulate(t.Context(), Limits{Until: when.Second}, &caller{every: when.Second, count: 1, baud: 9700}, near, Wire{}, nil); err != nil || string(near.heard) != "ping\n" {
		t.Errorf("one percent off the module heard %q, %v", near.heard, err)
	}
}

// TestSpeedIsTold: the tap hears of a controller that changes its speed.
func TestSpeedIsTold(t *testing.T) {
	var lines []string
	c := &caller{every: when.Second, count: 2, baud: 9600}
	tap := tape(&lines)
	_, err := Simulate(t.Context(), Limits{}, c, &answerer{baud: 0}, Wire{}, func(from Side, at when.Instant, b []byte, event string) {
		tap(from, at, b, event)
		if from == Module {
			c.baud = 115200
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(lines, "\n"); strings.Count(all, "speed 115200") != 1 {
		t.Errorf("the tap was told\n%s", all)
	}
}

func TestLostBytes(t *testing.T) {
	module := &answerer{baud: 9600}
	wire := Wire{LostPerMillion: 1e6, Chance: rand.New(rand.NewPCG(1, 2))}
	if _, err := Simulate(t.Context(), Limits{Until: 2 * when.Second}, &caller{every: when.Second, count: 1, baud: 9600}, module, wire, nil); err != nil || len(module.heard) != 0 {
		t.Errorf("over a broken wire came %q, %v", module.heard, err)
	}
	wire.LostPerMillion = 200_000
	if _, err := Simulate(t.Context(), Limits{Until: 2000 * when.Second}, &caller{every: when.Second, count: 1 << 30, baud: 9600}, module, wire, nil); err != nil {
		t.Fatal(err)
	}
	// 10,005 bytes sent, a fifth lost; the deviation is 40.
	if got := len(module.heard); got < 7800 || got > 8200 {
		t.Errorf("%d of 10005 bytes came; want about 8000", got)
	}
}

// stuck asks for Tick and never moves.
type stuck struct{ caller }

func (s *stuck) Tick(_ when.Instant, out []byte) []byte { return out }
func (s *stuck) Deadline() (when.Instant, string)       { return 5, "nothing" }

func TestStuck(t *testing.T) {
	_, err := Simulate(t.Context(), Limits{}, &stuck{caller{count: 1}}, &answerer{baud: 9600}, Wire{}, nil)
	var s *StuckError
	if !errors.As(err, &s) || s.Side != Controller || s.At != 5 {
		t.Errorf("a machine that does not move gave %v", err)
	}
}

// flood says far more than the line carries.
type flood struct{ answerer }

func (f *flood) Tick(_ when.Instant, out []byte) []byte {
	f.due = nil
	return append(out, make([]byte, 1<<20)...)
}

func TestOverrunIsTold(t *testing.T) {
	var lines []string
	f := &flood{answerer{baud: 9600, due: []when.Instant{0}}}
	_, err := Simulate(t.Context(), Limits{Until: 10 * when.Millisecond}, &caller{every: when.Second, count: 1, baud: 9600}, f, Wire{}, tape(&lines))
	if err != nil || !strings.Contains(strings.Join(lines, "\n"), "overrun: 786432 bytes lost") {
		t.Errorf("%v; the tap was told %s", err, lines)
	}
}

func TestLimits(t *testing.T) {
	end, err := Simulate(t.Context(), Limits{Until: 3 * when.Second}, &caller{every: when.Second, count: 1 << 30, baud: 9600}, &answerer{baud: 9600}, Wire{}, nil)
	if err != nil || end != 3*when.Second {
		t.Errorf("the time limit gave %v, %v", end, err)
	}
	if _, err = Simulate(t.Context(), Limits{Steps: 100}, &caller{every: when.Second, count: 1 << 30, baud: 9600}, &answerer{baud: 9600}, Wire{}, nil); err == nil {
		t.Error("the limit of steps gave no error")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err = Simulate(ctx, Limits{}, &caller{every: when.Second, count: 1 << 30, baud: 9600}, &answerer{baud: 9600}, Wire{}, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled it gave %v", err)
	}
	if end, err := Simulate(t.Context(), Limits{}, &caller{count: 0}, &answerer{}, Wire{}, nil); err != nil || end != 0 {
		t.Errorf("a controller with nothing to do ended at %v, %v", end, err)
	}
	silent := &caller{next: when.Never, count: 1}
	if end, err := Simulate(t.Context(), Limits{Until: time2hours}, silent, &answerer{}, Wire{}, nil); err != nil || end != time2hours {
		t.Errorf("two silent machines ended at %v, %v", end, err)
	}
}

const time2hours = when.Instant(2 * time.Hour)

// Enough: an hour of a call and an answer every 20 s in 1 ms, so that the loop
// is a small part of a soak.
func BenchmarkSimulateHour(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		c := &caller{every: 20 * when.Second, count: 180, baud: 9600}
		if _, err := Simulate(b.Context(), Limits{}, c, &answerer{after: 30 * when.Millisecond, baud: 9600}, Wire{}, nil); err != nil || c.lines != 180 {
			b.Fatal(c.lines, err)
		}
	}
	b.ReportMetric(3600*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}
