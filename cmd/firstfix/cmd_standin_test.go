package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/pump"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// quickWorld is a healthy world whose module starts at once.
const quickWorld = `name: quick
title: a module that starts at once
truth: none
start: 2026-03-04T10:15:00Z
timing: {boot_s: 0.1}
`

// startStandin plays a stand-in and returns what it said when it was ready.
func startStandin(t *testing.T, source string, o standinOptions) (ready happened, events *bufio.Scanner) {
	t.Helper()
	o.world, o.json = filepath.Join(t.TempDir(), "w.yaml"), true
	if err := os.WriteFile(o.world, []byte(source), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	from, to := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		err := runStandin(ctx, &streams{Out: to, Err: io.Discard}, o)
		to.CloseWithError(io.EOF)
		ended <- err
	}()
	events = bufio.NewScanner(from)
	t.Cleanup(func() {
		cancel()
		go func() { _, _ = io.Copy(io.Discard, from) }()
		select {
		case err := <-ended:
			if err != nil {
				t.Errorf("the stand-in ended with %v", err)
			}
		case <-time.After(10 * time.Second):
			t.Error("the stand-in does not end")
		}
	})
	if !events.Scan() {
		t.Skipf("the stand-in cannot run here: %v", events.Err())
	}
	if err := json.Unmarshal(events.Bytes(), &ready); err != nil || ready.Event != "ready" {
		t.Fatalf("the first line was %q, %v", events.Text(), err)
	}
	schema, err := jsonschema.NewCompiler().Compile("../../docs/formats/standin.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	if instance, err := jsonschema.UnmarshalJSON(strings.NewReader(events.Text())); err != nil || schema.Validate(instance) != nil {
		t.Errorf("%s does not fit its schema: %v", events.Text(), schema.Validate(instance))
	}
	return ready, events
}

// answer sends a command and reads until a final result comes.
func answer(t *testing.T, l line.Line, command string, patience time.Duration) string {
	t.Helper()
	if err := l.Write([]byte(command + "\r")); err != nil {
		t.Fatal(err)
	}
	var got strings.Builder
	buf := make([]byte, 256)
	for until := time.Now().Add(patience); time.Now().Before(until); {
		n, outcome, err := l.Read(buf, 20*time.Millisecond)
		if outcome == line.Lost {
			t.Fatalf("the line was lost: %v", err)
		}
		got.Write(buf[:n])
		for _, one := range strings.Split(got.String(), "\r\n") {
			if r, ok := at.ParseResult(one); ok && r.Kind.Final() && strings.HasSuffix(got.String(), "\r\n") {
				return got.String()
			}
		}
	}
	return got.String()
}

// askUntilOK tries as a controller does that does not know when the module is ready.
func askUntilOK(t *testing.T, l line.Line) {
	t.Helper()
	for range 20 {
		if got := answer(t, l, "AT", 500*time.Millisecond); strings.HasSuffix(got, "\r\nOK\r\n") {
			return
		}
	}
	t.Fatal("AT was never answered with OK")
}

// TestStandinOnPTY: a program opens it as a serial port and is answered.
func TestStandinOnPTY(t *testing.T) {
	ready, _ := startStandin(t, quickWorld, standinOptions{pty: filepath.Join(t.TempDir(), "trailer07")})
	l, err := line.Open(ready.Line, 9600)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	askUntilOK(t, l)
	if got := answer(t, l, "ATE0", time.Second); got != "ATE0\r\r\nOK\r\n" {
		t.Errorf("ATE0 was answered with %q", got)
	}
	if got := answer(t, l, "ATI", time.Second); got != "\r\ndemo module (simulated)\r\n\r\nOK\r\n" {
		t.Errorf("ATI was answered with %q", got)
	}
}

