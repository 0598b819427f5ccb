package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/pump"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/sheet"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const standinHelp = `
Be the module: a cellular and GNSS module made of software, on a real line, at
real speed. Everything it does is simulated: no card, no sky, no charges. It
ends with Ctrl-C.

A pseudo-terminal is opened by programs like a serial port. On Linux it knows
the speed that the program has set: at another speed than the module's both
ends read rubbish, as on a wire. A TCP connection has no speed; each peer gets a
module of its own that starts when the peer connects, the second one with the
next seed.

Its own commands are those of the sheet demo; --sheet shows them.`

// standinOptions are the flags of standin.
type standinOptions struct {
	world string
	seed  uint64
	pty   string
	tcp   string
	port  string
	sheet bool
	json  bool
}

func (o *standinOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.world, "world", "healthy", "what it lives through: a name or a file (firstfix world list)")
	f.Uint64Var(&o.seed, "seed", 0, "seed of all chance; 0 takes the world's own")
	f.StringVar(&o.pty, "pty", "", "path of a link to a pseudo-terminal (default: a pseudo-terminal without a link)")
	f.StringVar(&o.tcp, "tcp", "", "listen for TCP peers at this address, as 127.0.0.1:7070")
	f.StringVar(&o.port, "port", "", "speak on a serial device, its wires crossed to the controller's")
	f.BoolVar(&o.sheet, "sheet", false, "show how it spells the duties that the standards leave open, and end")
	f.BoolVar(&o.json, "json", false, "write what happens as JSON lines")
}

// standinCommand plays the module: `firstfix standin`.
func standinCommand(s *streams) *cobra.Command {
	var opts standinOptions
	c := &cobra.Command{
		Use:   "standin",
		Short: "be the module, on a pseudo-terminal, a TCP port or a serial device",
		Long: exits(standinHelp, exit{statusCannot, "the request cannot be carried out"},
			exit{statusLine, "the line could not be opened, or was lost"}),
		Example: `  firstfix standin --pty /tmp/trailer07
  firstfix standin --world restart-on-transmit --tcp 127.0.0.1:7070
  firstfix standin --world ./my-world.yaml --seed 7 --port /dev/ttyUSB1`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error { return runStandin(c.Context(), s, opts) },
	}
	opts.flags(c.Flags())
	return c
}

func runStandin(ctx context.Context, s *streams, o standinOptions) error {
	if o.sheet {
		return showDemoSheet(s.Out)
	}
	lines := 0
	for _, given := range []string{o.pty, o.tcp, o.port} {
		if given != "" {
			lines++
		}
	}
	if lines > 1 {
		return &stop{Status: statusCannot, Err: errors.New("--pty, --tcp and --port exclude each other: the stand-in has one line"),
			Hints: []string{"start it twice, once for each line"}}
	}
	w, err := loadWorld(o.world)
	if err != nil {
		return err
	}
	if o.seed == 0 {
		o.seed = w.Seed
	}
	p := &player{world: w, seed: o.seed, told: &teller{out: s.Out, json: o.json}}
	switch {
	case o.tcp != "":
		err = p.onTCP(ctx, o.tcp)
	case o.port != "":
		err = p.onPort(ctx, o.port)
	default:
		err = p.onPTY(ctx, o.pty)
	}
	if errors.Is(err, context.Canceled) {
		p.told.say(happened{Event: "ended"}, "\nthe stand-in has ended")
		return nil
	}
	return err
}

// player plays modules of one world.
type player struct {
	world *world.World
	seed  uint64
	told  *teller
}

// module makes the module for peer n, counted from 1.
func (p *player) module(n int) (pump.Machine, pump.Options) {
	seed := p.seed + uint64(n-1)
	m, _ := standIn(p.world, seed, p.world.Line.Baud)
	return m, pump.Options{Me: pump.Module, Pace: true}
}

// speed is the module's speed as the conditions at the start have it.
func (p *player) speed() int { return p.world.Begin(p.seed).At(0).Line.Baud }

func (p *player) onPTY(ctx context.Context, link string) error {
	l, err := line.NewPTY(link)
	if err != nil {
		return &stop{Status: statusLine, Err: err, Hints: []string{"firstfix standin --tcp 127.0.0.1:7070 needs no pseudo-terminal"}}
	}
	defer l.Close()
	// Until a program sets a speed, the other end has the one that a good module speaks.
	_ = l.SetPeerBaud(world.Default().Line.Baud)
	p.told.ready(p, l.Path(), fmt.Sprintf("firstfix check --port %s --sheet demo", l.Path()))
	m, o := p.module(1)
	o.Tap = p.told.tap
	return lineLost(pump.Run(ctx, l, m, o))
}

