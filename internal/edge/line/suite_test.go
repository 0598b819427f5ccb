// What every kind of line must do. A line that passes runSuite can be given to
// edge/pump: slow, torn and vanishing peers do not surprise it.

package line_test

import (
	"bytes"
	"errors"
	"io"
	"sync"
	"testing"
	"time"

	"firstfix/internal/edge/line"
)

// patience is how long a test waits for bytes that must come. They come at
// once; a busy machine may need longer.
const patience = 10 * time.Second

// pair is a line and a plain handle on its other end.
type pair struct {
	Line line.Line
	Peer io.ReadWriteCloser
	// PeerMayReturn: the line outlives its peers, as a pseudo-terminal does.
	// Otherwise a peer that vanishes ends the line.
	PeerMayReturn func(t *testing.T) io.ReadWriteCloser
}

// runSuite opens a pair for each part and tests it.
func runSuite(t *testing.T, open func(t *testing.T) pair) {
	for _, part := range []struct {
		name string
		run  func(t *testing.T, p pair)
	}{
		{"bytes go both ways", bothWays},
		{"silence is said in words", silence},
		{"torn bytes keep their order", torn},
		{"a slow reader loses nothing unsaid", slow},
		{"a vanishing peer is noticed", vanishing},
		{"closing ends a waiting read", closing},
	} {
		t.Run(part.name, func(t *testing.T) {
			p := open(t)
			defer p.Line.Close()
			defer p.Peer.Close()
			part.run(t, p)
		})
	}
}

// collect reads from the line until it has n bytes.
func collect(t *testing.T, l line.Line, n int) []byte {
	t.Helper()
	var got []byte
	buf := make([]byte, 256)
	for until := time.Now().Add(patience); len(got) < n; {
		if time.Now().After(until) {
			t.Fatalf("%d of %d bytes came: %q", len(got), n, got)
		}
		k, outcome, err := l.Read(buf, 100*time.Millisecond)
		switch outcome {
		case line.Got:
			if k == 0 || err != nil {
				t.Fatalf("got %d bytes, %v: want bytes and no error", k, err)
			}
			got = append(got, buf[:k]...)
		case line.Nothing:
			if k != 0 || err != nil {
				t.Fatalf("nothing with %d bytes and %v", k, err)
			}
		default:
			t.Fatalf("%v after %d bytes: %v", outcome, len(got), err)
		}
	}
	return got
}

func bothWays(t *testing.T, p pair) {
	want := []byte("AT+CMGS=\"x\"\r\n\x00\x1a\x1b\xff\x11\x13") // nothing is eaten: raw mode, no flow control
	if _, err := p.Peer.Write(want); err != nil {
		t.Fatal(err)
	}
	if got := collect(t, p.Line, len(want)); !bytes.Equal(got, want) {
		t.Errorf("the line read %q; want %q", got, want)
	}
	if err := p.Line.Write(want); err != nil {
		t.Fatal(err)
	}
	got := make([]byte, len(want))
	if _, err := io.ReadFull(p.Peer, got); err != nil || !bytes.Equal(got, want) {
		t.Errorf("the peer read %q, %v; want %q", got, err, want)
	}
	if p.Line.Describe() == "" {
		t.Error("the line has no name")
	}
}

func silence(t *testing.T, p pair) {
	buf := make([]byte, 16)
	for _, wait := range []time.Duration{0, -time.Second, 30 * time.Millisecond} {
		began := time.Now()
		n, outcome, err := p.Line.Read(buf, wait)
		if n != 0 || outcome != line.Nothing || err != nil {
			t.Errorf("waiting %v in silence: %d, %v, %v; want nothing", wait, n, outcome, err)
		}
		if took := time.Since(began); took > patience {
			t.Errorf("waiting %v took %v", wait, took)
		}
	}
	if n, outcome, err := p.Line.Read(nil, time.Millisecond); n != 0 || outcome != line.Nothing || err != nil {
		t.Errorf("reading into nothing: %d, %v, %v", n, outcome, err)
	}
}

