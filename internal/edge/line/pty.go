//go:build unix

package line

import (
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
	"golang.org/x/term"
)

// PTY is the device end of a pseudo-terminal: programs open its path as they
// would a serial port. They may come and go; the line stays.
type PTY struct {
	master *os.File
	slave  *os.File // held open: without anybody there the master reads an error
	link   string
	path   string

	mu     sync.Mutex // over the use of slave
	closed bool
}

// ptyWriteWait is how long bytes wait in a full pseudo-terminal. A serial wire
// would not wait at all.
const ptyWriteWait = 50 * time.Millisecond

// NewPTY makes a pseudo-terminal in raw mode. With a link its path is also
// reachable there; an old link in the way is replaced, any other file is not.
func NewPTY(link string) (*PTY, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return nil, fmt.Errorf("line: make a pseudo-terminal: %w", err)
	}
	p := &PTY{slave: slave, path: slave.Name(), link: link}
	if p.master, err = pollable(master); err != nil {
		_ = slave.Close()
		return nil, fmt.Errorf("line: make a pseudo-terminal: %w", err)
	}
	if _, err := term.MakeRaw(int(slave.Fd())); err != nil {
		p.Close()
		return nil, fmt.Errorf("line: raw mode on %s: %w", p.path, err)
	}
	if link != "" {
		if err := placeLink(p.path, link); err != nil {
			p.link = ""
			p.Close()
			return nil, err
		}
	}
	return p, nil
}

// pollable returns a copy of f whose reads can be given a time. The library
// that made f has put it into blocking mode.
func pollable(f *os.File) (*os.File, error) {
	defer f.Close()
	fd, err := unix.FcntlInt(f.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	if err != nil {
		return nil, err
	}
	if err := unix.SetNonblock(fd, true); err != nil {
		unix.Close(fd)
		return nil, err
	}
	return os.NewFile(uintptr(fd), f.Name()), nil
}

func placeLink(path, link string) error {
	if info, err := os.Lstat(link); err == nil {
		if info.Mode()&os.ModeSymlink == 0 {
			return fmt.Errorf("line: link %s: a file of that name is in the way", link)
		}
		if err := os.Remove(link); err != nil {
			return fmt.Errorf("line: link %s: %w", link, err)
		}
	}
	if err := os.Symlink(path, link); err != nil {
		return fmt.Errorf("line: link %s: %w", link, err)
	}
	return nil
}

// Path is where programs find it: the link, or the device itself.
func (p *PTY) Path() string {
	if p.link != "" {
		return p.link
	}
	return p.path
}

func (p *PTY) Read(b []byte, wait time.Duration) (int, Outcome, error) {
	return readUntil(p.master, b, wait)
}

// Write gives bytes to whoever has the other end open. When it is full nobody
// reads: as on a wire the bytes are lost, those that waited too.
func (p *PTY) Write(b []byte) error {
	if err := p.master.SetWriteDeadline(time.Now().Add(ptyWriteWait)); err != nil {
		return reason(err)
	}
	n, err := p.master.Write(b)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		lost := len(b) - n
		p.onSlave(func(fd int) {
			if waiting, err := unix.IoctlGetInt(fd, inputWaiting); err == nil {
				lost += waiting
			}
			flushInput(fd)
		})
		return &OverrunError{Line: p.Describe(), Lost: lost}
	}
	return reason(err)
}

// onSlave does something with the other end, unless the line is closed.
func (p *PTY) onSlave(do func(fd int)) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.closed {
		do(int(p.slave.Fd()))
	}
}

// SetPeerBaud sets the speed that the other end has until a program changes it.
func (p *PTY) SetPeerBaud(baud int) (err error) {
	p.onSlave(func(fd int) { err = setSpeed(fd, baud) })
	return err
}

// PeerBaud is the speed that the program at the other end has set; 0 when the
// system does not say.
func (p *PTY) PeerBaud() (baud int) {
	p.onSlave(func(fd int) { baud = speed(fd) })
	return baud
}

func (p *PTY) Close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return nil
	}
	p.closed = true
	if p.link != "" {
		if to, err := os.Readlink(p.link); err == nil && to == p.path {
			os.Remove(p.link)
		}
	}
	return errors.Join(p.master.Close(), p.slave.Close())
}

func (p *PTY) Describe() string { return "pseudo-terminal " + p.Path() }
