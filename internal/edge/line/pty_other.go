//go:build !unix

package line

import (
	"errors"
	"time"
)

// PTY does not exist on this system.
type PTY struct{}

// ErrNoPTY says that this system has no pseudo-terminals; TCP does the same work.
var ErrNoPTY = errors.New("line: this system has no pseudo-terminals; use tcp")

// NewPTY always fails here.
func NewPTY(string) (*PTY, error) { return nil, ErrNoPTY }

func (*PTY) Path() string                                     { return "" }
func (*PTY) Read([]byte, time.Duration) (int, Outcome, error) { return 0, Lost, ErrNoPTY }
func (*PTY) Write([]byte) error                               { return ErrNoPTY }
func (*PTY) SetPeerBaud(int) error                            { return ErrNoPTY }
func (*PTY) PeerBaud() int                                    { return 0 }
func (*PTY) Close() error                                     { return nil }
func (*PTY) Describe() string                                 { return "no pseudo-terminal" }
