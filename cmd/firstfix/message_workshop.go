package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"firstfix/internal/report"
	"firstfix/internal/script/message"
	"firstfix/internal/wire/sms"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"
)

const messageWorkshopHelp = `
From the four numbers of AT+CSMP to words and back, and what a handset shows of a text that
is typed under them.

The numbers are first octet, validity, protocol, data coding, as in 17,167,0,8. Flags change
them or, without numbers, begin from the usual 17,167,0,0. If the text would not show as
typed, it is said which of the numbers is to blame.`

type messageWorkshopOptions struct {
	text     string
	charset  string
	validity string
	report   bool
	flash    bool
	reply    bool
	reject   bool
	coding   string
	class    int
	replaces int
	json     bool
}

func messageWorkshopCommand(s *streams) *cobra.Command {
	var o messageWorkshopOptions
	c := &cobra.Command{
		Use:   "workshop [FO,VP,PID,DCS]",
		Short: "put the numbers of +CSMP into words and back, and show their effect",
		Long:  exits(messageWorkshopHelp, exit{statusFound, "the text would not show as it was typed"}, exit{statusCannot, "these are no four numbers"}),
		Example: `  firstfix message workshop 17,167,0,8 --text Hello
  firstfix message workshop --validity 24h --status-report --coding ucs2
  firstfix message workshop 17,167,0,0 --text 'battery [low]' --charset GSM`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return runMessageWorkshop(s, o, args) },
	}
	f := c.Flags()
	f.StringVar(&o.text, "text", "Hello", "what is typed at the prompt")
	f.StringVar(&o.charset, "charset", "", "the +CSCS in force; without it GSM")
	f.StringVar(&o.validity, "validity", "", "how long the service centre may try: 30m, 24h, 7d, 4w; none for the centre's own")
	f.BoolVar(&o.report, "status-report", false, "ask for a status report")
	f.BoolVar(&o.flash, "flash", false, "pop up on the screen: class 0")
	f.BoolVar(&o.reply, "reply-path", false, "the answer may use the same service centre")
	f.BoolVar(&o.reject, "reject-duplicates", false, "the service centre drops a copy it still holds")
	f.StringVar(&o.coding, "coding", "", "gsm7, data8 or ucs2")
	f.IntVar(&o.class, "class", -1, "message class 0 to 3")
	f.IntVar(&o.replaces, "replaces", 0, "overwrite the older text of this kind, 1 to 7")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/message-workshop.schema.json)")
	return c
}

func runMessageWorkshop(s *streams, o messageWorkshopOptions, args []string) error {
	numbers := "17,167,0,0"
	if len(args) == 1 {
		numbers = strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(args[0]), "AT"), "+CSMP=")
	}
	p, err := message.ParseParameters(numbers)
	if err != nil {
		return &stop{Status: statusCannot, Err: err, Hints: []string{"firstfix message workshop 17,167,0,0"}}
	}
	if err := o.change(&p); err != nil {
		return err
	}
	got := message.TryOut(p, o.text, o.charset)
	if o.json {
		if err := writeJSON(s.Out, workshopJSON(p, got, o)); err != nil {
			return err
		}
	} else {
		showWorkshop(s.Out, p, got, o)
	}
	if len(got.Blames) > 0 {
		return &stop{Status: statusFound}
	}
	return nil
}

// change applies the flags.
func (o *messageWorkshopOptions) change(p *message.Parameters) error {
	cannot := func(format string, a ...any) error {
		return &stop{Status: statusCannot, Err: fmt.Errorf(format, a...)}
	}
	switch o.validity {
	case "":
	case "none":
		p.NoValidity()
	default:
		d, err := period("validity", o.validity)
		if err != nil {
			return err
		}
		p.SetValidity(d)
	}
	if o.report {
		p.FO |= 0x20 // TS 23.040 9.2.3.5
	}
	if o.reply {
		p.FO |= 0x80 // 9.2.3.17
	}
	if o.reject {
		p.FO |= 0x04 // 9.2.3.25
	}
	if o.coding != "" && !p.SetAlphabet(o.coding) {
		return cannot("--coding %q: want gsm7, data8 or ucs2", o.coding)
	}
	if o.flash {
		o.class = 0
	}
	if o.class >= 0 && !p.SetClass(o.class) {
		return cannot("--class %d: want 0 to 3", o.class)
	}
	if o.replaces != 0 {
		if o.replaces < 1 || o.replaces > 7 {
			return &stop{Status: statusCannot, Err: errors.New("--replaces wants 1 to 7")}
		}
		p.PID = 0x40 + o.replaces // 9.2.3.9
	}
	return nil
}

