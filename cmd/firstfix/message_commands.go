package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/report"
	"firstfix/internal/script/message"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
	"firstfix/internal/wire/sms"

	"github.com/spf13/cobra"
)

const messageCommandsHelp = `
Commands by text, safely: what a device with the grammar of docs/formats/remote-commands.md
would do with each text of a recording, and why. Who may ask, how old a text may be, how
often it is answered, and that no text is obeyed twice, is decided as the device would.

Without a file the grammar is shown. --codes prints one-time codes for the person who may
change settings; --procedure writes how a controller fetches such texts.

A sender's number can be forged: nothing dangerous may be switched by a text.`

type messageCommandsOptions struct {
	allowed   []string
	own       string
	label     string
	secret    string
	maxAge    string
	kind      string
	codes     int
	first     int
	procedure string
	json      bool
}

func messageCommandsCommand(s *streams) *cobra.Command {
	var o messageCommandsOptions
	c := &cobra.Command{
		Use:   "commands [FILE]",
		Short: "say which texts of a recording a device should obey, and why",
		Long:  exits(messageCommandsHelp, exit{statusFound, "a text would be refused or ignored"}, exit{statusCannot, "the options are not safe, or the file cannot be read"}),
		Example: `  firstfix message commands night.capture --allowed +12025550143 --label trailer-07 --secret-file trailer-07.secret
  firstfix message commands --codes 20 --label trailer-07 --secret-file trailer-07.secret
  firstfix message commands --procedure -`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return runMessageCommands(c.Context(), s, o, args) },
	}
	f := c.Flags()
	f.StringArrayVar(&o.allowed, "allowed", nil, "a number that may ask, with + and country code; may be given several times")
	f.StringVar(&o.own, "own", "", "the device's own number")
	f.StringVar(&o.label, "label", "", "which device it is")
	f.StringVar(&o.secret, "secret-file", "", "file with the device's secret, at least 16 octets; only read")
	f.StringVar(&o.maxAge, "max-age", "", "how old a text may be (10m)")
	f.StringVar(&o.kind, "kind", "", "say what the file is: capture, stamped, window, talk")
	f.IntVar(&o.codes, "codes", 0, "print so many one-time codes")
	f.IntVar(&o.first, "first", 1, "the first number of --codes")
	f.StringVar(&o.procedure, "procedure", "", "write the procedure that fetches such texts to this file; - is standard output")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/message-commands.schema.json)")
	return c
}

// maxSecret and maxCodes bound what is read and printed.
const (
	maxSecret = 4096
	maxCodes  = 500 // a sheet of paper on both sides
)

func runMessageCommands(ctx context.Context, s *streams, o messageCommandsOptions, args []string) error {
	switch {
	case o.procedure == "-":
		_, err := s.Out.Write(message.YAML(message.RemoteProcedure()))
		return err
	case o.procedure != "":
		if err := os.WriteFile(o.procedure, message.YAML(message.RemoteProcedure()), 0o644); err != nil {
			return &stop{Status: statusCannot, Err: fmt.Errorf("write the procedure: %w", err)}
		}
		fmt.Fprintf(s.Out, "The procedure is in %s. It sends no text.\n", o.procedure)
		if len(args) == 0 && o.codes == 0 {
			return nil
		}
	}
	secret, err := o.readSecret()
	if err != nil {
		return err
	}
	if o.codes > 0 {
		return o.printCodes(s, secret)
	}
	if len(args) == 0 {
		showGrammar(s)
		return nil
	}
	return o.judge(ctx, s, args[0], secret)
}

func (o *messageCommandsOptions) readSecret() ([]byte, error) {
	if o.secret == "" {
		return nil, nil
	}
	secret, err := os.ReadFile(o.secret)
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("read the secret: %w", err)}
	}
	if secret = []byte(strings.TrimSpace(string(secret))); len(secret) > maxSecret || len(secret) < message.MinSecret {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("a secret of %d octets: want %d to %d", len(secret), message.MinSecret, maxSecret)}
	}
	return secret, nil
}

func (o *messageCommandsOptions) printCodes(s *streams, secret []byte) error {
	switch {
	case secret == nil || o.label == "":
		return &stop{Status: statusCannot, Err: errors.New("--codes wants --secret-file and --label"), Hints: []string{"head -c 24 /dev/urandom | base64 > trailer-07.secret makes a secret"}}
	case o.codes > maxCodes || o.first < 1 || o.first+o.codes-1 > message.MaxSequence:
		return &stop{Status: statusCannot, Err: fmt.Errorf("--codes wants 1 to %d, from a number of 1 to %d", maxCodes, message.MaxSequence)}
	}
	fmt.Fprintf(s.Out, "One-time codes of %s. Cross out what was used; keep the list as you keep a key.\n\n", report.Visible(o.label))
	for i := range o.codes {
		end := "   "
		if i%5 == 4 || i == o.codes-1 {
			end = "\n"
		}
		fmt.Fprintf(s.Out, "#%-6d %s%s", o.first+i, message.Code(secret, o.label, o.first+i), end)
	}
	return nil
}

