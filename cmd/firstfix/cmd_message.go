package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/plan/tariff"
	"firstfix/internal/script/message"
	"firstfix/internal/yamlfile"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// messageCommand composes and decodes texts: `firstfix message write`, `message read`…
func messageCommand(s *streams) *cobra.Command {
	return group("message", "compose, read and price texts",
		"Compose a text to the byte, read one field by field, find out why one shows blank, and\nlearn what it costs. Nothing here sends anything.",
		messageWriteCommand(s), messageReadCommand(s), messageWorkshopCommand(s), messagePositionCommand(s), messageCommandsCommand(s))
}

const messageWriteHelp = `
Say what to send for a text, to the byte: the settings in their order, the command, what
follows the prompt, the parts and where they split, what makes the text dearer and what
could stand in its place, what it costs, and the dialogue as a procedure that can be run.

Without TEXT the text is read from standard input; with --fix it is made from a template.
Fields of a template: {lat} {lon} {alt} {pos} {geo} {web} {dm} {time} {speed} {course}
{battery} {place} {accuracy} {age} {name}. A field without a value is an error: what is not
known is never written as 0.

Nothing is sent. Each part is paid when it is.`

type messageWriteOptions struct {
	to        []string
	mode      string
	charset   string
	centre    string
	validity  string
	report    bool
	flash     bool
	national  bool
	replace   bool
	reference int

	position positionOptions
	template string

	tariff string
	price  string
	abroad bool
	every  string

	procedure string
	json      bool
}

// positionOptions are the flags that say where something is; write and position share them.
type positionOptions struct {
	fix      string
	accuracy float64
	web      string
	values   [8]string // in the order of positionValues
}

// positionValues are the fields of a template that are given as they stand.
var positionValues = [8]struct{ name, help string }{
	{"time", "when it was measured, such as 10:15Z"},
	{"speed", "with its unit, such as '62 km/h'"},
	{"course", "with its unit, such as '274 deg'"},
	{"battery", "with its unit, such as 87%"},
	{"place", "a name for the place"},
	{"error", "how far off the fix may be, with its unit; {accuracy} in the template"},
	{"age", "how old the fix is, with its unit"},
	{"name", "which device it is"},
}

func (o *positionOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.fix, "fix", "", "the position, 'lat,lon' or 'lat,lon,altitude in metres'")
	f.Float64Var(&o.accuracy, "accuracy", 5, "what the last decimal may be worth, in metres")
	f.StringVar(&o.web, "web", "", "a web link of your own with {lat} and {lon}; no map service is built in")
	for i, v := range positionValues {
		f.StringVar(&o.values[i], v.name, "", v.help)
	}
}

// given returns the values by the names that stand in templates.
func (o *positionOptions) given() (map[string]string, error) {
	values := map[string]string{}
	for i, v := range positionValues {
		text := o.values[i]
		if text == "" {
			continue
		}
		switch v.name {
		case "speed", "course", "battery", "error", "age":
			if _, err := strconv.ParseFloat(text, 64); err == nil {
				return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--%s %s has no unit", v.name, text), Hints: []string{"--" + v.name + " " + v.help}}
			}
		}
		name := v.name
		if name == "error" {
			name = "accuracy"
		}
		values[name] = text
	}
	return values, nil
}

// usualTemplate is made of what was given.
func (o *positionOptions) usualTemplate(f message.Fix, values map[string]string) string {
	var parts []string
	for _, name := range []string{"name", "place"} {
		if values[name] != "" {
			parts = append(parts, "{"+name+"}")
		}
	}
	if o.web != "" {
		parts = append(parts, "{web}")
	} else {
		parts = append(parts, "{geo}")
	}
	for _, name := range []string{"time", "age", "accuracy", "speed", "course", "battery"} {
		if values[name] != "" {
			parts = append(parts, "{"+name+"}")
		}
	}
	if f.HasAltitude {
		parts = append(parts, "{alt} m")
	}
	return strings.Join(parts, " ")
}

