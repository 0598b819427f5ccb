package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/judge/finding"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// listening runs the command in the background and gives its JSON lines.
func listening(t *testing.T, in io.Reader, o listenOptions) (events <-chan listened, end func() error) {
	t.Helper()
	o.json = true
	schema, err := jsonschema.NewCompiler().Compile("../../docs/formats/listen.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	from, to := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		err := runListen(ctx, &streams{In: in, Out: to, Err: io.Discard}, o)
		to.Close()
		ended <- err
	}()
	out := make(chan listened, 10_000)
	go func() {
		defer close(out)
		lines := bufio.NewScanner(from)
		for lines.Scan() {
			instance, err := jsonschema.UnmarshalJSON(strings.NewReader(lines.Text()))
			if err != nil || schema.Validate(instance) != nil {
				t.Errorf("%s does not fit its schema: %v", lines.Text(), schema.Validate(instance))
			}
			var l listened
			if err := json.Unmarshal(lines.Bytes(), &l); err != nil {
				t.Error(err)
			}
			out <- l
		}
	}()
	t.Cleanup(cancel)
	return out, func() error {
		cancel()
		select {
		case err := <-ended:
			return err
		case <-time.After(20 * time.Second):
			return errors.New("it does not end")
		}
	}
}

// until waits for an event that fits.
func until(t *testing.T, events <-chan listened, what string, fits func(listened) bool) listened {
	t.Helper()
	limit := time.After(20 * time.Second)
	for {
		select {
		case l, ok := <-events:
			if !ok {
				t.Fatalf("it ended before %s", what)
			}
			if fits(l) {
				return l
			}
		case <-limit:
			t.Fatalf("waited in vain for %s", what)
		}
	}
}

// listenAt gives a place to connect to, and the connection.
func listenAt(t *testing.T) (address string, accept func() net.Conn) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return "tcp:" + l.Addr().String(), func() net.Conn {
		c, err := l.Accept()
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { c.Close() })
		return c
	}
}

// TestListenBridge: a program speaks through the middle with the stand-in; the
// dialogue, a note, and the delay are told; a secret is shown to nobody.
func TestListenBridge(t *testing.T) {
	ready, told := startStandin(t, quickWorld, standinOptions{tcp: "127.0.0.1:0"})
	go func() { // what it tells of its peers must be read, or it waits
		for told.Scan() {
		}
	}()
	folder := t.TempDir()
	typed, type_ := io.Pipe()
	o := listenOptions{controller: "pty:" + filepath.Join(folder, "trailer07"), module: ready.Line, bridge: true, baud: 9600, capture: filepath.Join(folder, "a.capture")}
	events, end := listening(t, typed, o)
	until(t, events, "ready", func(l listened) bool { return l.Event == "ready" && l.Bridge && len(l.Lines) == 2 })
	l, err := line.Open(filepath.Join(folder, "trailer07"), 9600)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	askUntilOK(t, l)
	answer(t, l, `AT+CPIN="4711"`, time.Second)
	go fmt.Fprintln(type_, "antenna moved to the roof")
	until(t, events, "the note", func(l listened) bool {
		return l.Event == "happened" && l.Text == "note: antenna moved to the roof"
	})
	if err := end(); err != nil {
		var s *stop
		if !errors.As(err, &s) || s.Status != statusFound {
			t.Error(err)
		}
	}
	last := until(t, events, "the end", func(l listened) bool { return l.Event == "ended" })
	if len(last.Delays) != 2 || last.Delays[0].Pieces == 0 || last.Records == 0 {
		t.Errorf("the end is %+v", last)
	}
	src, err := os.ReadFile(o.capture)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(src, []byte("note: antenna moved to the roof")) || bytes.Contains(src, []byte("4711")) {
		t.Errorf("the capture lacks the note or holds the PIN:\n%s", src)
	}
}

