package sms

import (
	"fmt"
	"strings"
)

// maxOctets bounds what is read of one PDU. The longest that the standard allows
// is 12 octets of service centre and 164 of message; the rest is room for a broken
// length of user data, which may say 255.
const maxOctets = 288

// maxShortText is how much number and text are cut out of one string; a longer text
// (of national letters, or of a broken length) gets a string of its own.
const maxShortText = 416

// Decode reads a PDU with its service centre part, as it stands in the commands
// and answers of PDU mode (TS 27.005 clause 3.1, <pdu>). toNetwork says which way
// it travels: true for what +CMGS sends (and for stored messages of status 2 and
// 3), false for what arrives.
//
// The PDU holds all that could be read, also when the error is not nil; the
// error is a [*Fault] with the octet at which reading stopped.
func Decode(hex string, toNetwork bool) (PDU, error) { return decodeHex(hex, toNetwork, true) }

// DecodeTPDU reads a message without a service centre part.
func DecodeTPDU(hex string, toNetwork bool) (PDU, error) { return decodeHex(hex, toNetwork, false) }

// decoder walks over the octets of one PDU. Octets and characters stand in arrays and
// the PDU in the decoder itself, so that a decoder lives on the stack.
type decoder struct {
	p      PDU
	octets [maxOctets]byte
	n      int // octets there are
	at     int // the next one to read
	text   [maxShortText]byte
	texts  int    // characters in text: service centre, address, body
	smsc   [2]int // where they stand
	addr   [2]int
	body   [2]int
	fault  *Fault
	short  bool // the fault is that the octets end
}

// left is what was not read yet.
func (d *decoder) left() []byte { return d.octets[d.at:d.n] }

// say keeps characters that were appended to d.text[:d.texts] and returns where they
// stand. What does not fit comes back as a string of its own.
func (d *decoder) say(with []byte) (where [2]int, long string) {
	if len(with) > len(d.text) {
		return [2]int{}, string(with[d.texts:])
	}
	where = [2]int{d.texts, len(with)}
	d.texts = len(with)
	return where, ""
}

func decodeHex(hex string, toNetwork, withSMSC bool) (PDU, error) {
	var d decoder
	p := &d.p
	hex = strings.Trim(hex, " \t\r\n\x1a\x00")
	p.Hex = hex
	n, rest := readHex(d.octets[:], hex)
	d.n, p.Octets = n, n

	if withSMSC {
		d.serviceCentre()
	}
	p.TPDUOctets = n - d.at
	if d.fault == nil {
		d.message(toNetwork)
	}
	if d.texts > 0 {
		all := string(d.text[:d.texts])
		d.cut(&p.SMSC.Number, all, d.smsc)
		d.cut(&p.Address.Number, all, d.addr)
		d.cut(&p.Data.Text, all, d.body)
	}
	if rest >= 0 && (d.fault == nil || d.short) {
		d.fault = hexFault(hex, rest, n, d.fault)
	}
	if d.fault != nil {
		return d.p, d.fault
	}
	return d.p, nil
}

// cut sets field to its part of all, unless it has a string of its own.
func (d *decoder) cut(field *string, all string, where [2]int) {
	if where[1] > 0 {
		*field = all[where[0]:where[1]]
	}
}

// hexFault says why the digits ended early: something that is no hex digit, half
// an octet, or more than is read.
func hexFault(hex string, rest, n int, then *Fault) *Fault {
	f := &Fault{At: n, Field: "hex digits", Want: "pairs of 0-9 and A-F", Clause: "TS 27.005 3.1 <pdu>"}
	switch {
	case n == maxOctets:
		f.Had, f.Want = fmt.Sprintf("more than %d octets", maxOctets), "a PDU"
	case rest+1 == len(hex) && hexLow[hex[rest]] != notHex:
		f.Had = fmt.Sprintf("a single digit %q at the end", hex[rest])
	default:
		f.Had = fmt.Sprintf("%q", hex[rest])
	}
	if then != nil {
		f.Field, f.Hint = then.Field, "the digits end inside "+then.Field
	}
	return f
}

const notHex = 0x100

// hexHigh and hexLow hold the value of a hex digit as the first and the second of
// an octet; notHex for what is none.
var hexHigh, hexLow = func() (high, low [256]uint16) {
	for i := range high {
		high[i], low[i] = notHex, notHex
	}
	for i, digit := range []byte(hexDigits) {
		high[digit], low[digit] = uint16(i)<<4, uint16(i)
		if digit >= 'A' {
			high[digit|0x20], low[digit|0x20] = uint16(i)<<4, uint16(i)
		}
	}
	return high, low
}()

