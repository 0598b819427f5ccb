package sms

// Deliver is a message that arrives, TS 23.040 clause 9.2.2.1.
type Deliver struct {
	SMSC             Address
	MoreMessages     bool // more wait at the service centre
	LoopPrevention   bool
	StatusIndication bool // the sender gets a status report
	ReplyPath        bool
	From             Address
	PID              byte
	DCS              byte
	Stamp            Stamp // the service centre's time
	Header           Header
	Text             string // when DCS says 7-bit or UCS2
	Octets           []byte // when DCS says 8-bit data or compressed text
}

// FirstOctet is the first octet of the message.
func (m Deliver) FirstOctet() byte {
	return flag(!m.MoreMessages, 0x04) | flag(m.LoopPrevention, 0x08) |
		flag(m.StatusIndication, 0x20) | flag(len(m.Header) > 0, 0x40) | flag(m.ReplyPath, 0x80)
}

// Encode writes the PDU in hex with its service centre part, and the length that
// +CMT and +CMGR give: the octets behind that part.
func (m Deliver) Encode() (hex string, tpduOctets int, err error) {
	var e encoder
	e.smsc(m.SMSC)
	e.octets(m.FirstOctet())
	e.address("originator", m.From)
	e.octets(m.PID, m.DCS)
	e.octets(m.Stamp[:]...)
	e.userData(m.DCS, m.Header, m.Text, m.Octets)
	return e.hex()
}

// Deliver returns the message as a Deliver.
func (p *PDU) Deliver() (Deliver, bool) {
	return Deliver{
		SMSC: p.SMSC, MoreMessages: p.First.MoreMessages, LoopPrevention: p.First.LoopPrevention,
		StatusIndication: p.First.StatusIndication, ReplyPath: p.First.ReplyPath, From: p.Address, PID: p.PID,
		DCS: p.Coding.DCS, Stamp: p.Stamp, Header: p.Data.Header, Text: p.Data.Text, Octets: p.Data.Octets,
	}, p.Kind == KindDeliver
}