// TestListenFinds: two taps; a command that came before the answer to the last
// one is found while the talk goes on (V.250, 5.5), and the status says so.
func TestListenFinds(t *testing.T) {
	at1, accept1 := listenAt(t)
	at2, accept2 := listenAt(t)
	events, end := listening(t, nil, listenOptions{controller: at1, module: at2, baud: 9600})
	controller, module := accept1(), accept2()
	until(t, events, "ready", func(l listened) bool { return l.Event == "ready" && !l.Bridge })
	send := func(c net.Conn, text string) {
		t.Helper()
		if _, err := io.WriteString(c, text); err != nil {
			t.Fatal(err)
		}
		time.Sleep(30 * time.Millisecond) // two connections have no order but that of time
	}
	for range 4 {
		send(controller, "AT+COPS?\r")
		send(controller, "AT+CSQ\r")
		send(module, "\r\n+COPS: 0\r\n\r\nOK\r\n")
		send(module, "\r\n+CSQ: 20,0\r\n\r\nOK\r\n")
	}
	f := until(t, events, "a finding", func(l listened) bool { return l.Event == "finding" })
	if f.Rule == "" || f.Severity == "" || f.Text == "" {
		t.Errorf("%+v", f)
	}
	module.Close()
	until(t, events, "the loss", func(l listened) bool { return l.Event == "happened" && l.Text == "line-lost" })
	var s *stop
	if err := end(); !errors.As(err, &s) || s.Status != statusFound {
		t.Errorf("it ended with %v; want status %d", err, statusFound)
	}
}

// TestListenSurvivesKill: the process is killed while a line speaks; all that
// it had shown before is in the capture, and the capture can be read.
func TestListenSurvivesKill(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Skip(err)
	}
	folder := t.TempDir()
	name := filepath.Join(folder, "firstfix") // testscript's TestMain goes by the name
	if err := os.Symlink(self, name); err != nil {
		t.Skip(err)
	}
	address, accept := listenAt(t)
	file := filepath.Join(folder, "killed.capture")
	c := exec.Command(name, "listen", "--module", address, "--capture", file, "--json")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	module := accept()
	go func() {
		for i := 0; ; i++ {
			if _, err := fmt.Fprintf(module, "$TEST,%d\r\n", i); err != nil {
				return
			}
			if i%20 == 19 {
				time.Sleep(time.Millisecond)
			}
		}
	}()
	shown := ""
	lines := bufio.NewScanner(out)
	for n := 0; n < 500 && lines.Scan(); {
		var l listened
		if json.Unmarshal(lines.Bytes(), &l) == nil && l.Event == "line" {
			shown = l.Text
			n++
		}
	}
	if err := c.Process.Kill(); err != nil { // SIGKILL: nothing can be tidied up
		t.Fatal(err)
	}
	_, _ = io.Copy(io.Discard, out)
	_ = c.Wait()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all := readCapture(t, f)
	if shown == "" || !strings.Contains(all, shown+"\r\n") {
		t.Errorf("%q was shown and is not in the capture of %d bytes", shown, len(all))
	}
	for i, l := range strings.Split(strings.TrimSuffix(all, "\r\n"), "\r\n") {
		if want := fmt.Sprintf("$TEST,%d", i); l != want && !strings.HasPrefix(want, l) {
			t.Fatalf("line %d of the capture is %q", i, l)
		}
	}
}

func readCapture(t *testing.T, r io.Reader) string {
	t.Helper()
	src, err := capture.NewReader(r)
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for {
		rec, err := src.Next()
		if errors.Is(err, io.EOF) {
			return all.String()
		}
		if err != nil {
			t.Fatal(err)
		}
		all.WriteString(rec.Bytes)
	}
}

