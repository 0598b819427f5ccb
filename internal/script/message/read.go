package message

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// A Message is one message as read.
type Message struct {
	PDU   bool
	Out   bool   // it leaves the device
	Kind  string // "DELIVER", "SUBMIT"… or "text mode"
	Given string // the PDU, or the line with its header
	Body  string // text mode: the text as it passed the line
	Party string // the other side's number or name; "" when not known
	Stamp maybe.Value[sms.Stamp]
	Text  string // readable; "" when nothing can be read
	Part  maybe.Value[sms.Concat]

	Fields []sms.Field // every octet of a PDU; the header's values in text mode, with their offsets
	Fault  *sms.Fault  // where reading stopped
	Notes  []Note
	Shown  sms.Effect // what a handset shows
	Blames []Blame    // why it would show blank, garbled, flash or not at all

	Head  sms.PDU          // the message, or what text mode tells of it; for putting parts together
	Index maybe.Value[int] // place in the store it was read from
}

func (m *Message) note(clause, format string, a ...any) {
	m.Notes = append(m.Notes, Note{Text: fmt.Sprintf(format, a...), Clause: clause})
}

// Read reads a PDU of which nobody says which way it travels.
func Read(hex string) *Message {
	hex = strings.Join(strings.Fields(hex), "")
	g := sms.GuessPDU(hex)
	m := ofPDU(&g.PDU, g.Err, g.ToNetwork)
	switch {
	case g.WithoutCentre:
		m.note("TS 27.005 3.1 <pdu>", "no service-centre part stands in front: +CMGS and +CMT carry one")
	case g.Sure:
	case g.Err == nil:
		m.note("", "read as a message that %s; it may be another, or no message at all", wayWords(g.ToNetwork))
	}
	return m
}

func wayWords(toNetwork bool) string {
	if toNetwork {
		return "is sent"
	}
	return "arrives"
}

// ReadPDU reads a PDU that is sent (toNetwork) or arrives. told is the length that
// its command or header gave; 0 when there was none.
func ReadPDU(hex string, toNetwork bool, told int) *Message {
	p, err := sms.Decode(strings.Join(strings.Fields(hex), ""), toNetwork)
	m := ofPDU(&p, err, toNetwork)
	if told > 0 && told != p.TPDUOctets {
		b := Blame{Field: FieldLength, Value: strconv.Itoa(told), Clause: "TS 27.005 4.3",
			Why: fmt.Sprintf("the length was given as %d, but %d octets stand behind the service-centre part", told, p.TPDUOctets), Instead: strconv.Itoa(p.TPDUOctets)}
		if toNetwork {
			b.Why += ": +CMS ERROR 304 is the usual answer"
			m.Shown = sms.Effect{How: sms.HowRefused, Why: b.Why, Clause: b.Clause}
		}
		m.Blames = append([]Blame{b}, m.Blames...)
	}
	return m
}

// ofPDU makes a message of a decoded PDU.
func ofPDU(p *sms.PDU, err error, toNetwork bool) *Message {
	m := &Message{PDU: true, Out: toNetwork, Kind: p.Kind.String(), Given: p.Hex, Party: p.Address.String(), Text: p.Text(), Fields: p.Anatomy(err), Head: *p}
	if !errors.As(err, &m.Fault) {
		m.Fault = nil
	}
	if p.Has(sms.PartStamp) {
		m.Stamp = maybe.Known(p.Stamp)
	}
	if c, ok := p.Data.Header.Concat(); ok {
		m.Part = maybe.Known(c)
	}
	for _, n := range p.Notes {
		m.note(n.Clause, "octet %d: %s", n.At, n.Text)
	}
	m.Shown, m.Blames = judgePDU(p, m.Fault)
	remarkPDU(m, p)
	m.positions()
	return m
}

// coarseM is a step of the last digit from which a position is of little use on a yard
// (our estimate).
const coarseM = 20

// positions adds what is wrong with a position that the text tells.
func (m *Message) positions() {
	const enough = 3
	for _, r := range geo.FindAll(m.Text, enough) {
		latM, _ := geo.ResolutionM(r.Point.LatDeg, 0)
		switch stepM := latM * r.StepDeg; {
		case r.Point == (geo.Point{}):
			m.note(practice, "the position is 0,0: that is what a receiver without a fix prints, and no place")
		case !r.Point.Valid():
			m.note("RFC 5870 3.4.2", "%s,%s is no place: latitude comes first", r.LatText, r.LonText)
		case stepM > coarseM:
			m.note(practice, "the position has so few digits that one step is %s on the ground", geo.FormatMetres(stepM))
		}
	}
}

