package overhear

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/pump"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"

	"github.com/creack/pty"
	"golang.org/x/term"
	"pgregory.net/rapid"
)

// patience is how long a test waits for what must come.
const patience = 20 * time.Second

// tape keeps what an ear tells.
type tape struct {
	mu     sync.Mutex
	bytes  [3]bytes.Buffer
	events []string
	last   when.Instant
	back   bool // time went back
}

func (t *tape) tap(from pump.Side, at when.Instant, b []byte, event string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.back = t.back || at < t.last
	t.last = at
	t.bytes[from].Write(b)
	if event != "" {
		t.events = append(t.events, event)
	}
}

func (t *tape) said(from pump.Side) string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.bytes[from].String()
}

func (t *tape) await(tb testing.TB, event string) {
	tb.Helper()
	for until := time.Now().Add(patience); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
		t.mu.Lock()
		has := slices.ContainsFunc(t.events, func(e string) bool { return strings.HasPrefix(e, event) })
		t.mu.Unlock()
		if has {
			return
		}
	}
	tb.Fatalf("%q was not told; told was %q", event, t.events)
}

// start lets an ear listen until the test ends.
func start(t testing.TB, e *Ear) *tape {
	t.Helper()
	tp := &tape{}
	e.Tap, e.Clock = tp.tap, pump.NewClock()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- e.Listen(ctx) }()
	t.Cleanup(func() {
		cancel()
		select {
		case err := <-ended:
			if err != nil && !errors.Is(err, pump.ErrLost) {
				t.Errorf("it ended with %v", err)
			}
		case <-time.After(patience):
			t.Error("it does not end")
		}
		if tp.back {
			t.Error("time went back in what was told")
		}
	})
	return tp
}

// program is a pseudo-terminal as a line, and the end that a program opens.
func program(t testing.TB) (*line.PTY, *os.File) {
	t.Helper()
	l, err := line.NewPTY("")
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	f, err := os.OpenFile(l.Path(), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := term.MakeRaw(int(f.Fd())); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return l, f
}

// device is a serial line, and what is at its other end.
func device(t testing.TB) (line.Line, *os.File) {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	l, err := line.Open(slave.Name(), 9600)
	if err != nil {
		t.Fatal(err)
	}
	slave.Close()
	t.Cleanup(func() { master.Close() })
	return l, master
}

// over is a TCP line, its peer, and the way to open it again.
func over(t testing.TB) (l line.Line, listener net.Listener, peer net.Conn, again func() (line.Line, error)) {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	again = func() (line.Line, error) { return line.Open("tcp:"+listener.Addr().String(), 0) }
	if l, err = again(); err != nil {
		t.Fatal(err)
	}
	if peer, err = listener.Accept(); err != nil {
		t.Fatal(err)
	}
	return l, listener, peer, again
}

// TestBridgeIsTransparent: every byte value, both ways at once, through a
// pseudo-terminal, a serial device and TCP; what was told equals what passed.
func TestBridgeIsTransparent(t *testing.T) {
	for _, kind := range []string{"serial", "tcp"} {
		t.Run(kind, func(t *testing.T) {
			left, controller := program(t)
			var right line.Line
			var module io.ReadWriter
			if kind == "serial" {
				right, module = device(t)
			} else {
				right, _, module, _ = over(t)
			}
			e := &Ear{Controller: Side{Line: left}, Module: Side{Line: right}, Bridge: true}
			tp := start(t, e)
			chance := rand.New(rand.NewPCG(7, 7))
			var sent [2][]byte
			for i := range sent {
				sent[i] = make([]byte, 200<<10)
				for j := range sent[i] {
					sent[i][j] = byte(chance.Uint32())
				}
			}
			var got [2][]byte
			var all sync.WaitGroup
			for i, end := range []io.ReadWriter{controller, module} {
				all.Add(2)
				go func() {
					defer all.Done()
					for rest := sent[i]; len(rest) > 0; { // in the pieces of a busy line
						n := min(len(rest), 1+int(rest[0]))
						if _, err := end.Write(rest[:n]); err != nil {
							t.Error(err)
							return
						}
						rest = rest[n:]
					}
				}()
				go func() {
					defer all.Done()
					got[1-i] = make([]byte, len(sent[1-i]))
					if n, err := io.ReadFull(end, got[1-i]); err != nil {
						t.Errorf("%d bytes came, %v", n, err)
					}
				}()
			}
			all.Wait()
			for i, from := range []pump.Side{pump.Controller, pump.Module} {
				if !bytes.Equal(got[i], sent[i]) {
					t.Errorf("what the %v sent came out changed", from)
				}
				if f := e.Delays().From(from); f.Pieces == 0 || f.Median <= 0 || f.Max < f.P99 || f.P99 < f.Median {
					t.Errorf("its delays are %+v", f)
				} else {
					t.Logf("from the %v: held for %v, 99 of 100 at most %v, longest %v", from, f.Median, f.P99, f.Max)
				}
				for until := time.Now().Add(patience); len(tp.said(from)) < len(sent[i]) && time.Now().Before(until); {
					time.Sleep(5 * time.Millisecond) // telling comes after passing on
				}
				if tp.said(from) != string(sent[i]) {
					t.Errorf("what was told of the %v is not what it sent", from)
				}
			}
		})
	}
}

// TestTapsOnlyListen: beside the line nothing is written to either side.
func TestTapsOnlyListen(t *testing.T) {
	left, controller := device(t)
	right, module := device(t)
	tp := start(t, &Ear{Controller: Side{Line: left}, Module: Side{Line: right}})
	for _, f := range []*os.File{controller, module} {
		if _, err := f.WriteString("AT+CSQ\r"); err != nil {
			t.Fatal(err)
		}
	}
	for until := time.Now().Add(patience); tp.said(pump.Controller) != "AT+CSQ\r" || tp.said(pump.Module) != "AT+CSQ\r"; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatal("it did not hear")
		}
	}
	got := make(chan int, 2)
	for _, f := range []*os.File{controller, module} {
		go func() {
			n, _ := f.Read(make([]byte, 16))
			got <- n
		}()
	}
	select {
	case n := <-got:
		t.Errorf("%d bytes were written to a tapped line", n)
	case <-time.After(300 * time.Millisecond):
	}
}

