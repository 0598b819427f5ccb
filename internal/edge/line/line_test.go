package line_test

import (
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstfix/internal/edge/line"

	"github.com/creack/pty"
	"golang.org/x/term"
)

func TestTCPClient(t *testing.T) {
	runSuite(t, func(t *testing.T) pair {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		client, err := line.Open("tcp:"+l.Addr().String(), 0)
		if err != nil {
			t.Fatal(err)
		}
		peer, err := l.Accept()
		if err != nil {
			t.Fatal(err)
		}
		return pair{Line: client, Peer: peer}
	})
}

func TestTCPServer(t *testing.T) {
	runSuite(t, func(t *testing.T) pair {
		l, err := line.Listen("127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		peer, err := net.Dial("tcp", l.Address())
		if err != nil {
			t.Fatal(err)
		}
		server, err := l.Accept(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return pair{Line: server, Peer: peer}
	})
}

// openRaw opens a terminal as a program with a serial line would.
func openRaw(t *testing.T, path string) *os.File {
	t.Helper()
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := term.MakeRaw(int(f.Fd())); err != nil {
		t.Fatal(err)
	}
	return f
}

func newPTY(t *testing.T) *line.PTY {
	t.Helper()
	p, err := line.NewPTY(filepath.Join(t.TempDir(), "module"))
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	return p
}

func TestPTY(t *testing.T) {
	runSuite(t, func(t *testing.T) pair {
		p := newPTY(t)
		return pair{Line: p, Peer: openRaw(t, p.Path()),
			PeerMayReturn: func(t *testing.T) io.ReadWriteCloser { return openRaw(t, p.Path()) }}
	})
}

// TestSerial opens the program's end of a pseudo-terminal as a serial port:
// the nearest thing to one on a machine without.
func TestSerial(t *testing.T) {
	runSuite(t, func(t *testing.T) pair {
		master, slave, err := pty.Open()
		if err != nil {
			t.Skipf("no pseudo-terminal here: %v", err)
		}
		l, err := line.Open(slave.Name(), 9600)
		if err != nil {
			t.Fatal(err)
		}
		slave.Close()
		return pair{Line: l, Peer: master}
	})
}

// TestSerialSpeed: a speed can be changed while the port is open, and the
// stand-in's end of a pseudo-terminal sees which one it is.
func TestSerialSpeed(t *testing.T) {
	p := newPTY(t)
	defer p.Close()
	l, err := line.OpenSerial(p.Path(), 9600)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if got := p.PeerBaud(); got != 9600 && got != 0 {
		t.Errorf("the other end seems to speak at %d; it was opened at 9600", got)
	}
	if err := l.SetBaud(115200); err != nil {
		t.Fatal(err)
	}
	if got := p.PeerBaud(); got != 115200 && got != 0 {
		t.Errorf("the other end seems to speak at %d; it was set to 115200", got)
	}
	if !strings.Contains(l.Describe(), "115200") {
		t.Errorf("it describes itself as %q", l.Describe())
	}
	if err := p.SetPeerBaud(4800); err != nil {
		t.Fatal(err)
	}
	if got := p.PeerBaud(); got != 4800 && got != 0 {
		t.Errorf("set to 4800 it says %d", got)
	}
}

// TestPTYLink: an old link is replaced, a file is not, and a closed line takes
// its link away.
func TestPTYLink(t *testing.T) {
	folder := t.TempDir()
	link := filepath.Join(folder, "module")
	if err := os.Symlink("/nowhere", link); err != nil {
		t.Fatal(err)
	}
	p, err := line.NewPTY(link)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	if p.Path() != link {
		t.Errorf("its path is %q; want the link", p.Path())
	}
	if err := p.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Lstat(link); err == nil {
		t.Error("the link is still there")
	}
	file := filepath.Join(folder, "letters")
	if err := os.WriteFile(file, []byte("precious"), 0o600); err != nil {
		t.Fatal(err)
	}
	if p, err := line.NewPTY(file); err == nil {
		p.Close()
		t.Error("a file of the person's was replaced by a link")
	}
}

// TestPTYOverrun: when nobody reads, writing neither blocks nor keeps silent.
func TestPTYOverrun(t *testing.T) {
	p := newPTY(t)
	defer p.Close()
	block := make([]byte, 1024)
	said, began := 0, time.Now()
	for range 64 {
		if err := p.Write(block); err != nil {
			said++
		}
	}
	if said == 0 {
		t.Error("64 KiB went to nobody and nothing was said")
	}
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("it took %v", took)
	}
}

func TestOpenErrors(t *testing.T) {
	for _, address := range []string{"", "nothing", "COMx"} {
		if _, err := line.Open(address, 9600); err == nil || !strings.Contains(err.Error(), "tcp:host:port") {
			t.Errorf("%q: %v; want an error that names what would fit", address, err)
		}
	}
	if _, err := line.Open(filepath.Join(t.TempDir(), "no-such-port"), 9600); err == nil {
		t.Error("a port that is not there opened")
	}
	l, err := line.Listen("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := l.Address()
	l.Close()
	if _, err := line.Open("tcp:"+address, 0); err == nil {
		t.Error("a connection to nobody opened")
	}
}

func TestAcceptEnds(t *testing.T) {
	l, err := line.Listen("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l.Close()
	if _, err := l.Accept(t.Context()); err == nil {
		t.Error("a closed listener accepted")
	}
}