// TestKeeperRotates: the files of a row hold every byte once, each is a capture
// of its own that says when it began, and a secret that a file's end cuts stays hidden.
func TestKeeperRotates(t *testing.T) {
	began := time.Date(2026, 3, 4, 10, 15, 0, 0, time.UTC)
	info := capture.Info{Kind: "listen", Baud: 9600, Frame: "8N1", TimesKnown: true, DirectionsKnown: true}
	for _, rotate := range []string{"10s", "1kB"} {
		path := filepath.Join(t.TempDir(), "night.capture")
		k, err := newKeeper(path, rotate, began, info)
		if err != nil {
			t.Fatal(err)
		}
		var want strings.Builder
		for i := range 100 {
			text := fmt.Sprintf("AT+CPIN=\"47%02d", i)
			for _, piece := range []string{text, "99\"\r"} {
				if err := k.write(capture.Record{At: when.Instant(i) * when.Second, From: capture.Controller, Bytes: piece}); err != nil {
					t.Fatal(err)
				}
			}
			want.WriteString("AT+CPIN=\"******\"\r")
		}
		if err := k.Close(); err != nil {
			t.Fatal(err)
		}
		files, err := filepath.Glob(filepath.Join(filepath.Dir(path), "night-*.capture"))
		if err != nil || len(files) < 3 {
			t.Fatalf("rotated after %s there are %q, %v", rotate, files, err)
		}
		slices.Sort(files)
		var got strings.Builder
		for i, name := range files {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if rotate == "10s" {
				if head := began.Add(time.Duration(i) * 10 * time.Second).Format(time.RFC3339Nano); !bytes.Contains(src, []byte(head)) {
					t.Errorf("%s does not begin at %s:\n%.200s", name, head, src)
				}
			}
			got.WriteString(readCapture(t, bytes.NewReader(src)))
		}
		if got.String() != want.String() {
			t.Errorf("rotated after %s, the files hold %d bytes, want %d; the first: %.60q", rotate, got.Len(), want.Len(), got.String())
		}
	}
}

func TestParseRotation(t *testing.T) {
	for s, want := range map[string][2]int64{"1h": {int64(time.Hour), 0}, "90s": {int64(90 * time.Second), 0}, "64MB": {0, 64e6}, "1KiB": {0, 1024}, "5M": {0, 5e6}, "2G": {0, 2e9}} {
		every, size, err := parseRotation(s)
		if err != nil || int64(every) != want[0] || size != want[1] {
			t.Errorf("%s: %v, %d, %v", s, every, size, err)
		}
	}
	for _, s := range []string{"", "often", "0h", "-1h", "10", "1ms", "10B", "-5MB"} {
		if every, size, err := parseRotation(s); err == nil {
			t.Errorf("%q was taken: %v, %d", s, every, size)
		}
	}
}

// TestScreen: a text, its number and a PIN are hidden; a finding is told once
// and taken back when it no longer stands.
func TestScreen(t *testing.T) {
	var out bytes.Buffer
	c := newDialogueScreen(&streams{Out: &out}, listenOptions{})
	for i, x := range []struct {
		from capture.Direction
		text string
	}{
		{capture.Controller, "AT+CPIN=\"47"}, {capture.Controller, "11\"\rAT+CMGS=\"+12025550143\"\r"}, {capture.Module, "\r\n> "},
		{capture.Controller, "meet at the mill\x1a"}, {capture.Module, "\r\n+CMGS: 3\r\n\r\nOK\r\n\r\n+CMT: \"+12025550144\",,\"\"\r\nthe gate is open\r\n"},
		{capture.Controller, "AT+CSQ\r"}, {capture.Module, "\r\nDEMO \x1b[2J"},
	} {
		c.record(capture.Record{Number: i + 1, At: when.Instant(i) * when.Second, From: x.from, Bytes: x.text})
	}
	c.quiet(60 * when.Second)
	for _, hidden := range []string{"4711", "2025550", "mill", "gate", "\x1b"} {
		if strings.Contains(out.String(), hidden) {
			t.Errorf("%q is shown:\n%s", hidden, out.String())
		}
	}
	for _, shown := range []string{"> AT+CMGS=", "< +CMGS: 3", "> AT+CSQ", "< DEMO"} {
		if !strings.Contains(out.String(), shown) {
			t.Errorf("%q is not shown:\n%s", shown, out.String())
		}
	}
	f := finding.Finding{Rule: "overlap", Title: "x", Severity: finding.Warning, Evidence: []finding.Evidence{{Record: 7}}}
	out.Reset()
	c.findings([]finding.Finding{f}, false)
	c.findings([]finding.Finding{f}, false)
	c.findings(nil, true)
	if strings.Count(out.String(), "[overlap]") != 1 || strings.Count(out.String(), "no longer holds") != 1 || c.found != 0 {
		t.Errorf("told was:\n%s", out.String())
	}
}