// readHex reads pairs of hex digits, passing over blanks. It returns how many
// octets it read and the offset at which it stopped; -1 at the end.
func readHex(dst []byte, hex string) (n, rest int) {
	i := 0
	for i < len(hex) {
		for len(hex)-i >= 8 && len(dst)-n >= 4 { // four octets at a time, as long as all are digits
			h, o := hex[i:i+8], dst[n:n+4]
			o0, o1 := hexHigh[h[0]]|hexLow[h[1]], hexHigh[h[2]]|hexLow[h[3]]
			o2, o3 := hexHigh[h[4]]|hexLow[h[5]], hexHigh[h[6]]|hexLow[h[7]]
			if o0|o1|o2|o3 >= notHex {
				break
			}
			o[0], o[1], o[2], o[3] = byte(o0), byte(o1), byte(o2), byte(o3)
			i, n = i+8, n+4
		}
		switch {
		case i == len(hex):
			return n, -1
		case n == len(dst):
			return n, i
		case strings.IndexByte(" \t\r\n", hex[i]) >= 0:
			i++
			continue
		case i+1 == len(hex):
			return n, i
		}
		octet := hexHigh[hex[i]] | hexLow[hex[i+1]]
		if octet >= notHex {
			return n, i
		}
		dst[n] = byte(octet)
		i, n = i+2, n+1
	}
	return n, -1
}

// need says whether n octets are left; when not, reading stops here. What is
// missing is named.
func (d *decoder) need(n int, field, clause string) bool {
	if len(d.left()) >= n {
		return true
	}
	d.short = true
	d.stop(field, fmt.Sprintf("%s left", octetWords(len(d.left()))), octetWords(n), clause)
	return false
}

func octetWords(n int) string {
	if n == 1 {
		return "1 octet"
	}
	return fmt.Sprintf("%d octets", n)
}

func (d *decoder) stop(field, had, want, clause string) {
	d.fault = &Fault{At: d.at, Field: field, Had: had, Want: want, Clause: clause}
}

func (d *decoder) note(at int, clause, text string) {
	d.p.Notes = append(d.p.Notes, Note{At: at, Text: text, Clause: clause})
}

// take passes over n octets and records them as part.
func (d *decoder) take(part Part, n int) []byte {
	o := d.octets[d.at : d.at+n]
	d.p.where[part] = span{uint16(d.at), uint16(n)}
	d.at += n
	return o
}

// octet reads a part of one octet.
func (d *decoder) octet(part Part, field, clause string) (byte, bool) {
	if d.fault != nil || !d.need(1, field, clause) {
		return 0, false
	}
	return d.take(part, 1)[0], true
}

// serviceCentre reads the part in front of the message.
func (d *decoder) serviceCentre() {
	const field, clause = "service centre", "TS 24.011 8.2.5.1, TS 27.005 3.1"
	if !d.need(1, field, clause) {
		return
	}
	n := int(d.octets[d.at])
	if n > 11 || len(d.left()) < 1+n {
		d.stop(field, fmt.Sprintf("a length of %d with %s behind it", n, octetWords(len(d.left())-1)), "a length of 0 to 11 octets that are there", clause)
		d.short = n <= 11
		d.fault.Hint = "perhaps the service centre part is missing: a PDU for +CMGS begins with 00 when the module's own service centre is to be used"
		return
	}
	o := d.take(PartSMSC, 1+n)
	if n == 0 {
		return
	}
	d.p.SMSC.Type = o[1]
	d.smsc = d.digits(o[2:], 2*(n-1), d.at-n+1)
}

// digits keeps count semi-octets of o as digits; a filler ends the number.
func (d *decoder) digits(o []byte, count, at int) (where [2]int) {
	from := d.texts
	for i := 0; i < count && i/2 < len(o); i++ {
		nibble := o[i/2] >> (4 * (i & 1)) & 15
		if nibble == 15 {
			if i < count-2 {
				d.note(at+i/2, "TS 23.040 9.1.2.3", "a filler (F) stands inside the number; the digits behind it are not read")
			}
			break
		}
		d.text[d.texts] = digitNames[nibble]
		d.texts++
	}
	return [2]int{from, d.texts}
}

