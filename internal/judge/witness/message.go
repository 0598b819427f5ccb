package witness

import (
	"encoding/hex"
	"strconv"
	"strings"

	"firstfix/internal/maybe"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// texted takes in a text that is on its way.
func (w *Witness) texted(x *dialogue.Exchange) {
	const cancelled = 0x1B // 27.005 3.5.1
	if x.Text.IsZero() || x.TextEnd == cancelled {
		return
	}
	if c, ok := x.Parsed.Find("+CMGS"); ok {
		m := w.outgoing(x, &c)
		w.sending = m
		w.seen.Messages = append(w.seen.Messages, m)
		body := m.Body
		if body == "" {
			body = m.Raw
		}
		w.positions(x.Text, body, m)
		return
	}
	w.positions(x.Text, x.Text.Text, nil)
}

// Accepted says what the network said to the text of an exchange: taken only
// with "+CMGS: <mr>" and OK (27.005 3.5.1, 4.3). OK alone says nothing.
func Accepted(x *dialogue.Exchange) maybe.Value[bool] {
	switch {
	case x.Result.Failed():
		return maybe.Known(false)
	case x.Result.Kind == at.OK:
		for _, line := range x.Info {
			if name, _ := at.AnswerName(line.Text); name == "+CMGS" || name == "+CMSS" {
				return maybe.Known(true)
			}
		}
	}
	return maybe.Value[bool]{}
}

// outgoing reads the message of a +CMGS: its argument is an address in text
// mode (27.005 3.5.1) and a length in PDU mode (4.3).
func (w *Witness) outgoing(x *dialogue.Exchange, c *at.Command) *Message {
	m := &Message{X: x, Line: x.Text, Head: x.Command, Out: true, Raw: x.Text.Text}
	m.CharacterSet = w.characterSet(x)
	if w.sentAsPDU(x, c) {
		m.PDU = true
		pdu, err := sms.Decode(m.Raw, sms.ToNetwork)
		m.fromPDU(&pdu, err)
		return m
	}
	if len(c.Params) > 0 {
		m.Party = inSet(c.Params[0].Text, m.CharacterSet)
	}
	m.parameters(w, x)
	m.decodeText()
	return m
}

// sentAsPDU decides by +CMGF where it is known, otherwise by what is written.
func (w *Witness) sentAsPDU(x *dialogue.Exchange, c *at.Command) bool {
	length := len(c.Params) > 0 && !c.Params[0].Quoted && len(c.Params[0].Text) <= 3 && isHex(x.Text.Text) && len(x.Text.Text) >= 20
	if mode, ok := w.inForce("+CMGF", x); ok && first(mode) == "1" {
		return false
	}
	return length
}

// parameters takes the +CSMP that is in force: first octet, validity, protocol, coding.
func (m *Message) parameters(w *Witness, x *dialogue.Exchange) {
	value, ok := w.inForce("+CSMP", x)
	if !ok {
		return
	}
	p := at.SplitParams(value)
	m.FirstOctet, m.PID, m.DCS = octet(p, 0), octet(p, 2), octet(p, 3)
}

// octet reads parameter n, 0 to 255.
func octet(p []at.Param, n int) maybe.Value[int] {
	if n >= len(p) {
		return maybe.Value[int]{}
	}
	v, err := strconv.Atoi(p[n].Text)
	if err != nil || v < 0 || v > 255 {
		return maybe.Value[int]{}
	}
	return maybe.Known(v)
}

func (w *Witness) characterSet(x *dialogue.Exchange) string {
	v, _ := w.inForce("+CSCS", x)
	return strings.ToUpper(first(v))
}

// fromPDU takes what a PDU says.
func (m *Message) fromPDU(p *sms.PDU, err error) {
	m.Body = p.Data.Text
	if err != nil {
		m.Problem = err.Error()
	}
	m.Party = p.Address.String()
	if p.Has(sms.PartFirst) {
		m.FirstOctet = maybe.Known(int(p.First.Octet))
	}
	if p.Has(sms.PartPID) {
		m.PID = maybe.Known(int(p.PID))
	}
	if p.Has(sms.PartDCS) {
		m.DCS = maybe.Known(int(p.Coding.DCS))
	}
	if t, ok := p.Stamp.Time(); ok && p.Has(sms.PartStamp) {
		m.Stamp = maybe.Known(t)
	}
}

// decodeText finds out what a text of text mode says, and to whom. With 8-bit
// or UCS-2 coding it is hex pairs (27.005 3.1, <data>); with +CSCS="UCS2" or
// "HEX" it is hex digits of that set.
func (m *Message) decodeText() {
	if m.Out {
		m.decodeOutgoing()
		return
	}
	dcs, known := m.DCS.Get()
	wide := known && sms.ReadDCS(byte(dcs)).ReadAs() == sms.UCS2
	text, ok := sms.FromUCS2Hex(m.Raw)
	switch {
	case m.CharacterSet == "UCS2" && ok:
		m.Body = text
	case m.CharacterSet == "HEX" && isHex(m.Raw):
		b, _ := hex.DecodeString(m.Raw)
		m.Body = string(b)
	case wide && ok:
		m.Body, m.Problem = text, cameAsHex
	default:
		m.Body = m.Raw
		if text, ok := sms.LooksUCS2Hex(m.Raw); ok {
			m.Body, m.Problem = text, cameAsHex
		}
	}
}

const cameAsHex = "the text came as hex digits of UCS-2"

// Values of +CSMP where none was seen: its defaults, 27.005 3.3.2.
const (
	usualFirstOctet = 17
	usualValidity   = 167
)

// decodeOutgoing asks what a handset would show.
func (m *Message) decodeOutgoing() {
	fo, vp := m.FirstOctet.Or(usualFirstOctet), usualValidity
	if form := sms.ReadFirstOctet(byte(fo), sms.ToNetwork).Validity; form == sms.FormAbsolute || form == sms.FormEnhanced {
		vp = sms.QuotedValidity // which of the two was written is in +CSMP; refusing it is the module's business
	}
	m.Effect = sms.Workshop(fo, vp, m.PID.Or(0), m.DCS.Or(0), m.Raw, m.CharacterSet)
	m.Body = m.Raw
	if m.Effect.How == sms.HowPlain || m.Effect.How == sms.HowFlash || m.Effect.How == sms.HowReplaces {
		if text, ok := sms.FromUCS2Hex(m.Raw); ok && m.Effect.Shown == text {
			m.Body = text
		}
	}
	if m.Effect.How != sms.HowPlain {
		m.Problem = m.Effect.Why
	}
}

// incoming takes in messages that an answer holds: +CMGR (27.005 3.4.3, 4.2)
// and +CMGL (3.4.2, 4.1). A header line is followed by text up to the next
// header; text may be of several lines.
func (w *Witness) incoming(x *dialogue.Exchange) {
	if len(x.Info) == 0 || !x.Is("+CMGR") && !x.Is("+CMGL") {
		return
	}
	for i := 0; i < len(x.Info); i++ {
		name, _ := at.AnswerName(x.Info[i].Text)
		if name != "+CMGR" && name != "+CMGL" {
			continue
		}
		end := i + 1
		for end < len(x.Info) && (name == "+CMGR" || !strings.HasPrefix(x.Info[end].Text, "+CMGL:")) {
			end++
		}
		w.read(x, x.Info[i], x.Info[i+1:end])
		i = end - 1
	}
}

// arrived takes in a message that came unasked (+CMT, 27.005 3.4.1).
func (w *Witness) arrived(head, body dialogue.Line) {
	if !body.IsZero() {
		w.read(nil, head, []dialogue.Line{body})
	}
}

// read makes a message of a header and its text.
func (w *Witness) read(x *dialogue.Exchange, head dialogue.Line, body []dialogue.Line) {
	if len(body) == 0 {
		return
	}
	a, _ := at.ParseAnswer(head.Text)
	p := a.Params
	if a.Name == "+CMGL" && len(p) > 0 { // its header has an index in front
		p = p[1:]
	}
	if a.Name != "+CMT" && len(p) > 0 { // and a status; what is stored to be sent did not come in
		if status := p[0].Text; strings.HasPrefix(status, "STO") || status == "2" || status == "3" {
			return
		}
		p = p[1:]
	}
	m := &Message{X: x, Head: head, Line: body[0], Raw: joined(body), CharacterSet: w.characterSet(nil)}
	w.seen.Messages = append(w.seen.Messages, m)
	// PDU mode has only a name and a length; its text is one line of hex.
	if len(p) <= 2 && isHex(body[0].Text) {
		m.PDU = true
		pdu, err := sms.Decode(body[0].Text, sms.FromNetwork)
		m.fromPDU(&pdu, err)
		return
	}
	// <oa>,[<alpha>],<scts>[,<tooa>,<fo>,<pid>,<dcs>,<sca>,<tosca>,<length>]
	if len(p) > 0 {
		m.Party = inSet(p[0].Text, m.CharacterSet)
	}
	if len(p) > 2 {
		if stamp, ok := sms.ParseTextMode(p[2].Text); ok {
			if t, ok := stamp.Time(); ok {
				m.Stamp = maybe.Known(t)
			}
		}
	}
	m.FirstOctet, m.PID, m.DCS = octet(p, 4), octet(p, 5), octet(p, 6)
	m.decodeText()
}

func joined(lines []dialogue.Line) string {
	if len(lines) == 1 {
		return lines[0].Text
	}
	var b strings.Builder
	for i, l := range lines {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(l.Text)
	}
	return b.String()
}

// inSet reads an address or name that is written in a character set.
func inSet(text, set string) string {
	if set == "UCS2" {
		if t, ok := sms.FromUCS2Hex(text); ok {
			return t
		}
	}
	return text
}

func isHex(s string) bool {
	for i := range len(s) {
		if b := s[i]; (b < '0' || b > '9') && (b|0x20 < 'a' || b|0x20 > 'f') {
			return false
		}
	}
	return s != "" && len(s)%2 == 0
}