func messageWriteCommand(s *streams) *cobra.Command {
	o := messageWriteOptions{reference: -1}
	c := &cobra.Command{
		Use:   "write [TEXT] --to NUMBER",
		Short: "say what to send for a text, to the byte, and what it costs",
		Long:  exits(messageWriteHelp, exit{statusCannot, "the text cannot be sent as it is, or the order makes no sense"}),
		Example: `  firstfix message write 'trailer 07 is in the yard' --to +12025550143
  firstfix message write --fix 51.710217,-0.307367 --name 'trailer 07' --time 10:15Z --to +12025550143 --price 0.09EUR --every 15m
  firstfix message write 'gate open' --to +12025550143 --mode pdu --procedure gate.yaml`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return runMessageWrite(s, o, args) },
	}
	f := c.Flags()
	f.StringArrayVar(&o.to, "to", nil, "number of a recipient, with + and country code; may be given several times")
	f.StringVar(&o.mode, "mode", "", "text or pdu; without it text mode for one part, PDU mode for a long text")
	f.StringVar(&o.charset, "charset", "", "character set of text mode: GSM, IRA, UCS2 or HEX; without it the safest")
	f.StringVar(&o.centre, "centre", "", "number of the service centre; without it the module's own")
	f.StringVar(&o.validity, "validity", "", "how long the service centre may try: 30m, 24h, 7d, 4w (24h)")
	f.BoolVar(&o.report, "status-report", false, "ask for a status report")
	f.BoolVar(&o.flash, "flash", false, "pop up on the screen, not kept")
	f.BoolVar(&o.national, "national", false, "allow national tables where they save parts (PDU mode; old receivers show other letters)")
	f.BoolVar(&o.replace, "replace", false, "leave out characters that cannot travel instead of refusing the text")
	f.IntVar(&o.reference, "reference", -1, "number that the parts of a long text share, 0 to 255; without it one that follows from the text")
	o.position.flags(f)
	f.StringVar(&o.template, "template", "", "how to write the position, such as '{name} {geo} {time}'")
	f.StringVar(&o.tariff, "tariff", "", "file with your prices (docs/formats/tariff.md)")
	f.StringVar(&o.price, "price", "", "price of a part, such as 0.09EUR")
	f.BoolVar(&o.abroad, "abroad", false, "the device is abroad: the tariff's price for that")
	f.StringVar(&o.every, "every", "", "how often such a text leaves, such as 15m or 1d: the month is worked out")
	f.StringVar(&o.procedure, "procedure", "", "also write the dialogue as a procedure to this file; - writes only that, to standard output")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/message-write.schema.json)")
	return c
}

func runMessageWrite(s *streams, o messageWriteOptions, args []string) error {
	order, err := o.order(s, args)
	if err != nil {
		return err
	}
	w, err := message.Write(order)
	if err != nil {
		return cannotWrite(err)
	}
	if o.procedure != "" {
		p, err := w.Procedure("send-text")
		if err != nil {
			return cannotWrite(err)
		}
		if o.procedure == "-" {
			_, err := s.Out.Write(message.YAML(p))
			return err
		}
		if err := os.WriteFile(o.procedure, message.YAML(p), 0o644); err != nil {
			return &stop{Status: statusCannot, Err: fmt.Errorf("write the procedure: %w", err)}
		}
	}
	if o.json {
		return writeJSON(s.Out, writtenJSON(w))
	}
	showWritten(s.Out, w)
	if o.procedure != "" {
		fmt.Fprintf(s.Out, "\nThe dialogue is in %s; it sends nothing without a spending limit.\n", o.procedure)
	}
	return nil
}

// cannotWrite gives an error of the composer the status of a wrong request.
func cannotWrite(err error) error {
	out := &stop{Status: statusCannot, Err: err}
	var refused *message.RefusedError
	var field *message.TemplateError
	switch {
	case errors.As(err, &refused):
		out.Hints = []string{"--replace leaves out what cannot travel"}
	case errors.As(err, &field):
		out.Hints = []string{"firstfix message write --help lists the fields"}
	}
	return out
}

