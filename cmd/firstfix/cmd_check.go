package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/pump"
	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/sheet"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"
)

const checkHelp = `
Walk the chain from supply to report, link by link: ask the module, judge its
answers, rank what could be the cause of what is broken, and name the next
measurement. Links behind a broken one that they need are not tried.

Without --port the built-in stand-in is checked, a module made of software: no
hardware, no card, no charges; minutes pass in a second. --world plants a fault.

On a real line only harmless questions are asked, and nothing is saved in the
module. When nothing answers, AT is tried at the usual speeds. A PIN is never
guessed: give it with --pin, and it is tried once. No text leaves unless --spend
says how many may.`

// checkOptions are the flags of check.
type checkOptions struct {
	output  outputOptions
	observe observeOptions
	port    string
	baud    int
	world   string
	seed    uint64
	sheet   string
	capture string
	spend   int
	number  string
	pin     string
	label   string
}

func (o *checkOptions) flags(f *pflag.FlagSet) {
	o.output.flags(f)
	o.observe.flags(f)
	f.StringVar(&o.port, "port", "", "the line to the module: "+line.Addresses())
	f.IntVar(&o.baud, "baud", 9600, "speed of the line; when nothing answers there, the usual ones are tried")
	f.StringVar(&o.world, "world", "healthy", "world of the stand-in: a name or a file (firstfix world list)")
	f.Uint64Var(&o.seed, "seed", 0, "seed of the stand-in; 0 takes the world's own")
	f.StringVar(&o.sheet, "sheet", "", "how this module spells its duties: a built-in name or a file (default: demo for the stand-in, standard for a port)")
	f.StringVar(&o.capture, "capture", "", "also write everything that passed the line to this capture file")
	f.IntVar(&o.spend, "spend", 0, "how many texts may leave on a real line; they cost money")
	f.StringVar(&o.number, "number", "", "where test texts go, with + and country code (default: the card's own number)")
	f.StringVar(&o.pin, "pin", "", "the card's PIN, for this run only; it is tried once")
	f.StringVar(&o.label, "label", "tracker", "what the device is called in its report text")
}

// checkCommand walks the chain: `firstfix check`.
func checkCommand(s *streams) *cobra.Command {
	var opts checkOptions
	c := &cobra.Command{
		Use:   "check",
		Short: "walk the chain from supply to report and say which link is broken",
		Long: exits(checkHelp, exit{statusFound, "a link is broken or weak, or something was found"},
			exit{statusCannot, "the request cannot be carried out"}, exit{statusLine, "the line failed"}),
		Example: `  firstfix check
  firstfix check --world antennas-swapped
  firstfix check --port /dev/ttyUSB0 --report verdict.html
  firstfix check --port /dev/ttyUSB0 --ask
  firstfix check --port tcp:127.0.0.1:7070 --sheet demo --capture today.capture`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return runCheck(c.Context(), s, opts, c.Flags().Changed("world"))
		},
	}
	opts.flags(c.Flags())
	return c
}

func runCheck(ctx context.Context, s *streams, o checkOptions, worldGiven bool) error {
	if o.port != "" && worldGiven {
		return &stop{Status: statusCannot, Err: errors.New("--port and --world exclude each other: a world is for the stand-in"),
			Hints: []string{"firstfix standin --world NAME --tcp ADDR plays a world on a real line"}}
	}
	walk := bringup.WalkOptions{Baud: o.baud, Spend: o.spend, Number: o.number, PIN: o.pin, Label: o.label, Free: o.port == ""}
	var err error
	if walk.Sheet, err = chooseSheet(o.sheet, o.port == ""); err != nil {
		return err
	}
	saw, err := o.observe.read()
	if err != nil {
		return err
	}
	record, closeCapture, err := captureTo(o.capture)
	if err != nil {
		return err
	}
	defer closeCapture()

	var v *verdict.Verdict
	var j *walkJudge
	if o.port == "" {
		v, j, err = checkStandin(ctx, o, walk, saw, record)
	} else {
		v, j, err = checkLine(ctx, s, o, walk, saw, record)
	}
	if v == nil {
		return err
	}
	if o.observe.ask && err == nil {
		s.interview(j.reviewer, v, saw)
	}
	if writeErr := o.output.write(s, v); writeErr != nil {
		return writeErr
	}
	if closeErr := closeCapture(); closeErr != nil && err == nil {
		err = &stop{Status: statusCannot, Err: closeErr}
	}
	if err != nil {
		return err
	}
	if failed(v) {
		return &stop{Status: statusFound}
	}
	return nil
}

// chooseSheet finds the sheet: a name, a file, or what suits the kind of line.
func chooseSheet(name string, standin bool) (*sheet.Sheet, error) {
	if name == "" {
		name = "standard"
		if standin {
			name = "demo"
		}
	}
	if sh, ok := sheet.Builtin(name); ok {
		return sh, nil
	}
	src, err := os.ReadFile(name)
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("there is no built-in sheet %q and no such file", name),
			Hints: []string{"built in are demo and standard; docs/formats/sheet.md says how to write one"}}
	}
	sh, err := sheet.Load(name, src)
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: err, Hints: []string{"docs/formats/sheet.md says what a sheet may hold"}}
	}
	return sh, nil
}

// walkJudge joins a walk to the judge and to the capture file: it is the tap of the line.
type walkJudge struct {
	walker   *bringup.Walker
	reviewer *bringup.Reviewer
	info     capture.Info
	record   func(capture.Info, capture.Record) error
	count    int
	failure  error // the first failure of the capture file
}