func showWorkshop(out io.Writer, p message.Parameters, got message.Tried, o messageWorkshopOptions) {
	fmt.Fprintf(out, "AT+CSMP=%s\n", p)
	for _, f := range got.Fields {
		hanging(out, "  "+padded(f.Name, 5)+"  "+padded(f.Value, 5)+"  ", sourced(f.Meaning, f.Clause))
	}
	fmt.Fprintf(out, "\nTyped at the prompt: %s\n", report.Visible(o.text))
	screen(out, got.Effect)
	if got.Effect.Why != "" || got.Effect.How != sms.HowPlain {
		hanging(out, "  ", shownWords(got.Effect))
	}
	for _, b := range got.Blames {
		words := fmt.Sprintf("the %s is %s", b.Field, b.Value)
		if b.Instead != "" {
			words += "; with " + b.Instead + " it would show"
		}
		hanging(out, "  blame: ", words)
	}
	for _, c := range got.Changes {
		with := "becomes " + strconv.Quote(c.Becomes)
		if c.Becomes == "" {
			with = "is lost"
		} else if c.Becomes == string(c.Rune) {
			with = "may change"
		}
		hanging(out, "  on the way: ", sourced(fmt.Sprintf("%q at octet %d %s: %s", c.Rune, c.At, with, c.Why), c.Clause))
	}
}

// screenColumns is how wide the drawn screen is: narrow, as a telephone's.
const screenColumns = 34

// screen draws what a handset shows.
func screen(out io.Writer, e sms.Effect) {
	lines := []string{""}
	switch {
	case e.How == sms.HowNeverShown, e.How == sms.HowRefused:
		lines = []string{"", "(nothing arrives on the screen)", ""}
	case e.How == sms.HowIconOnly:
		lines = []string{"", "(an icon, no text)", ""}
	case e.Shown != "":
		lines = strings.Split(ansi.Wordwrap(report.Visible(strings.ReplaceAll(e.Shown, "\n", " ")), screenColumns, ""), "\n")
	}
	edge := strings.Repeat("─", screenColumns+2)
	top := "┌" + edge + "┐"
	if e.How == sms.HowFlash {
		top = "┌── not kept " + strings.Repeat("─", screenColumns+2-len("── not kept ")+4) + "┐"
	}
	fmt.Fprintf(out, "  %s\n", top)
	for _, l := range lines {
		for _, piece := range wrapped(l, screenColumns) {
			fmt.Fprintf(out, "  │ %s │\n", padded(piece, screenColumns))
		}
	}
	fmt.Fprintf(out, "  └%s┘\n", edge)
}

type changeJSON struct {
	At      int    `json:"at"`
	Was     string `json:"was"`
	Becomes string `json:"becomes"`
	Sure    bool   `json:"sure"`
	Why     string `json:"why"`
	Clause  string `json:"clause"`
}

type workshopShape struct {
	Version int          `json:"version"`
	CSMP    string       `json:"csmp"`
	Command string       `json:"command"`
	Fields  []fieldJSON  `json:"fields"`
	Typed   string       `json:"typed"`
	Charset string       `json:"characterSet"`
	Shown   shownJSON    `json:"shown"`
	Blames  []blameJSON  `json:"blames"`
	Changes []changeJSON `json:"changes"`
}

func workshopJSON(p message.Parameters, got message.Tried, o messageWorkshopOptions) workshopShape {
	out := workshopShape{Version: 1, CSMP: p.String(), Command: "AT+CSMP=" + p.String() + "\r", Fields: fieldsJSON(got.Fields), Typed: o.text, Charset: got.CharacterSet,
		Shown: effectJSON(got.Effect), Blames: blamesJSON(got.Blames), Changes: []changeJSON{}}
	for _, c := range got.Changes {
		out.Changes = append(out.Changes, changeJSON{c.At, string(c.Rune), c.Becomes, c.Sure, c.Why, c.Clause})
	}
	return out
}
