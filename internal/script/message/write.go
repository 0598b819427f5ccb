package message

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/plan/tariff"
	"firstfix/internal/wire/sms"
)

// Mode is how a message passes the line: TS 27.005 clause 3.2.3, +CMGF.
type Mode string

// The modes.
const (
	TextMode Mode = "text" // +CMGF=1: the module builds the message
	PDUMode  Mode = "pdu"  // +CMGF=0: the controller writes every octet
)

// An Order says what is to be sent, and how. Only To and Text are needed.
type Order struct {
	To           []string
	Text         string
	Mode         Mode   // "": text mode for one part, PDU mode for a long text
	CharacterSet string // text mode: GSM, IRA, UCS2 or HEX; "" chooses
	Centre       string // number of the service centre; "" keeps the module's own
	Validity     time.Duration
	Report       bool // ask for a status report
	Flash        bool // class 0: pops up and is not kept
	National     bool // PDU mode: national tables where they save parts
	Replace      bool // leave out what cannot travel; otherwise it is refused
	Reference    maybe.Value[int]

	Tariff *tariff.Tariff
	Abroad bool          // the device is abroad: the tariff's other price
	Every  time.Duration // how often such a text leaves, for a month's cost; 0: once
}

// Limits, each with its reason.
const (
	// DefaultValidity is the value that +CSMP has before anybody sets it: 167, TS 27.005 3.3.2.
	DefaultValidity = 24 * time.Hour
	// MaxRecipients bounds one order: who writes to more wants another service.
	MaxRecipients = 50
	// MaxMessages bounds what one order sends: a procedure has at most a thousand steps.
	MaxMessages = 500
	// MaxTextBytes is more than 255 parts of 153 characters in UTF-8 hold.
	MaxTextBytes = 160 << 10
)

// Written is a text ready to be sent.
type Written struct {
	Mode         Mode
	Text         string // as it travels
	To           []sms.Number
	Fit          sms.Fit // as one text, however it is cut
	CharacterSet string  // text mode
	Parameters   [4]int  // fo, vp, pid, dcs: what +CSMP gets in text mode, what stands in the PDU
	Validity     time.Duration
	Parts        []Part
	Exchanges    []Exchange // in order: settings first, then the texts of each recipient
	Shown        sms.Effect // what a handset shows of it
	Forcers      []Forcer
	Cheaper      *Cheaper
	Cost         *Cost
	Notes        []Note
	Changed      []Trouble // what was left out, with Replace
}

// A Part is one message that is paid.
type Part struct {
	Text     string // as the recipient sees it, numbering included
	From, To int    // octets of Written.Text
	Units    int    // septets or 16-bit units
	Room     int    // that fit
	PDU      string // PDU mode, to the first recipient
	Length   int    // PDU mode, what +CMGS is told
}

// Cheaper is the same text in fewer parts.
type Cheaper struct {
	Text  string
	Parts int
	Same  bool // it means the same; otherwise letters lost their marks
}

// A Note is something to know, with its source.
type Note struct {
	Text   string
	Clause string
}

func (w *Written) note(clause, format string, a ...any) {
	w.Notes = append(w.Notes, Note{Text: fmt.Sprintf(format, a...), Clause: clause})
}

// A RefusedError is a text that holds what cannot travel.
type RefusedError struct{ Troubles []Trouble }

func (e *RefusedError) Error() string {
	var words []string
	for _, t := range e.Troubles {
		words = append(words, fmt.Sprintf("octet %d, %s: %s", t.At, t.Had, t.Why))
		if len(words) == 3 && len(e.Troubles) > 3 {
			words = append(words, fmt.Sprintf("and %d more", len(e.Troubles)-3))
			break
		}
	}
	return "message: the text cannot be sent as it is: " + strings.Join(words, "; ")
}

// An OrderError is an order that cannot be carried out.
type OrderError struct{ Field, Had, Want string }

func (e *OrderError) Error() string {
	return fmt.Sprintf("message: %s: %s: want %s", e.Field, e.Had, e.Want)
}

// Write says what to send for an order, to the byte.
func Write(o Order) (*Written, error) {
	w := &Written{Validity: o.Validity}
	if err := w.take(&o); err != nil {
		return nil, err
	}
	w.Fit = sms.MeasureWith(w.Text, o.split())
	w.Forcers = Forcers(w.Text)
	switch w.Mode = o.Mode; {
	case w.Mode == "" && sms.Measure(w.Text).Parts > 1:
		w.Mode = PDUMode
		w.note("TS 23.040 9.2.3.24.1", "a long text goes in PDU mode: text mode has no parts that a telephone joins")
	case w.Mode == "":
		w.Mode = TextMode
	}
	var err error
	switch w.Mode {
	case TextMode:
		err = w.writeText(&o)
	case PDUMode:
		err = w.writePDUs(&o)
	default:
		err = &OrderError{"mode", fmt.Sprintf("%q", o.Mode), "text or pdu"}
	}
	if err != nil {
		return nil, err
	}
	w.setBack()
	if n := len(w.Parts) * len(w.To); n > MaxMessages {
		return nil, &OrderError{"text", fmt.Sprintf("%d messages", n), fmt.Sprintf("at most %d in one order", MaxMessages)}
	}
	w.offer(&o)
	if err := w.price(&o); err != nil {
		return nil, err
	}
	w.remark(&o)
	return w, nil
}

