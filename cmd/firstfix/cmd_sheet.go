package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/edge/pump"
	"firstfix/internal/script/procedure"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"

	"github.com/spf13/cobra"
)

const sheetHelp = `
A sheet says how one module spells what the standards leave open: how its
position engine is switched on, how a position is read. docs/formats/sheet.md
says what it may hold and how to write one from a manual.

draft asks a module who it is, which commands it lists (+CLAC) and what its own
commands take (the test form, which changes nothing: V.250, 5.4), and writes
the beginning of a sheet. What a command does is in no answer: the duties are
yours to fill in from the manual.

check holds a sheet's duties that cost nothing and change nothing lasting:
position.on, position.state, position.read, and position.off at the end.`

// sheetOptions are the flags of sheet draft and sheet check.
type sheetOptions struct {
	port, world string
	baud        int
}

// sheetCommand holds what is about sheets: `firstfix sheet`.
func sheetCommand(s *streams) *cobra.Command {
	list := &cobra.Command{Use: "list", Short: "name the built-in sheets", Args: cobra.NoArgs, Long: exits("Name the built-in sheets."),
		RunE: func(*cobra.Command, []string) error {
			for _, name := range sheet.Names() {
				sh, _ := sheet.Builtin(name)
				fmt.Fprintf(s.Out, "%-10s %s\n", name, sh.Title)
			}
			return nil
		}}
	show := &cobra.Command{Use: "show SHEET", Short: "show what a sheet spells", Args: cobra.ExactArgs(1),
		Long: exits("Show what a sheet spells: a built-in name or a file.", exit{statusCannot, "the sheet cannot be read"}),
		RunE: func(_ *cobra.Command, args []string) error {
			sh, err := chooseSheet(args[0], false)
			if err != nil {
				return err
			}
			fmt.Fprintf(s.Out, "%s: %s\nsource: %s\n\n", sh.Name, sh.Title, sh.Source)
			for _, name := range sh.DutyNames() {
				d, _ := sh.Duty(name)
				fmt.Fprintf(s.Out, "%-22s %-28s %s\n", name, d.Send, d.Answer.Shape)
			}
			return nil
		}}
	return group("sheet", "how one module spells what the standards leave open", sheetHelp, list, show, sheetDraftCommand(s), sheetCheckCommand(s))
}

func sheetFlags(c *cobra.Command, o *sheetOptions) {
	f := c.Flags()
	f.StringVar(&o.port, "port", "", "the line to the module: "+line.Addresses())
	f.IntVar(&o.baud, "baud", 9600, "speed of the line")
	f.StringVar(&o.world, "world", "healthy", "world of the stand-in, when there is no --port")
}

func sheetDraftCommand(s *streams) *cobra.Command {
	var o sheetOptions
	c := &cobra.Command{Use: "draft", Short: "interview a module and write the beginning of its sheet", Args: cobra.NoArgs,
		Long:    exits(sheetHelp, exit{statusFound, "the module does not answer"}, exit{statusCannot, "the request cannot be carried out"}, exit{statusLine, "the line failed"}),
		Example: "  firstfix sheet draft --port /dev/ttyUSB0 > mine.yaml\n  firstfix sheet draft",
		RunE: func(c *cobra.Command, _ []string) error {
			text, err := draftSheet(c.Context(), o)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(s.Out, text)
			return err
		}}
	sheetFlags(c, &o)
	return c
}