// TestVanishing: a peer that goes is told, what could not be passed on is
// counted, and a peer that comes back is heard again.
func TestVanishing(t *testing.T) {
	left, controller := program(t)
	right, listener, module, again := over(t)
	e := &Ear{Controller: Side{Line: left}, Module: Side{Line: right, Reopen: again}, Bridge: true}
	tp := start(t, e)
	back := make(chan net.Conn, 1)
	module.Close()
	tp.await(t, "line-lost")
	if _, err := controller.WriteString("AT\r"); err != nil {
		t.Fatal(err)
	}
	// Either nobody was there for it, or it went into a connection that was just built again.
	go func() {
		c, err := listener.Accept()
		if err == nil {
			back <- c
		}
	}()
	tp.await(t, "line-found")
	e.Note("the antenna was moved")
	tp.await(t, "note: the antenna was moved")
	module = <-back
	defer module.Close()
	if _, err := module.Write([]byte("\r\nDEMO READY\r\n")); err != nil {
		t.Fatal(err)
	}
	got := make([]byte, 14)
	if _, err := io.ReadFull(controller, got); err != nil || string(got) != "\r\nDEMO READY\r\n" {
		t.Errorf("after it came back the controller read %q, %v", got, err)
	}
	if tp.said(pump.Controller) != "AT\r" {
		t.Errorf("told of the controller: %q", tp.said(pump.Controller))
	}
}

// TestLostForGood: without a way back the listening ends, and says so.
func TestLostForGood(t *testing.T) {
	right, _, module, _ := over(t)
	tp := &tape{}
	e := &Ear{Module: Side{Line: right}, Tap: tp.tap}
	module.Close()
	if err := e.Listen(t.Context()); !errors.Is(err, pump.ErrLost) {
		t.Errorf("it ended with %v", err)
	}
	tp.await(t, "line-lost")
	if err := (&Ear{Bridge: true}).Listen(t.Context()); !errors.Is(err, ErrNoLine) {
		t.Errorf("listening to nothing: %v", err)
	}
}

// TestNobodyThere: bytes for a side that is gone are told as lost, with their number.
func TestNobodyThere(t *testing.T) {
	left, controller := program(t)
	right, listener, module, again := over(t)
	listener.Close() // nobody can come back
	tp := start(t, &Ear{Controller: Side{Line: left}, Module: Side{Line: right, Reopen: again}, Bridge: true})
	module.Close()
	tp.await(t, "line-lost")
	if _, err := controller.WriteString("AT\r"); err != nil {
		t.Fatal(err)
	}
	tp.await(t, "overrun: 3 bytes lost")
}

// TestSpeedIsFollowed: V.250 6.2.10: the result code still comes at the old
// speed, what follows at the new one.
func TestSpeedIsFollowed(t *testing.T) {
	left, controller := program(t)
	far, module := program(t) // a pseudo-terminal knows the speed that our serial line has set
	right, err := line.OpenSerial(far.Path(), 9600)
	if err != nil {
		t.Fatal(err)
	}
	if far.PeerBaud() == 0 {
		t.Skip("this system does not tell the speed of a pseudo-terminal")
	}
	_ = module
	tp := start(t, &Ear{Controller: Side{Line: left}, Module: Side{Line: right}, Bridge: true})
	if _, err := controller.WriteString("AT+IPR=57600\r"); err != nil {
		t.Fatal(err)
	}
	b := make([]byte, 64)
	if n, outcome, err := far.Read(b, patience); outcome != line.Got || string(b[:n]) != "AT+IPR=57600\r" {
		t.Fatalf("the module read %q, %v", b[:n], err)
	}
	if got := far.PeerBaud(); got != 9600 {
		t.Errorf("before the result code the speed is %d", got)
	}
	if err := far.Write([]byte("\r\nOK\r\n")); err != nil {
		t.Fatal(err)
	}
	tp.await(t, "speed 57600")
	if got := far.PeerBaud(); got != 57600 {
		t.Errorf("after the result code the speed is %d", got)
	}
}