func showGrammar(s *streams) {
	fmt.Fprintln(s.Out, "A command is one short text to the device:")
	fmt.Fprintln(s.Out)
	for _, c := range message.UsualCommands {
		form := c.Word
		if c.Values != "" {
			form += " VALUE"
		}
		if c.Sets {
			form += " #NUMBER CODE"
		}
		means := c.Means
		if c.Values != "" {
			means += fmt.Sprintf(" (%s, %d to %d)", c.Values, c.Least, c.Most)
		}
		hanging(s.Out, "  "+padded(form, 28), means)
	}
	fmt.Fprintln(s.Out)
	hanging(s.Out, "  note: ", "NUMBER grows with each command that changes something, and CODE is the one-time code of that number: a text that was seen before, or copied by somebody, is not obeyed")
	hanging(s.Out, "  careful: ", message.CautionForged)
	hanging(s.Out, "  careful: ", message.CautionCost)
	hanging(s.Out, "  careful: ", message.CautionAlarm)
}

// decisionJSON is one element of docs/formats/message-commands.schema.json.
type decisionJSON struct {
	Record  int              `json:"record"`
	Line    int              `json:"line"`
	From    string           `json:"from"`
	Text    string           `json:"text"`
	Do      string           `json:"do"`
	Command string           `json:"command"`
	Value   maybe.Value[int] `json:"value"`
	Reason  string           `json:"reason"`
	Answer  string           `json:"answer"`
	Clause  string           `json:"clause"`
}

// judge decides on every text that came in.
func (o *messageCommandsOptions) judge(ctx context.Context, s *streams, name string, secret []byte) error {
	age, err := period("max-age", o.maxAge)
	if err != nil {
		return err
	}
	options := message.RemoteOptions{Allowed: o.allowed, Own: o.own, Label: o.label, Secret: secret, Commands: message.UsualCommands, MaxAge: age}
	if secret == nil { // without a secret only questions can be judged
		options.Commands = nil
		for _, c := range message.UsualCommands {
			if !c.Sets {
				options.Commands = append(options.Commands, c)
			}
		}
	}
	remote, err := message.NewRemote(options, message.RemoteState{})
	if err != nil {
		return &stop{Status: statusCannot, Err: err, Hints: []string{"docs/formats/remote-commands.md says what is safe"}}
	}
	src, close, err := openRecording(s, reviewOptions{kind: o.kind}, name)
	if err != nil {
		var unreadable *intake.Unreadable
		if errors.As(err, &unreadable) {
			return &stop{Status: statusCannot, Err: err, Hints: hintsOf(unreadable.Hint)}
		}
		return &stop{Status: statusCannot, Err: err}
	}
	defer close()
	decisions := []decisionJSON{}
	began, clock := wallClock(src.Info())
	seen := message.NewReader(message.DefaultWait)
	var texts []message.Text
	_, err = pickMessages(ctx, src, func(where placed, m *message.Message) {
		if m.Out || m.Head.Kind != sms.KindDeliver {
			return // what the device sent itself, and reports
		}
		var number int
		if number, texts = seen.Feed(where.at, m, texts[:0]); number == 0 {
			return // a stored one that was listed before
		}
		now := maybe.Value[time.Time]{}
		if clock && where.timed {
			now = maybe.Known(began.Add(time.Duration(where.at)))
		}
		in := message.IncomingOf(m)
		d := remote.Decide(now, in)
		decisions = append(decisions, decisionJSON{where.record, where.source, m.Party, m.Text, string(d.Do), d.Command, d.Value, d.Reason, d.Answer, d.Clause})
	}, func(err error) { fmt.Fprintf(s.Err, "firstfix: %v\n", err) })
	if err != nil {
		return err
	}
	return o.showDecisions(s, decisions, clock)
}

// wallClock says when the recording began, when that is known.
func wallClock(info capture.Info) (time.Time, bool) {
	t, err := time.Parse(time.RFC3339, info.Began)
	return t, err == nil && info.TimesKnown
}

func (o *messageCommandsOptions) showDecisions(s *streams, list []decisionJSON, clock bool) error {
	obeyed := 0
	for _, d := range list {
		if d.Do == string(message.Accept) {
			obeyed++
		}
	}
	if o.json {
		if err := writeJSON(s.Out, list); err != nil {
			return err
		}
	} else {
		if !clock {
			hanging(s.Out, "assumed: ", "the recording does not say when it was made, so the age of a text is not known: nothing that changes something is obeyed")
		}
		for _, d := range list {
			fmt.Fprintf(s.Out, "%s  %s from %s (record %d)\n", padded(d.Do, 6), report.Visible(fmt.Sprintf("%q", d.Text)), report.Visible(d.From), d.Record)
			hanging(s.Out, "        ", sourced(d.Reason, d.Clause))
			if d.Answer != "" {
				hanging(s.Out, "        answer: ", d.Answer)
			}
		}
		fmt.Fprintf(s.Out, "%s, %d obeyed.\n", plural(len(list), "text"), obeyed)
		hanging(s.Out, "careful: ", message.CautionForged)
	}
	if obeyed < len(list) {
		return &stop{Status: statusFound}
	}
	return nil
}