func (p *player) onPort(ctx context.Context, device string) error {
	baud := p.speed()
	if baud == 0 {
		baud = world.Default().Line.Baud // a device cannot follow the other end
	}
	l, err := line.OpenSerial(device, baud)
	if err != nil {
		return &stop{Status: statusLine, Err: fmt.Errorf("open %s: %w", device, err), Hints: []string{"is the adapter plugged in, and does another program hold the port?"}}
	}
	defer l.Close()
	p.told.ready(p, device, "")
	m, o := p.module(1)
	o.Tap, o.Pace = p.told.tap, false // the device has a speed of its own
	return lineLost(pump.Run(ctx, l, m, o))
}

func (p *player) onTCP(ctx context.Context, address string) error {
	l, err := line.Listen(address)
	if err != nil {
		return &stop{Status: statusLine, Err: err, Hints: []string{"127.0.0.1:0 takes any free port"}}
	}
	defer l.Close()
	p.told.ready(p, "tcp:"+l.Address(), fmt.Sprintf("firstfix check --port tcp:%s --sheet demo", l.Address()))
	if p.speed() != world.Default().Line.Baud {
		p.told.say(happened{Event: "note", Words: "a TCP connection has no speed"}, "note: a TCP connection has no speed, so the other speed of this world is not seen on it")
	}
	err = pump.Serve(ctx, l, func(n int) (pump.Machine, pump.Options) {
		m, o := p.module(n)
		o.Tap = p.told.tap
		return m, o
	}, p.told.peer)
	if err == nil {
		err = ctx.Err()
	}
	return err
}

// lineLost gives a lost line its status.
func lineLost(err error) error {
	if errors.Is(err, pump.ErrLost) {
		return &stop{Status: statusLine, Err: err}
	}
	return err
}

// teller tells the person what happens, one line each. Peers may speak at once.
type teller struct {
	mu   sync.Mutex
	out  io.Writer
	json bool
}

// happened is docs/formats/standin.schema.json.
type happened struct {
	Event string `json:"event"` // "ready", "connected", "gone", "lost-bytes", "note", "ended"
	World string `json:"world,omitempty"`
	Truth string `json:"truth,omitempty"`
	Seed  uint64 `json:"seed,omitempty"`
	Line  string `json:"line,omitempty"`
	Baud  int    `json:"baud,omitempty"`
	Peer  int    `json:"peer,omitempty"`
	Words string `json:"words,omitempty"`
}

func (t *teller) say(h happened, words string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if !t.json {
		fmt.Fprintln(t.out, words)
		return
	}
	line, err := json.Marshal(h)
	if err != nil {
		panic(err) // text and numbers always fit
	}
	fmt.Fprintf(t.out, "%s\n", line)
}

func (t *teller) ready(p *player, where, try string) {
	words := fmt.Sprintf("the stand-in speaks at %s\nworld %s (%s), seed %d, %d baud; everything is simulated\n\n%s",
		where, p.world.Name, p.world.Title, p.seed, p.speed(), ansi.Wordwrap(p.world.Story, 90, ""))
	if try != "" {
		words += "\n\ntry: " + try
	}
	t.say(happened{Event: "ready", World: p.world.Name, Truth: p.world.Truth, Seed: p.seed, Line: where, Baud: p.speed()}, words+"\nCtrl-C ends it")
}

// tap tells what was lost; bytes that passed are nobody's news.
func (t *teller) tap(_ pump.Side, at when.Instant, _ []byte, event string) {
	if event != "" && event != "line-lost" {
		t.say(happened{Event: "lost-bytes", Words: event}, fmt.Sprintf("%s s: %s", at, event))
	}
}

func (t *teller) peer(n int, name string, ended bool, why error) {
	if !ended {
		t.say(happened{Event: "connected", Peer: n, Line: name}, fmt.Sprintf("peer %d: %s", n, name))
		return
	}
	words := "gone"
	if why != nil && !errors.Is(why, context.Canceled) && !errors.Is(why, pump.ErrLost) {
		words = why.Error()
	}
	t.say(happened{Event: "gone", Peer: n, Line: name, Words: words}, fmt.Sprintf("peer %d: %s", n, words))
}

// showDemoSheet writes how the stand-in spells its duties, from its sheet.
func showDemoSheet(out io.Writer) error {
	demo, ok := sheet.Builtin("demo")
	if !ok {
		panic("the sheet of the stand-in is missing")
	}
	fmt.Fprintf(out, "%s\n\n", demo.Title)
	for _, name := range demo.DutyNames() {
		d, _ := demo.Duty(name)
		fmt.Fprintf(out, "  %-22s %s\n", name, d.Send)
		if len(d.Answer.Fields) > 0 {
			fields := make([]string, len(d.Answer.Fields))
			for i, f := range d.Answer.Fields {
				fields[i] = f.Name
			}
			fmt.Fprintf(out, "  %-22s %s\n", "", ansi.Wordwrap(d.Answer.Prefix+": "+strings.Join(fields, ","), 66, ","))
		}
	}
	fmt.Fprintln(out)
	for _, b := range demo.Banners {
		fmt.Fprintf(out, "  %-22s means %s\n", b.Text, b.Means)
	}
	return nil
}