// hold holds some steps with the stand-in or on a real line and returns how they went.
func (o *sheetOptions) hold(ctx context.Context, sh *sheet.Sheet, steps []procedure.Step) ([]procedure.Result, error) {
	p := &procedure.Procedure{Name: "sheet", Budget: procedure.Budget{MaxTotalMS: 900_000}, Steps: steps}
	m, err := procedure.New(p, procedure.Options{Sheet: sh, Free: o.port == "", KeepStore: true})
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: err}
	}
	if o.port == "" {
		w, err := loadWorld(o.world)
		if err != nil {
			return nil, err
		}
		module, wire := standIn(w, w.Seed, o.baud)
		if _, err := pump.Simulate(ctx, pump.Limits{Until: when.Instant(time.Hour)}, m, module, wire, nil); err != nil {
			return nil, interrupted(err)
		}
		return m.Log(), nil
	}
	l, err := line.Open(o.port, o.baud)
	if err != nil {
		return nil, &stop{Status: statusLine, Err: err, Hints: []string{"is the adapter plugged in, and does another program hold the port?"}}
	}
	defer l.Close()
	err = pump.Run(ctx, l, m, pump.Options{})
	return m.Log(), interrupted(err)
}

var goOnAnyway = procedure.On{Failed: "continue", NoAnswer: "continue", NotYet: "continue", Refused: "continue"}

// wakeStep: a module that just started or follows the speed needs some tries.
var wakeStep = procedure.Step{Name: "wake", Send: "AT", MaxWaitMS: 1000, Tries: 8, BackoffMS: 500, MaxBackoffMS: 2000}

// maxAsked bounds the commands that are asked for their form: a talkative module lists hundreds.
const maxAsked = 300

// draftSheet interviews a module and returns the beginning of its sheet.
func draftSheet(ctx context.Context, o sheetOptions) (string, error) {
	steps := []procedure.Step{wakeStep}
	for _, send := range []string{"AT+CGMI", "AT+CGMM", "AT+CGMR", "AT+CLAC"} {
		steps = append(steps, procedure.Step{Name: send, Send: send, MaxWaitMS: 10_000, On: goOnAnyway})
	}
	log, err := o.hold(ctx, nil, steps)
	if err != nil {
		return "", err
	}
	if len(log) < len(steps) {
		return "", &stop{Status: statusFound, Err: errors.New("the module does not answer AT"), Hints: []string{"firstfix check finds out why"}}
	}
	own := ownCommands(log[4].Info)
	if len(own) == 0 {
		return draftText(log, nil), nil
	}
	ask := []procedure.Step{wakeStep}
	for _, name := range own {
		ask = append(ask, procedure.Step{Name: name, Send: "AT" + name + "=?", MaxWaitMS: 5000, On: goOnAnyway})
	}
	forms, err := o.hold(ctx, nil, ask)
	if err != nil {
		return "", err
	}
	return draftText(log, forms[min(1, len(forms)):]), nil
}

// ownCommands are those of a +CLAC list that no standard knows.
func ownCommands(lines []string) []string {
	var own []string
	for _, l := range lines {
		name := strings.TrimPrefix(strings.TrimSpace(strings.TrimPrefix(l, "+CLAC:")), "AT")
		if c, ok := at.ParseLine("AT" + name).Find(name); !ok || c.Name != name || len(name) < 2 || strings.ContainsAny(name[:1], "&D") {
			continue
		}
		if _, known := at.Lookup(name); !known && !slices.Contains(own, name) && len(own) < maxAsked {
			own = append(own, name)
		}
	}
	return own
}

// draftText writes the sheet: what was heard as facts, what was not as comments.
func draftText(log, forms []procedure.Result) string {
	var b strings.Builder
	heard := func(i int) string { return strings.Join(log[i].Info, " ") }
	b.WriteString("# A draft made by an interview. What each command does is in the module's manual:\n# move those that fit under duties (docs/formats/sheet.md), and prove them with sheet check.\n")
	fmt.Fprintf(&b, "sheet: draft\ntitle: %s\nversion: %s\nsource: %s\n", strconv.QuoteToASCII(heard(1)+" "+heard(2)), strconv.QuoteToASCII(heard(3)), `"interview of a live module"`)
	if len(forms) == 0 {
		b.WriteString("# It lists no commands of its own (+CLAC): take them from the manual.\n")
		return b.String()
	}
	b.WriteString("max_wait_ms:   # ten times what the test form took, at least a second: our estimate\n")
	for _, r := range forms {
		fmt.Fprintf(&b, "  %q: %d\n", r.Step, max(1000, int(r.TookMS()*10)))
	}
	b.WriteString("# Its own commands, and what their test form says:\n")
	for _, r := range forms {
		said := strings.Join(r.Info, " ")
		if said == "" {
			said = "(" + string(r.Outcome) + ")"
		}
		fmt.Fprintf(&b, "#   %s   %s\n", r.Sent, strings.Trim(strconv.QuoteToASCII(said), `"`))
	}
	b.WriteString("# duties:\n#   position.on: {send: AT…, answer: {shape: none}}\n")
	return b.String()
}

