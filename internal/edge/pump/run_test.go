package pump

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/when"
	"firstfix/internal/wire/uart"
)

// fakeLine is a line and a clock: waiting moves the clock, nothing else does.
type fakeLine struct {
	now      when.Instant
	coming   []arrival
	written  []arrival
	writeErr error
	peerBaud int
}

type arrival struct {
	at   when.Instant
	text string
}

func (f *fakeLine) Now() when.Instant { return f.now }

func (f *fakeLine) Read(p []byte, wait time.Duration) (int, line.Outcome, error) {
	until := f.now.Add(wait)
	if len(f.coming) > 0 && f.coming[0].at <= until {
		a := f.coming[0]
		f.coming = f.coming[1:]
		f.now = max(f.now, a.at)
		if a.text == "" {
			return 0, line.Lost, errors.New("unplugged")
		}
		return copy(p, a.text), line.Got, nil
	}
	f.now = until
	return 0, line.Nothing, nil
}

func (f *fakeLine) Write(p []byte) error {
	f.written = append(f.written, arrival{f.now, string(p)})
	return f.writeErr
}
func (f *fakeLine) Close() error     { return nil }
func (f *fakeLine) Describe() string { return "fake" }
func (f *fakeLine) PeerBaud() int    { return f.peerBaud }

func (f *fakeLine) all() string {
	var b strings.Builder
	for _, w := range f.written {
		b.WriteString(w.text)
	}
	return b.String()
}

// TestRun: bytes and deadlines reach the machine at their times.
func TestRun(t *testing.T) {
	f := &fakeLine{coming: []arrival{{1500 * when.Millisecond, "pong\n"}, {2 * when.Second, "po"}, {2100 * when.Millisecond, "ng\n"}}}
	var lines []string
	c := &caller{every: when.Second, count: 2}
	if err := Run(t.Context(), f, c, Options{Me: Controller, Clock: f, Tap: tape(&lines)}); err != nil {
		t.Fatal(err)
	}
	want := "0.000 controller \"ping\\n\"\n1.000 controller \"ping\\n\"\n1.500 module \"pong\\n\"\n2.000 controller \"ping\\n\"\n2.000 module \"po\"\n2.100 module \"ng\\n\""
	if got := strings.Join(lines, "\n"); got != want && got != strings.Replace(want, "2.000 controller \"ping\\n\"\n2.000 module \"po\"", "2.000 module \"po\"\n2.000 controller \"ping\\n\"", 1) {
		t.Errorf("the tap was told\n%s\nwant\n%s", got, want)
	}
}

// TestRunEnds: a line that goes is said, with its reason; so is a machine that does not move.
func TestRunEnds(t *testing.T) {
	f := &fakeLine{coming: []arrival{{1500 * when.Millisecond, ""}}}
	var lines []string
	err := Run(t.Context(), f, &caller{every: when.Second, count: 99}, Options{Clock: f, Tap: tape(&lines)})
	if !errors.Is(err, ErrLost) || !strings.Contains(err.Error(), "unplugged") || lines[len(lines)-1] != "1.500 unknown: line-lost" {
		t.Errorf("a lost line gave %v; the tap was told %q", err, lines)
	}
	f = &fakeLine{writeErr: errors.New("broken")}
	if err := Run(t.Context(), f, &caller{every: when.Second, count: 99}, Options{Clock: f}); !errors.Is(err, ErrLost) {
		t.Errorf("a line that cannot be written to gave %v", err)
	}
	f = &fakeLine{writeErr: &line.OverrunError{Lost: 3}, coming: []arrival{{2500 * when.Millisecond, "pong\n"}}}
	lines = nil
	if err := Run(t.Context(), f, &caller{every: when.Second, count: 1}, Options{Clock: f, Tap: tape(&lines)}); err != nil || !strings.Contains(strings.Join(lines, "\n"), "controller: overrun: 3 bytes lost") {
		t.Errorf("lost bytes gave %v; the tap was told %q", err, lines)
	}
	f = &fakeLine{now: 10}
	var s *StuckError
	if err := Run(t.Context(), f, &stuck{caller{count: 1}}, Options{Clock: f}); !errors.As(err, &s) {
		t.Errorf("a machine that does not move gave %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := Run(ctx, &fakeLine{}, &caller{every: when.Second, count: 1}, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled it gave %v", err)
	}
}