func TestFollower(t *testing.T) {
	const c, m = capture.Controller, capture.Module
	type say struct {
		from capture.Direction
		text string
	}
	for _, x := range []struct {
		name string
		says []say
		want int
	}{
		{"set and accepted", []say{{c, "AT+IPR=19200\r"}, {m, "AT+IPR=19200\r\r\nOK\r\n"}}, 19200},
		{"among others", []say{{c, "ATE0;+IPR=38400;+CMEE=1\r"}, {m, "\r\nOK\r\n"}}, 38400},
		{"result as a digit", []say{{c, "AT+IPR=4800\r"}, {m, "0\r"}}, 4800},
		{"refused", []say{{c, "AT+IPR=17\r"}, {m, "\r\nERROR\r\n"}, {m, "\r\nOK\r\n"}}, 0},
		{"only asked", []say{{c, "AT+IPR?\r"}, {m, "\r\n+IPR: 9600\r\n\r\nOK\r\n"}}, 0},
		{"by itself", []say{{c, "AT+IPR=0\r"}, {m, "\r\nOK\r\n"}}, 0},
		{"nobody asked", []say{{m, "\r\nOK\r\n"}}, 0},
	} {
		t.Run(x.name, func(t *testing.T) {
			var whole, cut follower
			got, gotCut := 0, 0
			for _, s := range x.says {
				got = max(got, whole.feed(s.from, []byte(s.text)))
				for i := range len(s.text) {
					gotCut = max(gotCut, cut.feed(s.from, []byte{s.text[i]}))
				}
			}
			if got != x.want || gotCut != x.want {
				t.Errorf("speed %d, byte by byte %d; want %d", got, gotCut, x.want)
			}
		})
	}
}

// The tally's quantiles are those of the sorted list, within a step.
func TestDelays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var d Delays
		list := rapid.SliceOfN(rapid.Int64Range(100, 5e9), 1, 200).Draw(t, "ns")
		for _, ns := range list {
			d.add(capture.Module, time.Duration(ns))
		}
		slices.Sort(list)
		f := d.From(capture.Module)
		median := float64(list[(len(list)-1)/2])
		if got := float64(f.Median); got < median*0.999 || got > median*1.07 {
			t.Errorf("median %v, sorted %v", got, median)
		}
		if f.Max != time.Duration(list[len(list)-1]) || f.Pieces != uint64(len(list)) {
			t.Errorf("%+v", f)
		}
	})
}

// statesLine is a line whose inputs change; nothing else happens on it.
type statesLine struct {
	line.Line
	mu    sync.Mutex
	state string
}

func (s *statesLine) States() (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.state, nil
}

func TestStatesAreTold(t *testing.T) {
	l, _ := device(t)
	s := &statesLine{Line: l, state: "CTS on"}
	tp := start(t, &Ear{Module: Side{Line: s}})
	tp.await(t, "note: the module's side: CTS on")
	s.mu.Lock()
	s.state = "CTS off"
	s.mu.Unlock()
	tp.await(t, "note: the module's side: CTS off")
}

// BenchmarkBridge is a byte there and back through the middle, between two
// pseudo-terminals. Enough: 2 ms for both ways on an idle machine.
func BenchmarkBridge(b *testing.B) {
	left, controller := program(b)
	right, module := device(b)
	e := &Ear{Controller: Side{Line: left}, Module: Side{Line: right}, Bridge: true}
	start(b, e)
	go io.Copy(module, module)
	one := make([]byte, 1)
	for b.Loop() {
		if _, err := controller.Write(one); err != nil {
			b.Fatal(err)
		}
		if _, err := io.ReadFull(controller, one); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(e.Delays().From(pump.Controller).Median.Microseconds()), "µs-held")
}

// BenchmarkFlood is what the middle can carry. Enough: 92 kB a second each way,
// which is 921600 baud.
func BenchmarkFlood(b *testing.B) {
	left, controller := program(b)
	right, module := device(b)
	start(b, &Ear{Controller: Side{Line: left}, Module: Side{Line: right}, Bridge: true})
	block := make([]byte, 1024)
	b.SetBytes(2 * int64(len(block)))
	for b.Loop() {
		var all sync.WaitGroup
		for _, x := range [][2]*os.File{{controller, module}, {module, controller}} {
			all.Add(2)
			go func() { defer all.Done(); _, _ = x[0].Write(block) }()
			go func() { defer all.Done(); _, _ = io.ReadFull(x[1], make([]byte, len(block))) }()
		}
		all.Wait()
	}
}
