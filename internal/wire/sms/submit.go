package sms

// Submit is a message to send, TS 23.040 clause 9.2.2.2. The zero values are the
// usual choice: the module's own service centre, no report, default alphabet.
type Submit struct {
	SMSC             Address // empty: the one that +CSCA set
	RejectDuplicates bool
	StatusRequest    bool // ask for a status report
	ReplyPath        bool
	Reference        byte // the module puts its own in
	To               Address
	PID              byte
	DCS              byte
	Validity         Validity
	Header           Header
	Text             string // when DCS says 7-bit or UCS2
	Octets           []byte // when DCS says 8-bit data or compressed text
}

// FirstOctet is the first octet of the message.
func (s Submit) FirstOctet() byte {
	return 0x01 | flag(s.RejectDuplicates, 0x04) | byte(s.Validity.Form&3)<<3 |
		flag(s.StatusRequest, 0x20) | flag(len(s.Header) > 0, 0x40) | flag(s.ReplyPath, 0x80)
}

// Encode writes the PDU in hex with its service centre part, and the number that
// AT+CMGS= wants: the octets behind that part (TS 27.005 clause 4.3).
func (s Submit) Encode() (hex string, tpduOctets int, err error) {
	var e encoder
	e.smsc(s.SMSC)
	e.octets(s.FirstOctet(), s.Reference)
	e.address("destination", s.To)
	e.octets(s.PID, s.DCS)
	e.octets(s.Validity.Octets[:s.Validity.Form.octets()]...)
	e.userData(s.DCS, s.Header, s.Text, s.Octets)
	return e.hex()
}

// Submit returns the message as a Submit, to be changed and written again.
func (p *PDU) Submit() (Submit, bool) {
	return Submit{
		SMSC: p.SMSC, RejectDuplicates: p.First.RejectDuplicates, StatusRequest: p.First.StatusRequest,
		ReplyPath: p.First.ReplyPath, Reference: p.Reference, To: p.Address, PID: p.PID, DCS: p.Coding.DCS,
		Validity: p.Validity, Header: p.Data.Header, Text: p.Data.Text, Octets: p.Data.Octets,
	}, p.Kind == KindSubmit
}
