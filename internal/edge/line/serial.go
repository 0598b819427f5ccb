package line

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"go.bug.st/serial"
)

// Serial is a serial port, eight data bits, no parity, one stop bit.
type Serial struct {
	port serial.Port
	name string

	mu     sync.Mutex
	baud   int
	wait   time.Duration
	closed bool
}

// OpenSerial opens a serial port. It leaves the modem lines as the system sets
// them: a pseudo-terminal has none and would refuse.
func OpenSerial(name string, baud int) (*Serial, error) {
	port, err := serial.Open(name, &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit})
	if err != nil {
		return nil, err
	}
	return &Serial{port: port, name: name, baud: baud, wait: -1}, nil
}

func (s *Serial) Read(p []byte, wait time.Duration) (int, Outcome, error) {
	if len(p) == 0 {
		return 0, Nothing, nil
	}
	// The timeout is set only when it changes: on some systems that is a system call.
	if wait = max(wait, 0); wait != s.wait {
		if err := s.port.SetReadTimeout(wait); err != nil {
			return 0, Lost, s.reason(err)
		}
		s.wait = wait
	}
	n, err := s.port.Read(p)
	switch {
	case err != nil:
		return 0, Lost, s.reason(err)
	case n == 0: // the library's way to say that the time is up
		return 0, Nothing, nil
	}
	return n, Got, nil
}

func (s *Serial) Write(p []byte) error {
	for len(p) > 0 {
		n, err := s.port.Write(p)
		if err != nil {
			return s.reason(err)
		}
		if n == 0 {
			return &OverrunError{Line: s.Describe(), Lost: len(p)}
		}
		p = p[n:]
	}
	return nil
}

// SetBaud changes the speed of this end.
func (s *Serial) SetBaud(baud int) error {
	if err := s.port.SetMode(&serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit}); err != nil {
		return fmt.Errorf("line: %s: %d baud: %w", s.name, baud, err)
	}
	s.mu.Lock()
	s.baud = baud
	s.mu.Unlock()
	return nil
}

// States says how the modem-control inputs stand.
func (s *Serial) States() (string, error) {
	b, err := s.port.GetModemStatusBits()
	if err != nil {
		return "", fmt.Errorf("line: %s: modem-control lines: %w", s.name, err)
	}
	word := map[bool]string{true: "on", false: "off"}
	return "CTS " + word[b.CTS] + ", DSR " + word[b.DSR] + ", RI " + word[b.RI] + ", DCD " + word[b.DCD], nil
}

func (s *Serial) Close() error {
	s.mu.Lock()
	was := s.closed
	s.closed = true
	s.mu.Unlock()
	if was {
		return nil
	}
	return s.port.Close()
}

func (s *Serial) Describe() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return fmt.Sprintf("serial %s, %d baud", s.name, s.baud)
}

// reason tells a port that we closed from one that vanished.
func (s *Serial) reason(err error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return ErrClosed
	}
	var p *serial.PortError
	if errors.As(err, &p) && p.Code() == serial.PortClosed {
		return fmt.Errorf("line: %s is gone: unplugged, or its device restarted", s.name)
	}
	return fmt.Errorf("line: %s: %w", s.name, err)
}