// TestStandinAtAnotherSpeed: a pseudo-terminal carries any byte, and still the
// wrong speed gives rubbish and the right one sense.
func TestStandinAtAnotherSpeed(t *testing.T) {
	ready, _ := startStandin(t, strings.Replace(quickWorld, "truth: none", "truth: wrong-speed\nfaults: [{fault: wrong-speed, baud: 19200}]", 1), standinOptions{})
	l, err := line.OpenSerial(ready.Line, 9600)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	p, err := line.NewPTY("")
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	if p.PeerBaud() == 0 {
		t.Skip("this system does not tell the speed of a pseudo-terminal's other end")
	}
	for range 3 {
		if got := answer(t, l, "AT", 200*time.Millisecond); strings.Contains(got, "OK") {
			t.Fatalf("at the wrong speed came %q", got)
		}
	}
	if err := l.SetBaud(19200); err != nil {
		t.Fatal(err)
	}
	askUntilOK(t, l)
}

// TestStandinOnTCP: each peer has a module of its own, with its own settings.
func TestStandinOnTCP(t *testing.T) {
	ready, events := startStandin(t, quickWorld, standinOptions{tcp: "127.0.0.1:0"})
	drained := make(chan struct{})
	go func() {
		defer close(drained)
		for events.Scan() {
		}
	}()
	var peers []line.Line
	for range 2 {
		l, err := line.Open(ready.Line, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		peers = append(peers, l)
		askUntilOK(t, l)
	}
	if got := answer(t, peers[0], "ATE0;+CMGF=1", time.Second); !strings.HasSuffix(got, "\r\nOK\r\n") {
		t.Errorf("got %q", got)
	}
	if got := answer(t, peers[1], "AT+CMGF?", time.Second); got != "AT+CMGF?\r\r\n+CMGF: 0\r\n\r\nOK\r\n" {
		t.Errorf("the second module answered %q; the first one's settings are not its own", got)
	}
}

func TestStandinUsage(t *testing.T) {
	out := &strings.Builder{}
	s := &streams{Out: out, Err: io.Discard}
	var st *stop
	if err := runStandin(t.Context(), s, standinOptions{world: "healthy", tcp: "x", pty: "y"}); !errors.As(err, &st) || st.Status != statusCannot {
		t.Errorf("two lines at once gave %v", err)
	}
	if err := runStandin(t.Context(), s, standinOptions{world: "helathy"}); !errors.As(err, &st) || st.Status != statusCannot || st.Hints[0] != "the nearest is healthy" {
		t.Errorf("an unknown world gave %v", err)
	}
	if err := runStandin(t.Context(), s, standinOptions{world: "healthy", tcp: "nowhere:at:all"}); !errors.As(err, &st) || st.Status != statusLine {
		t.Errorf("an address that cannot be gave %v", err)
	}
	if err := runStandin(t.Context(), s, standinOptions{sheet: true}); err != nil || !strings.Contains(out.String(), "position.read          AT+DEMOPOS?") {
		t.Errorf("the sheet: %v, %s", err, out)
	}
}

// TestModuleKeepsItsSheet: every duty that the sheet demo spells is answered by
// the stand-in, and the position is readable by the sheet.
func TestModuleKeepsItsSheet(t *testing.T) {
	demo, _ := sheet.Builtin("demo")
	w, _, _ := world.Named("healthy")
	m, _ := standIn(w, 1, 9600)
	now := 3 * when.Second
	pause := 10 * when.Second
	ask := func(command string) string {
		now += pause
		out := m.Tick(now, nil)
		out = m.Feed(now, []byte(command+demo.End()), out[:0])
		now += 2 * when.Second
		return string(m.Tick(now, out))
	}
	banner := string(m.Tick(now, nil))
	if means, ok := demo.Banners.Find(banner); !ok || means != sheet.Ready {
		t.Errorf("the module says %q when it is ready; the sheet does not know it", banner)
	}
	ask("ATE0")
	for _, name := range demo.DutyNames() {
		d, _ := demo.Duty(name)
		switch name {
		case sheet.PositionRead:
			now += 120 * when.Second
		case sheet.SleepOff:
			ask("AT") // wakes it, and is lost
			pause = when.Second
		}
		got := ask(d.Send)
		if name == sheet.PowerOff {
			if !strings.Contains(got, "\r\nOK\r\n\r\nDEMO POWER DOWN\r\n") {
				t.Errorf("%s: %q", name, got)
			}
			continue
		}
		if !strings.Contains(got, "\r\nOK\r\n") {
			t.Errorf("%s: %s was answered with %q", name, d.Send, got)
		}
		if name == sheet.PositionOff {
			ask("AT+DEMOGNSS=1")
		}
		if name != sheet.PositionRead {
			continue
		}
		for _, one := range strings.Split(got, "\r\n") {
			a, ok := at.ParseAnswer(one)
			if !ok {
				continue
			}
			p, err := demo.ReadPosition(a)
			if err != nil || !p.Valid.Or(false) || !p.LatDeg.IsKnown() || !p.UTC.IsKnown() || p.Satellites.Or(0) < 4 {
				t.Errorf("the sheet reads %q as %+v, %v", one, p, err)
			}
		}
	}
}

// poller is a controller that asks for the position every 20 s and counts the answers.
type poller struct {
	next    when.Instant
	asked   int
	answers int
	line    []byte
}

func (p *poller) Feed(now when.Instant, b []byte, out []byte) []byte {
	for _, c := range b {
		if c != '\n' {
			p.line = append(p.line, c)
			continue
		}
		if strings.HasPrefix(string(p.line), "+DEMOPOS: 1,") {
			p.answers++
		}
		p.line = p.line[:0]
	}
	return p.Tick(now, out)
}

func (p *poller) Tick(now when.Instant, out []byte) []byte {
	if now < p.next {
		return out
	}
	p.next = now + 20*when.Second
	if p.asked++; p.asked == 1 {
		return append(out, "ATE0;+DEMOGNSS=1\r"...)
	}
	return append(out, "AT+DEMOPOS?\r"...)
}

func (p *poller) Deadline() (when.Instant, string) { return p.next, "the next report" }

// Enough: an hour of reports every 20 s, module, wire and controller together,
// in 6.8 ms: a year in a minute.
func BenchmarkStandinHour(b *testing.B) {
	w, _, _ := world.Named("healthy")
	b.ReportAllocs()
	for b.Loop() {
		m, wire := standIn(w, 1, 9600)
		c := &poller{next: 4 * when.Second}
		if _, err := pump.Simulate(b.Context(), pump.Limits{Until: 3600 * when.Second}, c, m, wire, nil); err != nil || c.answers < 170 {
			b.Fatal(c.answers, err)
		}
	}
	b.ReportMetric(3600*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}

// Enough: a thousand stand-ins on TCP, each asked once, in 200 ms of one core.
func BenchmarkThousandStandins(b *testing.B) {
	const count = 1000
	l, err := line.Listen("127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	w, err := world.Load("quick", []byte(quickWorld))
	if err != nil {
		b.Fatal(err)
	}
	ctx, cancel := context.WithCancel(b.Context())
	p := &player{world: w, seed: 1}
	served := make(chan error, 1)
	go func() { served <- pump.Serve(ctx, l, p.module, nil) }()
	var peers []line.Line
	for n := range count {
		c, err := line.Dial(l.Address())
		if err != nil {
			b.Skipf("this machine allows %d connections: %v", n, err)
		}
		defer c.Close()
		peers = append(peers, c)
	}
	buf := make([]byte, 256)
	round := func() {
		for _, c := range peers {
			if err := c.Write([]byte("AT\r")); err != nil {
				b.Fatal(err)
			}
		}
		for n, c := range peers {
			for got := ""; !strings.Contains(got, "OK\r\n"); {
				k, outcome, err := c.Read(buf, 5*time.Second)
				if outcome != line.Got {
					b.Fatal(fmt.Errorf("peer %d: %v, %v after %q", n, outcome, err, got))
				}
				got += string(buf[:k])
			}
		}
	}
	time.Sleep(300 * time.Millisecond) // every module has started
	for b.Loop() {
		round()
	}
	cancel()
	if err := <-served; err != nil {
		b.Fatal(err)
	}
}
