package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/pump"
	"firstfix/internal/script/procedure"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const driveHelp = `
Hold a procedure in the controller's seat and time it: what was sent, what came,
how each step ended, how long it took, and how the whole ended. PROCEDURE is a
ready one (firstfix drive --list) or a file (docs/formats/procedure.md).

Without --port it is held with the built-in stand-in, in simulated time: minutes
pass in a second and nothing costs. --dry-run sends nothing anywhere and prints
what would be said.

On a real line no text, call or data session leaves unless --spend says how many
may; a PIN is sent only with --pin, once; texts in the store are deleted only with
--change-store. A line that changes the module for good (factory reset, saving,
speed, locks) is sent only when --typed repeats it letter for letter.`

// driveOptions are the flags of drive.
type driveOptions struct {
	port, world, sheet, capture string
	baud                        int
	seed                        uint64
	spend                       int
	pin, number, label, text    string
	values, typed               []string
	changeStore                 bool
	dryRun, json, list, show    bool
	showPrivate                 bool
}

func (o *driveOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.port, "port", "", "the line to the module: "+line.Addresses())
	f.IntVar(&o.baud, "baud", 9600, "speed of the line")
	f.StringVar(&o.world, "world", "healthy", "world of the stand-in: a name or a file (firstfix world list)")
	f.Uint64Var(&o.seed, "seed", 0, "seed of the stand-in; 0 takes the world's own")
	f.StringVar(&o.sheet, "sheet", "", "how this module spells its duties: a built-in name or a file (default: demo for the stand-in, standard for a port)")
	f.StringVar(&o.capture, "capture", "", "also write everything that passed the line to this capture file")
	f.IntVar(&o.spend, "spend", 0, "how many texts, calls and data sessions may leave on a real line; they cost money")
	f.StringVar(&o.pin, "pin", "", "the card's PIN, for this run only; it is sent once at most")
	f.StringVar(&o.number, "number", "", "value of {number}: where texts go, with + and country code (stand-in: its own number)")
	f.StringVar(&o.label, "label", "tracker", "value of {label}: what the device is called in its texts")
	f.StringVar(&o.text, "text", "a test from firstfix", "value of {text}: what a text says")
	f.StringArrayVar(&o.values, "value", nil, "any other value of the procedure, as NAME=VALUE; may be repeated")
	f.StringArrayVar(&o.typed, "typed", nil, "a command line that changes the module for good and may be sent; may be repeated")
	f.BoolVar(&o.changeStore, "change-store", false, "texts in the store of a real module may be deleted or written")
	f.BoolVar(&o.dryRun, "dry-run", false, "send nothing; print what would be said")
	f.BoolVar(&o.list, "list", false, "list the ready procedures, and end")
	f.BoolVar(&o.show, "show", false, "print the procedure's file, and end")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/drive.schema.json)")
	f.BoolVar(&o.showPrivate, "show-private", false, "show numbers, identities and texts as they are")
}

// driveCommand holds a procedure: `firstfix drive`.
func driveCommand(s *streams) *cobra.Command {
	var opts driveOptions
	c := &cobra.Command{
		Use:   "drive PROCEDURE",
		Short: "hold a procedure with a module, time it, and say how it ended",
		Long: exits(driveHelp, exit{statusFound, "the procedure did not end as it wanted"},
			exit{statusCannot, "the request cannot be carried out, or a guard refused a command that the procedure needs"}, exit{statusLine, "the line failed"}),
		Example: `  firstfix drive --list
  firstfix drive first-fix --world indoor-sky
  firstfix drive wake --port /dev/ttyUSB0
  firstfix drive report-loop --dry-run --label "trailer 07" --number +12025550143
  firstfix drive text-with-delivery-report --port /dev/ttyUSB0 --number +12025550143 --spend 1`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if opts.list {
				return listProcedures(s, opts.json)
			}
			if len(args) == 0 {
				return &stop{Status: statusCannot, Err: errors.New("which procedure?"), Hints: []string{"firstfix drive --list names the ready ones"}}
			}
			return runDrive(c.Context(), s, args[0], opts, c.Flags().Changed("world"))
		},
	}
	opts.flags(c.Flags())
	return c
}

func runDrive(ctx context.Context, s *streams, name string, o driveOptions, worldGiven bool) error {
	if o.port != "" && worldGiven {
		return &stop{Status: statusCannot, Err: errors.New("--port and --world exclude each other: a world is for the stand-in"),
			Hints: []string{"firstfix standin --world NAME --tcp ADDR plays a world on a real line"}}
	}
	p, src, err := chooseProcedure(name)
	if err != nil {
		return err
	}
	if o.show {
		_, err := s.Out.Write(src)
		return err
	}
	allowed, err := o.allowed()
	if err != nil {
		return err
	}
	if o.dryRun {
		return showPlan(s, p, allowed, o)
	}
	m, err := procedure.New(p, allowed)
	if err != nil {
		return &stop{Status: statusCannot, Err: err}
	}
	record, closeCapture, err := captureTo(o.capture)
	if err != nil {
		return err
	}
	defer closeCapture()
	d := &drive{Machine: m, told: newDriveTeller(s, p, o), record: record}
	if o.port == "" {
		err = d.onStandin(ctx, o, p)
	} else {
		err = d.onLine(ctx, o)
	}
	if d.info.Kind == "" {
		return err
	}
	if closeErr := closeCapture(); d.failure == nil {
		d.failure = closeErr
	}
	d.told.end(d.Machine, d.end, err)
	switch {
	case err != nil:
		return err
	case d.failure != nil:
		return &stop{Status: statusCannot, Err: fmt.Errorf("write the capture: %w", d.failure)}
	case m.Satisfied():
		return nil
	case m.Outcome() == procedure.Refused:
		return &stop{Status: statusCannot}
	}
	return &stop{Status: statusFound}
}