// remarkPDU adds what a person should know of a message that is shown.
func remarkPDU(m *Message, p *sms.PDU) {
	if period, ok := p.Validity.Period().Get(); ok && p.Kind == sms.KindSubmit && period <= shortValidity {
		m.note("TS 23.040 9.2.3.12.1", "it expires after %s: a telephone that is off for longer never gets it", p.Validity)
	}
	if until, ok := p.Validity.Until(); ok && p.Kind == sms.KindSubmit {
		if _, isDate := until.Time(); !isDate {
			m.Blames = append(m.Blames, Blame{Field: FieldVP, Value: until.String(), Why: "the end of the validity is no date: the network may refuse it", Clause: "TS 23.040 9.2.3.12.2"})
		}
	}
	if s := p.Data.Header.Shift(); s != (sms.Shift{}) {
		m.note("TS 23.038 6.2.1.2", "national tables are used (locking %s, single %s): a receiver that does not know them shows other letters", s.Locking, s.Single)
	}
	if c, ok := m.Part.Get(); ok {
		m.note("TS 23.040 9.2.3.24.1", "part %d of %d of a long text, reference %d", c.Part, c.Total, c.Reference)
	}
	if p.Kind == sms.KindStatusReport {
		words := "the text did not arrive"
		if p.Status.Delivered() {
			words = "the text arrived, or left for where nothing more is heard"
		} else if p.Status.Trying() {
			words = "the service centre is still trying"
		}
		m.note("TS 23.040 9.2.3.15", "%s: %s; it speaks of the text with reference %d", words, p.Status, p.Reference)
	}
}

// shortValidity is a time in which a telephone is easily without service (our estimate).
const shortValidity = 15 * time.Minute

// Settings are what the module was told before a message passed in text mode. What
// was never seen is not known, and its usual value is believed.
type Settings struct {
	CharacterSet   string           // +CSCS; "" when not known
	FirstOctet     maybe.Value[int] // +CSMP, for what is sent
	Validity       maybe.Value[int] // sms.QuotedValidity for a quoted one
	PID            maybe.Value[int]
	DCS            maybe.Value[int]
	QuotedValidity string // the quoted one
}

// SettingsOf reads the values of +CSMP and +CSCS as they stand in a command or an answer.
func SettingsOf(csmp, cscs string) Settings {
	s := Settings{CharacterSet: strings.ToUpper(strings.Trim(cscs, `" `))}
	p := at.SplitParams(csmp)
	s.FirstOctet, s.PID, s.DCS = octetAt(p, 0), octetAt(p, 2), octetAt(p, 3)
	if len(p) > 1 && p[1].Quoted {
		s.Validity, s.QuotedValidity = maybe.Known(sms.QuotedValidity), p[1].Text
	} else {
		s.Validity = octetAt(p, 1)
	}
	return s
}

// octetAt reads parameter n, 0 to 255.
func octetAt(p []at.Param, n int) maybe.Value[int] {
	if n >= len(p) || p[n].Quoted {
		return maybe.Value[int]{}
	}
	v, err := strconv.Atoi(p[n].Text)
	if err != nil || v < 0 || v > 255 {
		return maybe.Value[int]{}
	}
	return maybe.Known(v)
}

// The values that +CSMP has before anybody sets it, TS 27.005 clause 3.3.2.
const (
	usualFO = 17
	usualVP = 167
)

