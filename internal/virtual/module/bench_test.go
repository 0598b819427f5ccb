package module

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

// bench holds a module under test: it types, waits, and keeps what came back.
type bench struct {
	t   testing.TB
	m   *Module
	now when.Instant
	out []byte
}

func newModule(t testing.TB, name string, seed uint64) *Module {
	t.Helper()
	w, near, found := world.Named(name)
	if !found {
		t.Fatalf("no world %q; nearest %q", name, near)
	}
	return New(w, rand.New(rand.NewPCG(seed, 0)))
}

// switchOn returns a module in a world, ready and with its banner read.
func switchOn(t testing.TB, name string) *bench {
	t.Helper()
	b := &bench{t: t, m: newModule(t, name, 1)}
	b.wait(3 * time.Second)
	if !strings.Contains(string(b.out), bannerReady) {
		t.Fatalf("no banner after three seconds: %q", b.out)
	}
	b.out = nil
	return b
}

// wait lets time pass in the steps that the module asks for.
func (b *bench) wait(d time.Duration) {
	end := b.now.Add(d)
	for {
		at, _ := b.m.Deadline()
		if at > end {
			break
		}
		b.now = max(b.now, at)
		b.out = b.m.Tick(b.now, b.out)
	}
	b.now = end
	b.out = b.m.Tick(b.now, b.out)
}

func (b *bench) send(text string) { b.out = b.m.Feed(b.now, []byte(text), b.out) }

// ask sends a command line and returns all that comes until it is answered,
// without echo, at most limit later.
func (b *bench) ask(command string, limit time.Duration) string {
	b.t.Helper()
	b.out = b.out[:0]
	b.send(command + "\r")
	end := b.now.Add(limit)
	for b.now < end && (b.m.exec.busy && !b.m.entry.open) {
		b.wait(10 * time.Millisecond)
	}
	return strings.TrimPrefix(string(b.out), command+"\r")
}

// must asks and compares; short for answers that do not vary.
func (b *bench) must(command, want string) {
	b.t.Helper()
	if got := b.ask(command, 3*time.Minute); got != want {
		b.t.Errorf("%s answered %q; want %q", command, got, want)
	}
}