// address reads TP-DA, TP-OA or TP-RA, TS 23.040 clause 9.1.2.5.
func (d *decoder) address(field string) {
	const clause = "TS 23.040 9.1.2.5"
	if d.fault != nil || !d.need(2, field, clause) {
		return
	}
	semis := int(d.octets[d.at])
	octets := (semis + 1) / 2
	if semis > maxDigits {
		d.note(d.at, clause, fmt.Sprintf("a length of %d semi-octets, where the standard allows 20", semis))
	}
	if !d.need(2+octets, field, clause) {
		d.fault.Had = fmt.Sprintf("a length of %d semi-octets with %s left", semis, octetWords(len(d.left())))
		return
	}
	at := d.at
	o := d.take(PartAddress, 2+octets)
	d.p.Address.Type = o[1]
	if d.p.Address.IsName() {
		var odd oddities
		d.addr, d.p.Address.Number = d.say(Shift{}.appendPacked(d.text[:d.texts], o[2:], 0, semis*4/7, &odd))
	} else {
		d.addr = d.digits(o[2:], semis, at+2)
		if semis%2 == 1 && o[len(o)-1]>>4 != 15 {
			d.note(at+len(o)-1, "TS 23.040 9.1.2.3", "an odd number of digits is filled up with F; here stands another half octet")
		}
		if got := d.addr[1] - d.addr[0]; got == semis-1 && semis%2 == 0 {
			d.note(at, "TS 23.040 9.1.2.5", fmt.Sprintf("the length says %d digits, but the last is a filler: the length counts digits, not fillers", semis))
		}
	}
}

// stamp reads seven octets of time.
func (d *decoder) stamp(part Part, field, clause string) (s Stamp) {
	if d.fault != nil || !d.need(7, field, clause) {
		return s
	}
	at := d.at
	copy(s[:], d.take(part, 7))
	if _, ok := s.fields(); !ok {
		d.note(at, clause, field+" holds half octets that are no digits")
	} else if _, ok := s.Time(); !ok && !s.IsZero() {
		d.note(at, clause, field+" is no date")
	}
	return s
}

// pid and coding read the octets of that name.
func (d *decoder) pid() {
	if o, ok := d.octet(PartPID, "TP-PID", "TS 23.040 9.2.3.9"); ok {
		d.p.PID = o
	}
}

func (d *decoder) coding() {
	if o, ok := d.octet(PartDCS, "TP-DCS", "TS 23.040 9.2.3.10"); ok {
		d.p.Coding = ReadDCS(o)
		if d.p.Coding.Alphabet == Reserved {
			d.note(d.at-1, "TS 23.038 4", "a reserved coding; it is read as the default alphabet")
		}
	}
}

// validity reads TP-VP in the form the first octet names.
func (d *decoder) validity() {
	form := d.p.First.Validity
	n := form.octets()
	if d.fault != nil || n == 0 || !d.need(n, "TP-VP", "TS 23.040 9.2.3.12") {
		return
	}
	at := d.at
	d.p.Validity.Form = form
	copy(d.p.Validity.Octets[:], d.take(PartValidity, n))
	if until, ok := d.p.Validity.Until(); ok {
		if _, ok := until.Time(); !ok {
			d.note(at, "TS 23.040 9.2.3.12.2", "the validity period is no date")
		}
	}
}

// message reads everything behind the service centre part.
func (d *decoder) message(toNetwork bool) {
	fo, ok := d.octet(PartFirst, "first octet", "TS 23.040 9.2.2")
	if !ok {
		return
	}
	p := &d.p
	p.First = ReadFirstOctet(fo, toNetwork)
	p.Kind = p.First.Kind
	switch p.Kind {
	case KindSubmit: // clause 9.2.2.2
		p.Reference, _ = d.octet(PartReference, "TP-MR", "TS 23.040 9.2.3.6")
		d.address("TP-DA")
		d.pid()
		d.coding()
		d.validity()
		d.userData()
	case KindDeliver: // clause 9.2.2.1
		if p.First.MessageType == 3 {
			d.note(d.at-1, "TS 23.040 9.2.3.1", "reserved message type; it is read as DELIVER")
		}
		d.address("TP-OA")
		d.pid()
		d.coding()
		p.Stamp = d.stamp(PartStamp, "TP-SCTS", "TS 23.040 9.2.3.11")
		d.userData()
	case KindStatusReport:
		d.statusReport()
	case KindDeliverReport, KindSubmitReport:
		d.report()
	case KindCommand:
		d.command()
	default:
		d.at--
		d.stop("first octet", "message type 11", "00, 01 or 10 in the two lowest bits", "TS 23.040 9.2.3.1")
		return
	}
	if d.fault == nil && d.at < d.n {
		p.Left = append([]byte(nil), d.take(PartLeft, len(d.left()))...)
		d.note(int(p.where[PartLeft].at), "TS 23.040 9.2.3.16", octetWords(len(p.Left))+" behind the end of the message")
	}
}