func torn(t *testing.T, p pair) {
	want := []byte("\r\n+CSQ: 17,0\r\n\r\nOK\r\n")
	var writer sync.WaitGroup
	writer.Add(1)
	go func() {
		defer writer.Done()
		for _, b := range want {
			if _, err := p.Peer.Write([]byte{b}); err != nil {
				t.Error(err)
				return
			}
		}
	}()
	if got := collect(t, p.Line, len(want)); !bytes.Equal(got, want) {
		t.Errorf("got %q; want %q", got, want)
	}
	writer.Wait()
}

// slow writes much while the other end reads in small bites. What is lost must
// be said to be lost.
func slow(t *testing.T, p pair) {
	const total = 256 << 10
	block := make([]byte, 1024)
	for i := range block {
		block[i] = byte('a' + i%26)
	}
	read := make(chan int, 1)
	go func() {
		n, small := 0, make([]byte, 100)
		for n < total {
			k, err := p.Peer.Read(small)
			n += k
			if err != nil {
				break
			}
		}
		read <- n
	}()
	lost := 0
	for n := 0; n < total; n += len(block) {
		err := p.Line.Write(block)
		var overrun *line.OverrunError
		if errors.As(err, &overrun) {
			lost += overrun.Lost
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if lost > 0 {
		t.Logf("%d bytes lost, and said so", lost)
		p.Peer.Close()
		return
	}
	select {
	case n := <-read:
		if n != total {
			t.Errorf("%d of %d bytes came, and nobody said that any were lost", n, total)
		}
	case <-time.After(patience):
		t.Error("not all bytes came, and nobody said that any were lost")
	}
}

func vanishing(t *testing.T, p pair) {
	if _, err := p.Peer.Write([]byte("bye")); err != nil {
		t.Fatal(err)
	}
	collect(t, p.Line, 3)
	p.Peer.Close()
	if p.PeerMayReturn != nil {
		next := p.PeerMayReturn(t)
		defer next.Close()
		if _, err := next.Write([]byte("back")); err != nil {
			t.Fatal(err)
		}
		if got := collect(t, p.Line, 4); string(got) != "back" {
			t.Errorf("a peer that came back wrote %q", got)
		}
		return
	}
	buf := make([]byte, 16)
	for until := time.Now().Add(patience); ; {
		n, outcome, err := p.Line.Read(buf, 100*time.Millisecond)
		if outcome == line.Lost {
			if err == nil || n != 0 || errors.Is(err, line.ErrClosed) {
				t.Errorf("lost with %d bytes and the reason %v; want a reason that is not our own closing", n, err)
			}
			break
		}
		if time.Now().After(until) {
			t.Fatalf("the peer is gone and the line says %v, %v", outcome, err)
		}
	}
	if _, outcome, _ := p.Line.Read(buf, 10*time.Millisecond); outcome != line.Lost {
		t.Errorf("a lost line says %v when it is read again", outcome)
	}
	for range 20 {
		if err := p.Line.Write([]byte("anybody there?")); err != nil {
			return
		}
	}
	t.Error("writing to nobody is no error")
}

func closing(t *testing.T, p pair) {
	result := make(chan error, 1)
	started := make(chan struct{})
	go func() {
		close(started)
		_, outcome, err := p.Line.Read(make([]byte, 16), time.Minute)
		if outcome != line.Lost {
			err = errors.New("the outcome is " + outcome.String())
		}
		result <- err
	}()
	<-started
	if err := p.Line.Close(); err != nil {
		t.Errorf("closing: %v", err)
	}
	select {
	case err := <-result:
		if !errors.Is(err, line.ErrClosed) {
			t.Errorf("the reading ended with %v; want %v", err, line.ErrClosed)
		}
	case <-time.After(patience):
		t.Error("the reading did not end")
	}
	if err := p.Line.Close(); err != nil {
		t.Errorf("closing twice: %v", err)
	}
}