func newWalkJudge(walk bringup.WalkOptions, info capture.Info, o bringup.Options, record func(capture.Info, capture.Record) error) *walkJudge {
	w := bringup.NewWalker(walk)
	o.Rules, o.Sheet = rules.All, walk.Sheet
	r := bringup.NewReviewer(info, w.Walked(), o)
	return &walkJudge{walker: w, reviewer: r, info: info, record: record}
}

func (j *walkJudge) tap(from pump.Side, at when.Instant, bytes []byte, event string) {
	j.count++
	r := capture.Record{Number: j.count, At: at, From: from, Bytes: string(bytes), Event: event}
	j.reviewer.Feed(r)
	if err := j.record(j.info, r); err != nil && j.failure == nil {
		j.failure = err
	}
}

// end returns the verdict; a capture file that could not be written is an error beside it.
func (j *walkJudge) end() (*verdict.Verdict, error) {
	v := j.reviewer.End(j.info)
	if j.failure != nil {
		return v, &stop{Status: statusCannot, Err: fmt.Errorf("write the capture: %w", j.failure)}
	}
	return v, nil
}

// checkStandin walks a module made of software, in simulated time.
func checkStandin(ctx context.Context, o checkOptions, walk bringup.WalkOptions, saw []bringup.Observation, record func(capture.Info, capture.Record) error) (*verdict.Verdict, *walkJudge, error) {
	w, err := loadWorld(o.world)
	if err != nil {
		return nil, nil, err
	}
	seed := o.seed
	if seed == 0 {
		seed = w.Seed
	}
	m, wire := standIn(w, seed, o.baud)
	info := capture.Info{Kind: "check", Began: w.Start.Format(time.RFC3339), Baud: o.baud, Frame: "8N1", TimesKnown: true, DirectionsKnown: true}
	j := newWalkJudge(walk, info, bringup.Options{Input: fmt.Sprintf("the stand-in, world %s, seed %d", w.Name, seed), Simulated: true, Saw: saw}, record)
	if _, err := pump.Simulate(ctx, pump.Limits{Until: when.Instant(bringup.MaxWalk)}, j.walker, m, wire, j.tap); err != nil {
		return nil, nil, err
	}
	v, err := j.end()
	return v, j, err
}

// checkLine walks a module on a real line, in real time.
func checkLine(ctx context.Context, s *streams, o checkOptions, walk bringup.WalkOptions, saw []bringup.Observation, record func(capture.Info, capture.Record) error) (*verdict.Verdict, *walkJudge, error) {
	l, err := line.Open(o.port, o.baud)
	if err != nil {
		return nil, nil, &stop{Status: statusLine, Err: err,
			Hints: []string{"is the adapter plugged in, and does another program hold the port?", "firstfix check without --port needs no hardware"}}
	}
	defer l.Close()
	if _, ok := l.(line.Speeder); !ok {
		walk.Baud = 0 // no other speed can be tried
	}
	clock := pump.NewClock()
	walk.Nonce = int(clock.Began().Unix() % 10000)
	info := capture.Info{Kind: "check", Began: clock.Began().Format(time.RFC3339), Baud: o.baud, Frame: "8N1", TimesKnown: true, DirectionsKnown: true}
	j := newWalkJudge(walk, info, bringup.Options{Input: l.Describe(), Saw: saw}, record)
	err = pump.Run(ctx, l, &shownWalk{Walker: j.walker, s: s}, pump.Options{Clock: clock, Tap: j.tap})
	v, endErr := j.end()
	switch {
	case errors.Is(err, pump.ErrLost):
		return v, j, &stop{Status: statusLine, Err: err, Hints: []string{"the verdict rests on what had passed until then"}}
	case errors.Is(err, context.Canceled):
		return v, j, &stop{Status: statusLine, Err: errors.New("interrupted; the verdict rests on what had passed until then")}
	case err != nil:
		return v, j, &stop{Status: statusLine, Err: err}
	}
	return v, j, endErr
}

// shownWalk tells a waiting person which link is being asked.
type shownWalk struct {
	*bringup.Walker
	s    *streams
	last string
}

// Tick passes time on and says when the walk has come to another link.
func (w *shownWalk) Tick(now when.Instant, out []byte) []byte {
	out = w.Walker.Tick(now, out)
	if link := w.Link(); link != w.last && link != "" {
		w.last = link
		if f, ok := w.s.Err.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
			fmt.Fprintf(w.s.Err, "%8.1f s  %s\n", now.Seconds(), link)
		}
	}
	return out
}

// captureTo prepares a capture file. Without a name nothing is written.
func captureTo(name string) (record func(capture.Info, capture.Record) error, close func() error, err error) {
	if name == "" {
		return func(capture.Info, capture.Record) error { return nil }, func() error { return nil }, nil
	}
	f, err := os.Create(name)
	if err != nil {
		return nil, nil, &stop{Status: statusCannot, Err: fmt.Errorf("write the capture: %w", err)}
	}
	var w *capture.Writer
	record = func(info capture.Info, r capture.Record) error {
		if w == nil {
			if w, err = capture.NewWriter(f, info); err != nil {
				return err
			}
		}
		return w.Write(r)
	}
	closed := false
	return record, func() error {
		if closed {
			return nil
		}
		closed = true
		return f.Close()
	}, nil
}