// ReadTyped reads a text that a controller typed at the prompt in text mode. command
// is the +CMGS or +CMGW line, typed what stood between the prompt and Ctrl-Z.
func ReadTyped(command, typed string, s Settings) *Message {
	m := &Message{Out: true, Kind: "text mode", Given: command, Body: typed}
	line := at.ParseLine(command)
	for _, name := range [...]string{"+CMGS", "+CMGW"} { // TS 27.005 clauses 3.5.1 and 3.5.3
		if c, ok := line.Find(name); ok && len(c.Params) > 0 {
			m.Redirect(c.Params[0].Text, s)
		}
	}
	fo, vp := s.FirstOctet.Or(usualFO), s.Validity.Or(usualVP)
	pid, dcs := s.PID.Or(0), s.DCS.Or(0)
	if !s.FirstOctet.IsKnown() {
		m.note("TS 27.005 3.3.2", "+CSMP was not seen: 17,167,0,0 is believed, but a leftover setting would change everything (%s)", practice)
	}
	m.Shown, m.Blames = judgeTyped(typing{fo, vp, pid, dcs, s.CharacterSet, typed})
	if m.Text = m.Shown.Shown; m.Shown.How == sms.HowGarbled {
		m.Text = typed
	}
	m.Fields = parameterFields(fo, vp, pid, dcs, s)
	m.Head = sms.PDU{Kind: sms.KindSubmit, Address: sms.NewAddress(m.Party)}
	m.Head.Data.Text = m.Text
	m.positions()
	return m
}

// Redirect says that the message goes to another receiver than its own: number as it
// stands in a command while s was set.
func (m *Message) Redirect(number string, s Settings) {
	m.Party = fromSet(number, s.CharacterSet)
	m.Head.Address = sms.NewAddress(m.Party)
}

// AddNote adds what the caller knows of the message.
func (m *Message) AddNote(clause, format string, a ...any) { m.note(clause, format, a...) }

// parameterFields puts the four numbers of +CSMP into words.
func parameterFields(fo, vp, pid, dcs int, s Settings) []sms.Field {
	known := func(v maybe.Value[int]) string {
		if v.IsKnown() {
			return ""
		}
		return " (not seen: the usual value)"
	}
	first := sms.ReadFirstOctet(byte(fo), sms.ToNetwork)
	fields := []sms.Field{
		{At: -1, Name: "fo", Value: strconv.Itoa(fo), Meaning: first.String() + known(s.FirstOctet), Clause: "TS 27.005 3.3.2, TS 23.040 9.2.2.2"},
		{At: -1, Name: "vp", Value: strconv.Itoa(vp), Meaning: validityWords(first.Validity, vp, s.QuotedValidity) + known(s.Validity), Clause: "TS 23.040 9.2.3.12"},
		{At: -1, Name: "pid", Value: strconv.Itoa(pid), Meaning: sms.ReadPID(byte(pid)) + known(s.PID), Clause: "TS 23.040 9.2.3.9"},
		{At: -1, Name: "dcs", Value: strconv.Itoa(dcs), Meaning: sms.ReadDCS(byte(dcs)).Text + known(s.DCS), Clause: "TS 23.038 4"},
	}
	if vp == sms.QuotedValidity {
		fields[1].Value = strconv.Quote(s.QuotedValidity)
	}
	if s.CharacterSet != "" {
		fields = append(fields, sms.Field{At: -1, Name: "+CSCS", Value: s.CharacterSet, Meaning: setWords(s.CharacterSet), Clause: "TS 27.007 5.5"})
	}
	return fields
}

// setWords says what a character set means for what is typed.
func setWords(set string) string {
	switch set {
	case SetGSM:
		return "octets are septets of the default alphabet"
	case SetIRA:
		return "ASCII, which the module converts"
	case SetUCS2:
		return "four hex digits for each character, in numbers too"
	case SetHEX:
		return "two hex digits for each septet, in numbers too"
	}
	return "a character set that the module converts"
}

// validityWords reads <vp> of +CSMP; fo says in which form it stands.
func validityWords(form sms.ValidityForm, vp int, quotedText string) string {
	switch {
	case form == sms.FormNone:
		return "not used: fo says that there is no validity period"
	case form == sms.FormRelative && vp >= 0:
		return "the service centre tries for " + sms.ValidOctet(byte(vp)).String()
	case form == sms.FormAbsolute && vp < 0:
		if stamp, ok := sms.ParseTextMode(quotedText); ok {
			return "the service centre tries until " + stamp.String()
		}
		return "no time that can be read"
	case form == sms.FormEnhanced && vp < 0:
		return "seven octets in hex, the enhanced form"
	case vp < 0:
		return "a quoted text, but fo wants a number here"
	}
	return "a number, but fo wants a quoted text here"
}