// order turns the flags into an order.
func (o *messageWriteOptions) order(s *streams, args []string) (message.Order, error) {
	order := message.Order{To: o.to, Mode: message.Mode(strings.ToLower(o.mode)), CharacterSet: o.charset, Centre: o.centre, Report: o.report, Flash: o.flash, National: o.national, Replace: o.replace, Abroad: o.abroad}
	if len(o.to) == 0 {
		return order, &stop{Status: statusCannot, Err: errors.New("nobody to send it to"), Hints: []string{"--to +12025550143 names a recipient"}}
	}
	var err error
	if order.Text, err = o.text(s, args); err != nil {
		return order, err
	}
	if o.reference >= 0 {
		order.Reference = maybe.Known(o.reference)
	}
	if order.Validity, err = period("validity", o.validity); err != nil {
		return order, err
	}
	if order.Every, err = period("every", o.every); err != nil {
		return order, err
	}
	order.Tariff, err = loadTariff(o.tariff, o.price)
	if err == nil && order.Every > 0 && order.Tariff == nil {
		err = &stop{Status: statusCannot, Err: errors.New("--every wants prices"), Hints: []string{"--price 0.09EUR", "--tariff FILE"}}
	}
	return order, err
}

// text is what to send: the argument, standard input, or a filled template.
func (o *messageWriteOptions) text(s *streams, args []string) (string, error) {
	if o.position.fix == "" && o.template == "" {
		if len(args) == 1 && args[0] != "-" {
			return args[0], nil
		}
		all, err := io.ReadAll(io.LimitReader(s.In, message.MaxTextBytes+1))
		if err != nil {
			return "", &stop{Status: statusCannot, Err: fmt.Errorf("read standard input: %w", err)}
		}
		return strings.TrimRight(string(all), "\r\n"), nil
	}
	switch {
	case len(args) > 0:
		return "", &stop{Status: statusCannot, Err: errors.New("a text and a position: give one of them"), Hints: []string{"put the words into --template"}}
	case o.position.fix == "":
		return "", &stop{Status: statusCannot, Err: errors.New("--template wants a position"), Hints: []string{"--fix 51.710217,-0.307367"}}
	}
	values, err := o.position.given()
	if err != nil {
		return "", err
	}
	fix, err := message.ParseFix(o.position.fix)
	if err != nil {
		return "", &stop{Status: statusCannot, Err: err}
	}
	decimals, err := message.Decimals(o.position.accuracy)
	if err != nil {
		return "", &stop{Status: statusCannot, Err: err}
	}
	template := o.template
	if template == "" {
		template = o.position.usualTemplate(fix, values)
	}
	text, _, err := message.Fill(template, fix, decimals, o.position.web, values)
	if err != nil {
		return "", cannotWrite(err)
	}
	return text, nil
}

// period reads a time with a unit: what time.ParseDuration reads, and days and weeks.
func period(flag, text string) (time.Duration, error) {
	if text == "" {
		return 0, nil
	}
	units := map[byte]time.Duration{'d': 24 * time.Hour, 'w': 7 * 24 * time.Hour}
	if unit, ok := units[text[len(text)-1]]; ok {
		if n, err := strconv.ParseUint(text[:len(text)-1], 10, 16); err == nil && n > 0 {
			return time.Duration(n) * unit, nil
		}
	} else if d, err := time.ParseDuration(text); err == nil && d > 0 {
		return d, nil
	}
	return 0, &stop{Status: statusCannot, Err: fmt.Errorf("--%s %q is no time", flag, text), Hints: []string{"30m, 24h, 7d and 4w are times"}}
}

// loadTariff reads the prices: a file, one price, or none.
func loadTariff(file, price string) (*tariff.Tariff, error) {
	switch {
	case file != "" && price != "":
		return nil, &stop{Status: statusCannot, Err: errors.New("--tariff and --price: give one of them")}
	case price != "":
		m, currency, err := tariff.ParsePrice(price)
		if err != nil {
			return nil, &stop{Status: statusCannot, Err: err, Hints: []string{"--price 0.09EUR"}}
		}
		t := tariff.Flat(m, currency)
		return &t, nil
	case file == "":
		return nil, nil
	}
	src, err := os.ReadFile(file)
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("read the tariff: %w", err)}
	}
	var raw tariff.File
	read := yamlfile.Decode(file, src, &raw)
	var t tariff.Tariff
	if read.Err() == nil {
		t = raw.Tariff(read.Add)
	}
	if err := read.Err(); err != nil {
		return nil, &stop{Status: statusCannot, Err: err, Hints: []string{"docs/formats/tariff.md says what a tariff may hold"}}
	}
	return &t, nil
}
