package message

import (
	"fmt"
	"strconv"
	"strings"

	"firstfix/internal/maybe"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// ReadLine reads a message as a module prints it: head is the line that begins with
// +CMT, +CMGR, +CMGL or +CDS, body the lines behind it, joined with LF. Text and PDU mode are
// told apart by the number of values (TS 27.005 clauses 3.4.1 and 4.1 to 4.3). False: head
// announces no message.
func ReadLine(head, body string, s Settings) (*Message, bool) {
	a, ok := at.ParseAnswer(head)
	if !ok {
		return nil, false
	}
	layout, ok := layoutOf(a.Name)
	if !ok {
		return nil, false
	}
	p := a.Params
	var index maybe.Value[int]
	if a.Name == "+CMGL" && len(p) > 0 {
		if n, err := strconv.Atoi(p[0].Text); err == nil {
			index = maybe.Known(n)
		}
	}
	out := false
	if i := layout.status; i >= 0 && i < len(p) {
		out = strings.HasPrefix(p[i].Text, "STO") || p[i].Text == "2" || p[i].Text == "3" // TS 27.005 clause 3.1, <stat>
	}
	inWords := layout.status >= 0 && layout.status < len(p) && p[layout.status].Quoted // "REC READ": text mode
	if line := strings.TrimSpace(body); !inWords && len(p) <= layout.pdu && (line == "" || isHex(line)) && a.Name != "+CDS" || a.Name == "+CDS" && len(p) == 1 {
		told := 0
		if len(p) > 0 {
			told, _ = strconv.Atoi(p[len(p)-1].Text)
		}
		m := ReadPDU(line, out, told)
		m.Index = index
		return m, true
	}
	m := &Message{Out: out, Kind: "text mode", Given: head, Body: body, Index: index}
	if i := layout.first; a.Name == "+CDS" || inWords && len(p) >= i+7 && !p[i].Quoted && !p[i].Empty { // a stored status report
		for k := range min(i, len(p)) {
			m.field(layout.lead(k), p[k], p[k].Text)
		}
		readReport(m, p[min(i, len(p)):], s)
		return m, true
	}
	readHead(m, layout, p, s)
	return m, true
}

// A layout says where the values of a header stand. -1: the header has no such value.
type layout struct {
	name   string
	pdu    int // a header with at most so many values belongs to PDU mode
	status int
	first  int // <oa> or <da>
}

// layouts: TS 27.005 clauses 3.4.1 (+CMT, +CDS), 3.4.2 and 4.1 (+CMGL), 3.4.3 and 4.2 (+CMGR).
var layouts = [...]layout{
	{"+CMT", 2, -1, 0}, {"+CMGR", 3, 0, 1}, {"+CMGL", 4, 1, 2}, {"+CDS", 1, -1, 0},
}

// lead names value i in front of the first.
func (l *layout) lead(i int) string {
	if i == l.status {
		return "stat"
	}
	return "index"
}

func layoutOf(name string) (layout, bool) {
	for _, l := range layouts {
		if l.name == name {
			return l, true
		}
	}
	return layout{}, false
}

// headNames are the values of a text-mode header behind the status: of a message that
// arrived, and of a stored one that is to be sent. TS 27.005 clauses 3.4.1 to 3.4.3.
var (
	arrivedNames = []string{"oa", "alpha", "scts", "tooa", "fo", "pid", "dcs", "sca", "tosca", "length"}
	storedNames  = []string{"da", "alpha", "toda", "fo", "pid", "dcs", "vp", "sca", "tosca", "length"}
	listedNames  = []string{"oa/da", "alpha", "scts", "tooa/toda", "length"}
)

// headWords says what each value is.
var headWords = map[string]string{
	"index": "place in the store", "stat": "status", "oa": "sender", "da": "receiver", "oa/da": "sender or receiver", "alpha": "name in the phone book",
	"scts": "time at the service centre", "tooa": "type of the number", "toda": "type of the number", "tooa/toda": "type of the number",
	"fo": "first octet", "pid": "protocol identifier", "dcs": "data coding", "vp": "validity period", "sca": "service centre", "tosca": "type of its number",
	"length": "length of the text", "mr": "reference of the text it speaks of", "ra": "receiver of that text", "tora": "type of the number",
	"dt": "time of delivery or of the last try", "st": "outcome",
}

// readHead reads a text-mode header and its text.
func readHead(m *Message, l layout, p []at.Param, s Settings) {
	names := arrivedNames
	switch {
	case l.name == "+CMGL":
		names = listedNames
	case m.Out:
		names = storedNames
	}
	for i := range min(l.first, len(p)) {
		m.field(l.lead(i), p[i], p[i].Text)
	}
	var fo, pid, dcs maybe.Value[int]
	for i, name := range names {
		at := l.first + i
		if at >= len(p) {
			break
		}
		words := ""
		switch name {
		case "oa", "da", "oa/da":
			m.Party = fromSet(p[at].Text, s.CharacterSet)
			words = m.Party
		case "scts":
			if stamp, ok := sms.ParseTextMode(p[at].Text); ok {
				m.Stamp = maybe.Known(stamp)
				words = stamp.String()
			}
		case "fo":
			if fo = octetAt(p, at); fo.IsKnown() {
				words = sms.ReadFirstOctet(byte(fo.Or(0)), m.Out).String()
			}
		case "pid":
			if pid = octetAt(p, at); pid.IsKnown() {
				words = sms.ReadPID(byte(pid.Or(0)))
			}
		case "dcs":
			if dcs = octetAt(p, at); dcs.IsKnown() {
				words = sms.ReadDCS(byte(dcs.Or(0))).Text
			}
		case "vp":
			if n := octetAt(p, at); n.IsKnown() {
				words = validityWords(sms.ReadFirstOctet(byte(fo.Or(usualFO)), sms.ToNetwork).Validity, n.Or(0), "")
			}
		case "tooa", "toda", "tooa/toda", "tosca":
			if n := octetAt(p, at); n.IsKnown() {
				words = sms.Address{Type: byte(n.Or(0))}.TypeWords()
			}
		}
		m.field(name, p[at], words)
	}
	m.readBody(fo, pid, dcs, s)
}

// field adds a value of a header with what it means.
func (m *Message) field(name string, p at.Param, words string) {
	if p.Empty {
		return
	}
	meaning := headWords[name]
	if words != "" && words != p.Text {
		meaning += ": " + words
	}
	begins := p.At
	if p.Quoted {
		begins++
	}
	m.Fields = append(m.Fields, sms.Field{At: begins, Length: len(p.Text), Name: name, Value: p.Text, Meaning: meaning, Clause: "TS 27.005 3.1"})
}

// readBody finds out what a text of text mode says. Without a header and with plain
// letters it is as it stands; otherwise it is hex (TS 27.005 clause 3.1, <data>).
func (m *Message) readBody(fo, pid, dcs maybe.Value[int], s Settings) {
	m.Text = m.Body
	coding := sms.ReadDCS(byte(dcs.Or(0)))
	headed := dcs.IsKnown() && fo.IsKnown() && sms.ReadFirstOctet(byte(fo.Or(0)), m.Out).HasHeader
	switch octets, hex := octetsOf(strings.TrimSpace(m.Body)); {
	case (headed || dcs.IsKnown() && coding.InOctets()) && hex:
		m.fromOctets(byte(fo.Or(4)), byte(pid.Or(0)), byte(dcs.Or(0)), octets)
		return
	case strings.EqualFold(s.CharacterSet, SetUCS2), strings.EqualFold(s.CharacterSet, SetHEX):
		m.Text = fromSet(m.Body, s.CharacterSet)
	default:
		if text, ok := sms.LooksUCS2Hex(m.Body); ok {
			m.Text = text
			m.note("TS 27.005 3.1 <data>", "the module prints the text as hex digits: the sender used a character outside the default alphabet; a program that compares letters does not see %q", short(text))
		}
	}
	h := typing{fo: usualFO, vp: usualVP, pid: pid.Or(0), dcs: dcs.Or(0), set: SetUCS2, text: sms.UCS2Hex("harmless")}
	m.Shown = h.effect()
	if fine(m.Shown) {
		m.Shown.Why, m.Shown.Clause = "", ""
	}
	m.Shown.Shown = m.Text
	m.positions()
	m.Head = sms.PDU{Kind: sms.KindDeliver, Address: sms.NewAddress(m.Party)}
	m.Head.Data.Text = m.Text
	if m.Text == "" {
		m.Shown = sms.Effect{How: sms.HowBlank, Why: "no text stands behind the header", Clause: "TS 23.040 9.2.3.16"}
		m.Blames = []Blame{{Field: FieldText, Value: "empty", Why: m.Shown.Why, Clause: m.Shown.Clause}}
	}
	if n := sms.Measure(m.Text); !dcs.IsKnown() && (n.Units == 153 && n.Septets > 0 || n.Units == 67 && n.Septets == 0) {
		m.note("TS 23.040 9.2.3.24.1", "its length is exactly that of a part of a long text; the module does not show part numbers (AT+CSDH=1 and PDU mode do)")
	}
}

// fromOctets reads the octets of a text-mode body with the decoder of PDU mode: the
// message is put together as it would have come in a PDU.
func (m *Message) fromOctets(fo, pid, dcs byte, octets []byte) {
	const most = 140 // TS 23.040 clause 9.2.3.16
	octets = octets[:min(len(octets), most)]
	length := len(octets)
	if !sms.ReadDCS(dcs).InOctets() {
		if length = length * 8 / 7; len(octets)%7 == 0 && len(octets) > 0 && octets[len(octets)-1]>>1 == 0 {
			length-- // seven bits left over are fill, not a commercial at
		}
	}
	stamp := m.Stamp.Or(sms.Stamp{})
	from, _, err := sms.Deliver{From: sms.NewAddress(m.Party), Stamp: stamp}.Encode()
	if err != nil { // a sender that no PDU can hold
		from, _, _ = sms.Deliver{Stamp: stamp}.Encode()
	}
	frame, _ := sms.Decode(from, sms.FromNetwork)
	at, _ := frame.At(sms.PartFirst)
	pidAt, _ := frame.At(sms.PartPID)
	stampAt, _ := frame.At(sms.PartStamp)
	hex := from[:2*at] + fmt.Sprintf("%02X", fo&0x40|0x04) + from[2*at+2:2*pidAt] + fmt.Sprintf("%02X%02X", pid, dcs) +
		from[2*stampAt:2*stampAt+14] + fmt.Sprintf("%02X", length) + hexOf(octets)
	p, err := sms.Decode(hex, sms.FromNetwork)
	inner := ofPDU(&p, err, false)
	m.Text, m.Shown, m.Blames, m.Part, m.Head = inner.Text, inner.Shown, inner.Blames, inner.Part, inner.Head
	for _, n := range inner.Notes {
		if !strings.HasPrefix(n.Text, "octet ") { // the octets are ours, not theirs
			m.Notes = append(m.Notes, n)
		}
	}
	if p.Data.HeadSize > 0 || len(p.Data.Header) > 0 {
		for _, e := range p.Data.Header {
			m.Fields = append(m.Fields, sms.Field{At: -1, Name: fmt.Sprintf("element 0x%02X", e.ID), Value: e.String(), Meaning: e.Name(), Clause: e.Clause()})
		}
	}
}

// readReport reads a status report of text mode: TS 27.005 clause 3.4.1, +CDS.
func readReport(m *Message, p []at.Param, s Settings) {
	names := []string{"fo", "mr", "ra", "tora", "scts", "dt", "st"}
	m.Kind = "status report, text mode"
	for i, name := range names {
		if i >= len(p) {
			break
		}
		words := ""
		switch name {
		case "ra":
			m.Party = fromSet(p[i].Text, s.CharacterSet)
			words = m.Party
		case "scts", "dt":
			if stamp, ok := sms.ParseTextMode(p[i].Text); ok {
				words = stamp.String()
				if name == "scts" {
					m.Stamp = maybe.Known(stamp)
				}
			}
		case "st":
			if n := octetAt(p, i); n.IsKnown() {
				words = sms.Status(n.Or(0)).String()
			}
		}
		m.field(name, p[i], words)
	}
	m.Shown = sms.Effect{How: sms.HowNeverShown, Why: "it is no text: STATUS-REPORT", Clause: "TS 23.040 9.2.2.3"}
	m.Head = sms.PDU{Kind: sms.KindStatusReport}
}

// HasHead says whether a line announces a message: the name of its header.
func HasHead(line string) (name string, ok bool) {
	name, _ = at.AnswerName(line)
	_, ok = layoutOf(name)
	return name, ok
}

// Stored cuts the lines of an answer to +CMGR or +CMGL into messages: the header and
// the lines of its text, which may be several. name is the command's.
func Stored(name string, lines []string) [][]string {
	var out [][]string
	for i := 0; i < len(lines); {
		if n, ok := HasHead(lines[i]); !ok || n != name {
			i++
			continue
		}
		end := i + 1
		for end < len(lines) && (name == "+CMGR" || !strings.HasPrefix(lines[end], "+CMGL:")) {
			end++
		}
		out = append(out, lines[i:end])
		i = end
	}
	return out
}