// take checks what was ordered.
func (w *Written) take(o *Order) error {
	switch {
	case len(o.To) == 0:
		return &OrderError{"to", "nobody", "at least one number"}
	case len(o.To) > MaxRecipients:
		return &OrderError{"to", fmt.Sprintf("%d numbers", len(o.To)), fmt.Sprintf("at most %d", MaxRecipients)}
	case len(o.Text) > MaxTextBytes:
		return &OrderError{"text", fmt.Sprintf("%d bytes", len(o.Text)), fmt.Sprintf("at most %d", MaxTextBytes)}
	case o.Validity < 0 || o.Validity > 63*7*24*time.Hour:
		return &OrderError{"validity", o.Validity.String(), "5 minutes to 63 weeks (TS 23.040 9.2.3.12.1)"}
	case o.Every < 0:
		return &OrderError{"every", o.Every.String(), "a time above 0"}
	}
	if w.Validity == 0 {
		w.Validity = DefaultValidity
	}
	for _, to := range o.To {
		n := sms.ReadNumber(to)
		if n.Name || len(digits(n.Normal)) == 0 || len(digits(n.Normal)) > 20 || strings.ContainsAny(n.Normal, "*#") {
			return &OrderError{"to", fmt.Sprintf("%q", to), "a telephone number, best with + and the country code"}
		}
		w.To = append(w.To, n)
	}
	if o.Centre != "" {
		if n := sms.ReadNumber(o.Centre); n.Name || len(digits(n.Normal)) < 3 || len(digits(n.Normal)) > 20 {
			return &OrderError{"centre", fmt.Sprintf("%q", o.Centre), "the number of a service centre, with + and the country code"}
		}
	}
	var troubles []Trouble
	w.Text, troubles = Clean(o.Text)
	if len(troubles) > 0 && !o.Replace {
		return &RefusedError{troubles}
	}
	w.Changed = troubles
	if w.Text == "" {
		return &OrderError{"text", "nothing", "a text: an empty one arrives blank, and is paid"}
	}
	return nil
}

func digits(number string) string { return strings.TrimPrefix(number, "+") }

// split says how a long text is cut.
func (o *Order) split() sms.Options {
	options := sms.Options{National: o.National && o.Mode != TextMode, Reference: o.Reference.Or(referenceOf(o))}
	if o.Flash {
		options.Class = maybe.Known(0)
	}
	return options
}

// referenceOf is the number that the parts of a text share. It follows from the text,
// so that two different texts to one person hardly ever get the same one
// and the same order gives the same bytes (FNV-1a, folded to eight bits).
func referenceOf(o *Order) int {
	hash := uint32(2166136261)
	for i := range len(o.Text) {
		hash = (hash ^ uint32(o.Text[i])) * 16777619
	}
	return int((hash ^ hash>>8 ^ hash>>16 ^ hash>>24) & 0xFF)
}

// firstOctet is fo with a relative validity, TS 23.040 clause 9.2.2.2.
func (o *Order) firstOctet() int {
	const submit, relative, report = 1, 0x10, 0x20
	if o.Report {
		return submit | relative | report
	}
	return submit | relative
}

// offer finds a cheaper way to say the same.
func (w *Written) offer(o *Order) {
	paid := len(w.Parts)
	for _, nearToo := range []bool{false, true} {
		text := Substituted(w.Text, nearToo)
		if f := sms.MeasureWith(text, o.split()); text != w.Text && f.Parts < paid {
			w.Cheaper = &Cheaper{Text: text, Parts: f.Parts, Same: !nearToo}
			return
		}
	}
}

// remark adds what a person should know before sending.
func (w *Written) remark(o *Order) {
	for _, n := range w.To {
		for _, p := range n.Problems {
			w.note("", "the number %s: %s", n.Given, p)
		}
	}
	f := &w.Fit
	if strings.Contains(w.Text, "\n") && w.Mode == TextMode && !f.InOctets() && w.CharacterSet != SetUCS2 {
		w.note(practice, "a line break is typed as LF: a CR would bring another prompt, and some modules leave the LF out; PDU mode is exact")
	}
	if w.CharacterSet == SetUCS2 && !f.InOctets() {
		w.note(practice, "modules differ in how they convert characters typed in hex under data coding 0; PDU mode is exact")
	}
	if f.Extension > 0 {
		w.note("TS 23.038 6.2.1.1", "%d characters cost two places each: of ^ { } \\ [ ~ ] | and the euro sign", f.Extension)
	}
	if f.Surrogates > 0 {
		w.note("TS 23.038 6.2.3", "%d characters lie outside 16 bits and take two places; the standard has no such characters, handsets mostly show them ("+practice+")", f.Surrogates)
	}
	if f.Shift != (sms.Shift{}) {
		w.note("TS 23.038 6.2.1.2", "national tables are used (%s, %s): old receivers show other letters", f.Shift.Locking, f.Shift.Single)
	}
	if over := f.Units - roomAlone(f); f.Parts == 2 && over > 0 && over <= 20 {
		w.note("TS 23.040 9.2.3.16", "%d characters less, and it is one part", over)
	}
	if o.Report {
		w.note("TS 23.040 9.2.3.5", "a status report is asked for: +CNMI must bring it (ds 1 or 2), and some tariffs charge it")
	}
	if o.Flash {
		w.note("TS 23.038 4", "class 0 pops up on the screen and usually is not kept: the person cannot read it again")
	}
	if _, hex := sms.LooksUCS2Hex(w.Text); hex && !f.InOctets() {
		w.note("TS 27.005 3.1 <data>", "the text is hex digits only: some receivers of it may take it for a coded text")
	}
}