// long says a long line at once.
type long struct{ answerer }

func (l *long) Tick(now when.Instant, out []byte) []byte {
	if len(l.due) > 0 {
		l.due = nil
		out = append(out, strings.Repeat("x", 960)...)
	}
	return out
}

// TestPace: 960 bytes leave a 9600 baud machine in one second, evenly.
func TestPace(t *testing.T) {
	f := &fakeLine{coming: []arrival{{5 * when.Second, ""}}}
	err := Run(t.Context(), f, &long{answerer{baud: 9600, due: []when.Instant{0}}}, Options{Me: Module, Clock: f, Pace: true})
	if !errors.Is(err, ErrLost) {
		t.Fatal(err)
	}
	if len(f.all()) != 960 {
		t.Fatalf("%d bytes left", len(f.all()))
	}
	sent := 0
	for _, w := range f.written {
		sent += len(w.text)
		if byThen := int(w.at.Seconds()*960) + 8; sent > byThen {
			t.Fatalf("at %v %d bytes had left; the line carries %d", w.at, sent, byThen)
		}
	}
	if last := f.written[len(f.written)-1].at; last < 900*when.Millisecond || last > 1100*when.Millisecond {
		t.Errorf("the last byte left at %v; want about a second", last)
	}
}

// TestPeerAtAnotherSpeed: a line that knows the speed of its other end lets
// both hear what they would on a wire.
func TestPeerAtAnotherSpeed(t *testing.T) {
	heard, _ := uart.Mishear([]byte("ping\n"), 9600, 19200, uart.Frame{})
	f := &fakeLine{peerBaud: 9600, coming: []arrival{{when.Second, "ping\n"}, {2 * when.Second, ""}}}
	m := &answerer{baud: 19200}
	_ = Run(t.Context(), f, m, Options{Me: Module, Clock: f, Pace: true})
	if string(m.heard) != string(heard) {
		t.Errorf("the module heard %q; want %q", m.heard, heard)
	}
	f = &fakeLine{peerBaud: 9600, coming: []arrival{{5 * when.Second, ""}}}
	_ = Run(t.Context(), f, &answerer{baud: 19200, due: []when.Instant{0}}, Options{Me: Module, Clock: f, Pace: true})
	want, _ := uart.Mishear([]byte("pong\n"), 19200, 9600, uart.Frame{})
	if f.all() != string(want) {
		t.Errorf("the controller heard %q; want %q", f.all(), want)
	}
}

// TestServe: each peer has a machine of its own, on real sockets.
func TestServe(t *testing.T) {
	l, err := line.Listen("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	ctx, cancel := context.WithCancel(t.Context())
	var mu sync.Mutex
	ended := map[int]error{}
	finished := make(chan error, 1)
	go func() {
		finished <- Serve(ctx, l, func(int) (Machine, Options) {
			return &answerer{after: when.Millisecond, baud: 115200}, Options{Me: Module, Pace: true}
		},
			func(n int, _ string, gone bool, why error) {
				mu.Lock()
				defer mu.Unlock()
				if gone {
					ended[n] = why
				}
			})
	}()
	var peers []net.Conn
	for range 3 {
		c, err := net.Dial("tcp", l.Address())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		peers = append(peers, c)
	}
	for _, c := range peers {
		_ = c.SetDeadline(time.Now().Add(10 * time.Second))
		if _, err := io.WriteString(c, "ping\n"); err != nil {
			t.Fatal(err)
		}
		got := make([]byte, 5)
		if _, err := io.ReadFull(c, got); err != nil || string(got) != "pong\n" {
			t.Errorf("the peer read %q, %v", got, err)
		}
	}
	peers[0].Close()
	cancel()
	select {
	case err := <-finished:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("serving did not end")
	}
	mu.Lock()
	defer mu.Unlock()
	if len(ended) != 3 {
		t.Errorf("%d peers ended: %v", len(ended), ended)
	}
}
