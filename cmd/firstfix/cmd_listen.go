package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/overhear"
	"firstfix/internal/edge/pump"
	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/report"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const listenHelp = `
Hear what a controller and a module say to each other, and say at once what is
wrong with it.

Beside the line: two adapters, the receiving wire of one on what the controller
sends (--controller), of the other on what the module sends (--module), grounds
joined, nothing else connected. firstfix writes to neither.

In the middle (--bridge): the controller on one adapter, the module on the other.
Every byte is passed on unchanged, before anything else is done with it; how long
firstfix held it is measured and said at the end. --controller pty:PATH makes a
pseudo-terminal there, for a program to open in place of the module's port.

When the two agree on another speed with +IPR, the adapters follow. A line that
vanishes is a record; it is opened again when it is back. What you type, line by
line, lands in the capture as a note. A capture survives a kill: each record is
written when it is heard. It ends with Ctrl-C.

On most systems opening a serial device raises DTR and RTS for a moment, and some
boards restart then: leave these wires unconnected on a tap.`

// listenOptions are the flags of listen.
type listenOptions struct {
	controller, module string
	bridge             bool
	baud               int
	sheet              string
	capture, rotate    string
	lasts              time.Duration
	report             string
	quiet, json        bool
	showPrivate        bool
}

func (o *listenOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.controller, "controller", "", "where the controller is heard: "+line.Addresses()+", or with --bridge pty:path")
	f.StringVar(&o.module, "module", "", "where the module is heard: "+line.Addresses())
	f.BoolVar(&o.bridge, "bridge", false, "sit in the middle and pass on what is heard")
	f.IntVar(&o.baud, "baud", 9600, "speed of both lines at the start")
	f.StringVar(&o.sheet, "sheet", "", "how this module spells its duties: a built-in name or a file")
	f.StringVar(&o.capture, "capture", "", "write everything to this capture file, which must not exist yet")
	f.StringVar(&o.rotate, "rotate", "", "begin another capture file after a time (1h) or a size (64MB); they are numbered")
	f.DurationVar(&o.lasts, "for", 0, "end after this time (default: with Ctrl-C)")
	f.StringVar(&o.report, "report", "", "at the end write one self-contained HTML page to this file")
	f.BoolVar(&o.quiet, "quiet", false, "show findings and events, not the dialogue")
	f.BoolVar(&o.json, "json", false, "write JSON lines (docs/formats/listen.schema.json)")
	f.BoolVar(&o.showPrivate, "show-private", false, "show numbers, identities and texts as they are; a PIN never")
}

// listenCommand hears a line: `firstfix listen`.
func listenCommand(s *streams) *cobra.Command {
	var opts listenOptions
	c := &cobra.Command{
		Use:   "listen",
		Short: "hear a controller and a module, beside the line or from its middle",
		Long: exits(listenHelp, exit{statusFound, "something was found"}, exit{statusCannot, "the request cannot be carried out"},
			exit{statusLine, "a line could not be opened"}),
		Example: `  firstfix listen --controller /dev/ttyUSB0 --module /dev/ttyUSB1 --capture night.capture --rotate 1h
  firstfix listen --bridge --controller /dev/ttyUSB0 --module /dev/ttyUSB1
  firstfix listen --bridge --controller pty:./trailer07 --module tcp:127.0.0.1:7070 --quiet`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error { return runListen(c.Context(), s, opts) },
	}
	opts.flags(c.Flags())
	return c
}

func runListen(ctx context.Context, s *streams, o listenOptions) error {
	switch {
	case o.controller == "" && o.module == "":
		return &stop{Status: statusCannot, Err: errors.New("listen to what? want --controller, --module or both"), Hints: []string{"firstfix listen --help shows the two ways"}}
	case o.bridge && (o.controller == "" || o.module == ""):
		return &stop{Status: statusCannot, Err: errors.New("--bridge wants both --controller and --module: it sits between them")}
	case !o.bridge && strings.HasPrefix(o.controller+o.module, "pty:"):
		return &stop{Status: statusCannot, Err: errors.New("pty: wants --bridge: without it nothing would answer the program that opens it")}
	case o.rotate != "" && o.capture == "":
		return &stop{Status: statusCannot, Err: errors.New("--rotate wants --capture")}
	}
	l, err := newListener(s, o)
	if err != nil {
		return err
	}
	defer l.kept.Close()
	if l.ear.Controller, err = openSide(o.controller, o.baud); err != nil {
		return err
	}
	if l.ear.Module, err = openSide(o.module, o.baud); err != nil {
		if l.ear.Controller.Line != nil {
			l.ear.Controller.Line.Close()
		}
		return err
	}
	if o.lasts > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, o.lasts)
		defer cancel()
	}
	return l.listen(ctx)
}

// openSide opens one line and knows how to open it again.
func openSide(address string, baud int) (overhear.Side, error) {
	if address == "" {
		return overhear.Side{}, nil
	}
	open := func() (line.Line, error) { return line.Open(address, baud) }
	if path, ok := strings.CutPrefix(address, "pty:"); ok {
		open = func() (line.Line, error) {
			l, err := line.NewPTY(path)
			if err == nil {
				_ = l.SetPeerBaud(baud)
			}
			return l, err
		}
	}
	l, err := open()
	if err != nil {
		return overhear.Side{}, &stop{Status: statusLine, Err: err, Hints: []string{"is the adapter plugged in, and does another program hold the port?"}}
	}
	return overhear.Side{Line: l, Reopen: open}, nil
}

// listener joins the ear to the screen, the judge and the capture.
type listener struct {
	s        *streams
	options  listenOptions
	ear      overhear.Ear
	clock    pump.RealClock
	info     capture.Info
	kept     *keeper
	reviewer *bringup.Reviewer
	screen   *dialogueScreen
	count    int
	fresh    bool // records came since the findings were last looked at
	judged   when.Instant
	failure  error
}

func newListener(s *streams, o listenOptions) (*listener, error) {
	l := &listener{s: s, options: o, clock: pump.NewClock()}
	l.info = capture.Info{Kind: "listen", Began: l.clock.Began().Format(time.RFC3339), Baud: o.baud, Frame: "8N1", TimesKnown: true, DirectionsKnown: true}
	judged := bringup.Options{Rules: rules.All, Input: "a line that was listened to"}
	if o.sheet != "" {
		var err error
		if judged.Sheet, err = chooseSheet(o.sheet, false); err != nil {
			return nil, err
		}
	}
	var err error
	if l.kept, err = newKeeper(o.capture, o.rotate, l.clock.Began(), l.info); err != nil {
		return nil, err
	}
	l.reviewer = bringup.NewReviewer(l.info, nil, judged)
	l.screen = newDialogueScreen(s, o)
	l.ear.Bridge, l.ear.Clock, l.ear.Tap, l.ear.Idle = o.bridge, l.clock, l.tap, l.idle
	return l, nil
}

// listen hears until ctx ends, then says what it came to.
func (l *listener) listen(ctx context.Context) error {
	where := []string{}
	for _, side := range []overhear.Side{l.ear.Controller, l.ear.Module} {
		if side.Line != nil {
			where = append(where, side.Line.Describe())
		}
	}
	l.screen.begin(where, l.options.bridge)
	go l.notes()
	err := l.ear.Listen(ctx)
	if closeErr := l.kept.Close(); l.failure == nil {
		l.failure = closeErr
	}
	v := l.reviewer.End(l.info)
	l.screen.findings(v.Findings, true)
	l.screen.end(l.count, l.clock.Now(), l.ear.Delays(), l.options.bridge)
	if l.options.report != "" {
		if err := writeReport(l.options.report, v, l.options.showPrivate); err != nil {
			return err
		}
	}
	switch {
	case l.failure != nil:
		return &stop{Status: statusCannot, Err: fmt.Errorf("write the capture: %w", l.failure)}
	case err != nil:
		return &stop{Status: statusLine, Err: err}
	case failedFindings(v):
		return &stop{Status: statusFound}
	}
	return nil
}

// failedFindings: a finding is more than a note. Whether the chain is whole cannot be
// asked of a piece of somebody else's talk.
func failedFindings(v *verdict.Verdict) bool {
	bare := *v
	bare.Chain = nil
	return failed(&bare)
}

func writeReport(name string, v *verdict.Verdict, showPrivate bool) error {
	if !showPrivate {
		hidePrivate(v)
	}
	var page bytes.Buffer
	if err := report.HTML(&page, v); err != nil {
		return err
	}
	if err := os.WriteFile(name, page.Bytes(), 0o644); err != nil {
		return &stop{Status: statusCannot, Err: fmt.Errorf("write the report: %w", err)}
	}
	return nil
}

// notes puts what the person types into the capture.
func (l *listener) notes() {
	if l.s.In == nil {
		return
	}
	typed := bufio.NewScanner(l.s.In)
	for typed.Scan() {
		if words := strings.TrimSpace(typed.Text()); words != "" {
			l.ear.Note(words)
		}
	}
}

// tap takes in what was heard: first to the disk, then to the judge, then to the screen.
func (l *listener) tap(from pump.Side, at when.Instant, b []byte, event string) {
	l.count++
	r := capture.Record{Number: l.count, At: at, From: from, Bytes: string(b), Event: event}
	if err := l.kept.write(r); err != nil && l.failure == nil {
		l.failure = err
		l.screen.happened(at, "note: the capture cannot be written any more: "+err.Error())
	}
	l.reviewer.Feed(r)
	l.screen.record(r)
	l.fresh = true
	if at.Sub(l.judged) >= findingsEvery {
		l.look(at)
	}
}

// findingsEvery: a person reads no faster, and asking costs.
const findingsEvery = time.Second

func (l *listener) look(now when.Instant) {
	l.judged, l.fresh = now, false
	l.screen.findings(l.reviewer.Findings(), false)
}

// idle is called while nothing comes: silence is heard too.
func (l *listener) idle() {
	now := l.clock.Now()
	l.screen.quiet(now)
	l.kept.settle(now)
	if now.Sub(l.judged) < findingsEvery {
		return
	}
	l.reviewer.Tick(capture.Record{Number: l.count, At: now})
	l.look(now)
}
