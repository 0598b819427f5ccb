package line

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"time"
)

// writeWait is how long a line waits for a peer that does not read. A serial
// wire would not wait at all; a socket needs a moment.
const writeWait = 2 * time.Second

// dialWait bounds the building of a connection.
const dialWait = 10 * time.Second

// conn is a line over a network connection.
type conn struct {
	c    net.Conn
	name string
}

// Dial connects to a TCP address, "host:port".
func Dial(address string) (Line, error) {
	c, err := net.DialTimeout("tcp", address, dialWait)
	if err != nil {
		return nil, err
	}
	return &conn{c, "tcp " + address}, nil
}

// Listener waits for TCP peers.
type Listener struct{ l net.Listener }

// Listen waits at a TCP address; ":0" takes any free port.
func Listen(address string) (*Listener, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("line: listen at %s: %w", address, err)
	}
	return &Listener{l}, nil
}

// Address is where it really listens, for a peer's "tcp:" address.
func (l *Listener) Address() string { return l.l.Addr().String() }

// Close ends the waiting; lines that were accepted live on.
func (l *Listener) Close() error { return l.l.Close() }

// Accept waits for the next peer. The error is [ErrClosed] after Close, and
// ctx's own when that ends first.
func (l *Listener) Accept(ctx context.Context) (Line, error) {
	stop := context.AfterFunc(ctx, func() { l.l.Close() })
	defer stop()
	c, err := l.l.Accept()
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, reason(err)
	}
	return &conn{c, "tcp from " + c.RemoteAddr().String()}, nil
}

func (t *conn) Read(p []byte, wait time.Duration) (int, Outcome, error) {
	return readUntil(t.c, p, wait)
}

// deadlineReader is what sockets and pollable files have in common.
type deadlineReader interface {
	Read(p []byte) (int, error)
	SetReadDeadline(t time.Time) error
}

func readUntil(r deadlineReader, p []byte, wait time.Duration) (int, Outcome, error) {
	if len(p) == 0 {
		return 0, Nothing, nil
	}
	// A deadline in the past would not even look; a moment does.
	if err := r.SetReadDeadline(time.Now().Add(max(wait, 100*time.Microsecond))); err != nil {
		return 0, Lost, reason(err)
	}
	n, err := r.Read(p)
	switch {
	case n > 0:
		return n, Got, nil
	case errors.Is(err, os.ErrDeadlineExceeded):
		return 0, Nothing, nil
	case err == nil:
		return 0, Nothing, nil
	}
	return 0, Lost, reason(err)
}

func (t *conn) Write(p []byte) error {
	if err := t.c.SetWriteDeadline(time.Now().Add(writeWait)); err != nil {
		return reason(err)
	}
	n, err := t.c.Write(p)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return &OverrunError{Line: t.name, Lost: len(p) - n}
	}
	return reason(err)
}

func (t *conn) Close() error {
	if err := t.c.Close(); !errors.Is(err, net.ErrClosed) {
		return err
	}
	return nil
}

func (t *conn) Describe() string { return t.name }