// chooseProcedure finds a procedure: a ready one, or a file when the name looks
// like one (it has a dot or a slash).
func chooseProcedure(name string) (*procedure.Procedure, []byte, error) {
	if p, ok := procedure.Ready(name); ok {
		src, _ := procedure.Source(name)
		return p, src, nil
	}
	if !strings.ContainsAny(name, "./\\") {
		return nil, nil, &stop{Status: statusCannot, Err: fmt.Errorf("there is no ready procedure %q", name),
			Hints: nearHints(name, procedure.Library(), "firstfix drive --list names them all; a file needs a dot or a slash in its name")}
	}
	src, err := os.ReadFile(name)
	if err != nil {
		return nil, nil, &stop{Status: statusCannot, Err: fmt.Errorf("read the procedure: %w", err)}
	}
	p, err := procedure.Load(name, src)
	if err != nil {
		return nil, nil, &stop{Status: statusCannot, Err: err, Hints: []string{"docs/formats/procedure.md says what a procedure may hold"}}
	}
	return p, src, nil
}

// standinNumber is the stand-in's own number: reserved for fiction.
const standinNumber = "+12025550107"

// allowed gathers what the person gave and allowed for the run.
func (o *driveOptions) allowed() (procedure.Options, error) {
	free := o.port == ""
	a := procedure.Options{Spend: o.spend, Free: free, PIN: o.pin, Typed: o.typed, KeepStore: !free && !o.changeStore,
		Values: map[string]string{"label": o.label, "text": o.text}}
	if o.number == "" && free {
		o.number = standinNumber
	}
	if o.number != "" {
		a.Values["number"] = o.number
	}
	for _, v := range o.values {
		name, value, ok := strings.Cut(v, "=")
		if !ok || name == "" {
			return a, &stop{Status: statusCannot, Err: fmt.Errorf("--value %q: want NAME=VALUE", v)}
		}
		a.Values[name] = value
	}
	if o.spend < 0 {
		return a, &stop{Status: statusCannot, Err: errors.New("--spend below 0: want how many texts may leave")}
	}
	var err error
	a.Sheet, err = chooseSheet(o.sheet, free)
	return a, err
}

// drive is one run: the machine, its tap and those who are told. It watches the
// machine's log, so that each step is told when it ends.
type drive struct {
	*procedure.Machine
	told    *driveTeller
	record  func(capture.Info, capture.Record) error
	info    capture.Info
	count   int
	end     when.Instant
	failure error // the first failure of the capture file
}

// Feed and Tick pass on, and tell what has ended.
func (d *drive) Feed(now when.Instant, b, out []byte) []byte {
	out = d.Machine.Feed(now, b, out)
	d.news(now)
	return out
}

func (d *drive) Tick(now when.Instant, out []byte) []byte {
	out = d.Machine.Tick(now, out)
	d.news(now)
	return out
}

func (d *drive) news(now when.Instant) {
	d.end = now
	log := d.Log()
	for fresh := min(d.Logged()-d.told.count, len(log)); fresh > 0; fresh-- {
		d.told.step(log[len(log)-fresh])
	}
	d.told.count = d.Logged()
}

func (d *drive) tap(from pump.Side, at when.Instant, bytes []byte, event string) {
	d.count++
	r := capture.Record{Number: d.count, At: at, From: from, Bytes: string(bytes), Event: event}
	if err := d.record(d.info, r); err != nil && d.failure == nil {
		d.failure = err
	}
}

// onStandin holds the procedure with a module made of software, in simulated time.
func (d *drive) onStandin(ctx context.Context, o driveOptions, p *procedure.Procedure) error {
	w, err := loadWorld(o.world)
	if err != nil {
		return err
	}
	if o.seed == 0 {
		o.seed = w.Seed
	}
	m, wire := standIn(w, o.seed, o.baud)
	d.info = capture.Info{Kind: "drive", Began: w.Start.Format(time.RFC3339), Baud: o.baud, Frame: "8N1", TimesKnown: true, DirectionsKnown: true}
	d.told.begin(fmt.Sprintf("the stand-in, world %s, seed %d", w.Name, o.seed), true)
	total := max(p.Budget.MaxTotalMS, procedure.DefaultTotalMS)
	_, err = pump.Simulate(ctx, pump.Limits{Until: when.Instant(2 * time.Duration(total) * time.Millisecond)}, d, m, wire, d.tap)
	return interrupted(err)
}

// onLine holds the procedure with a module on a real line, in real time.
func (d *drive) onLine(ctx context.Context, o driveOptions) error {
	l, err := line.Open(o.port, o.baud)
	if err != nil {
		return &stop{Status: statusLine, Err: err,
			Hints: []string{"is the adapter plugged in, and does another program hold the port?", "firstfix drive without --port needs no hardware"}}
	}
	defer l.Close()
	clock := pump.NewClock()
	d.info = capture.Info{Kind: "drive", Began: clock.Began().Format(time.RFC3339), Baud: o.baud, Frame: "8N1", TimesKnown: true, DirectionsKnown: true}
	d.told.begin(l.Describe(), false)
	return interrupted(pump.Run(ctx, l, d, pump.Options{Clock: clock, Tap: d.tap}))
}

// interrupted gives the ways in which a run is cut short their status.
func interrupted(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, context.Canceled):
		return &stop{Status: statusLine, Err: errors.New("interrupted; what had passed until then is kept")}
	}
	return &stop{Status: statusLine, Err: err, Hints: []string{"what had passed until then is kept"}}
}