// provable are the duties that cost nothing and change nothing lasting, in the
// order in which they are proved.
var provable = []string{sheet.PositionOn, sheet.PositionState, sheet.PositionRead, sheet.PositionOff}

func sheetCheckCommand(s *streams) *cobra.Command {
	var o sheetOptions
	c := &cobra.Command{Use: "check SHEET", Short: "prove a sheet on a module, without cost and without lasting change", Args: cobra.ExactArgs(1),
		Long:    exits(sheetHelp, exit{statusFound, "a duty did not work as the sheet says"}, exit{statusCannot, "the request cannot be carried out"}, exit{statusLine, "the line failed"}),
		Example: "  firstfix sheet check ./mine.yaml --port /dev/ttyUSB0\n  firstfix sheet check demo",
		RunE:    func(c *cobra.Command, args []string) error { return checkSheet(c.Context(), s, args[0], o) }}
	sheetFlags(c, &o)
	return c
}

func checkSheet(ctx context.Context, s *streams, name string, o sheetOptions) error {
	sh, err := chooseSheet(name, false)
	if err != nil {
		return err
	}
	steps := []procedure.Step{wakeStep}
	for _, duty := range provable {
		if _, ok := sh.Duty(duty); ok {
			steps = append(steps, procedure.Step{Name: duty, Duty: duty, On: goOnAnyway})
		}
	}
	log, err := o.hold(ctx, sh, steps)
	if err != nil {
		return err
	}
	if len(log) < len(steps) {
		return &stop{Status: statusFound, Err: errors.New("the module does not answer AT"), Hints: []string{"firstfix check finds out why"}}
	}
	bad := 0
	for _, r := range log[1:] {
		why := proves(sh, r)
		word := "proved"
		if why != "" {
			word, bad = "failed", bad+1
		}
		fmt.Fprintf(s.Out, "%-22s %-28s %-8s %8.0f ms  %s\n", r.Step, r.Sent, word, r.TookMS(), why)
	}
	for _, duty := range sh.DutyNames() {
		if !slices.Contains(provable, duty) {
			d, _ := sh.Duty(duty)
			fmt.Fprintf(s.Out, "%-22s %-28s not tried: it changes what the module does\n", duty, d.Send)
		}
	}
	if bad > 0 {
		return &stop{Status: statusFound}
	}
	return nil
}

// proves says why an answer is not what the sheet promises; "" when it is.
func proves(sh *sheet.Sheet, r procedure.Result) string {
	if r.Outcome != procedure.OK {
		return string(r.Outcome) + ": " + r.Why
	}
	d, _ := sh.Duty(r.Step)
	if d.Answer.Shape != sheet.Fields {
		return ""
	}
	for _, l := range r.Info {
		a, ok := at.ParseAnswer(l)
		if !ok || !strings.EqualFold(a.Name, d.Answer.Prefix) {
			continue
		}
		if len(a.Params) != len(d.Answer.Fields) {
			return fmt.Sprintf("the answer has %d fields, the sheet %d", len(a.Params), len(d.Answer.Fields))
		}
		if _, err := sh.ReadPosition(a); err != nil && r.Step == sheet.PositionRead {
			return err.Error()
		}
		return ""
	}
	return "no line " + d.Answer.Prefix + " came"
}
