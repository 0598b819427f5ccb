package sms

import "firstfix/internal/maybe"

// Optional is what a report may carry besides its duties: TP-PI says which of
// these follow (TS 23.040 clause 9.2.3.27). Without a DCS a text is in the
// default alphabet.
type Optional struct {
	PID    maybe.Value[byte]
	DCS    maybe.Value[byte]
	Data   bool // user data follows, be it empty
	Header Header
	Text   string
	Octets []byte
}

// hasData says whether user data is to be written.
func (o Optional) hasData() bool {
	return o.Data || len(o.Header) > 0 || o.Text != "" || len(o.Octets) > 0
}

// indicator is TP-PI.
func (o Optional) indicator() byte {
	return flag(o.PID.IsKnown(), 1) | flag(o.DCS.IsKnown(), 2) | flag(o.hasData(), 4)
}

// optional writes what the indicator announced.
func (e *encoder) optional(o Optional) {
	if pid, ok := o.PID.Get(); ok {
		e.octets(pid)
	}
	dcs, ok := o.DCS.Get()
	if ok {
		e.octets(dcs)
	}
	if o.hasData() {
		e.userData(dcs, o.Header, o.Text, o.Octets)
	}
}

// optional returns the optional parts that were read.
func (p *PDU) optional() Optional {
	o := Optional{Header: p.Data.Header, Text: p.Data.Text, Octets: p.Data.Octets, Data: p.Has(PartLength)}
	if p.Has(PartPID) {
		o.PID = maybe.Known(p.PID)
	}
	if p.Has(PartDCS) {
		o.DCS = maybe.Known(p.Coding.DCS)
	}
	return o
}

// DeliverReport is the device's word on a message that arrived, TS 23.040 clause
// 9.2.2.1a. With a Cause it refuses the message. It travels without a service
// centre part (TS 27.005 clause 3.1, <ackpdu>).
type DeliverReport struct {
	Cause maybe.Value[Cause]
	Optional
}

// Encode writes the message in hex, and how many octets it takes.
func (m DeliverReport) Encode() (hex string, tpduOctets int, err error) {
	var e encoder
	e.octets(0x00 | flag(len(m.Header) > 0, 0x40))
	e.cause(m.Cause)
	e.octets(m.indicator())
	e.optional(m.Optional)
	return e.hex()
}

// DeliverReport returns the message as a DeliverReport.
func (p *PDU) DeliverReport() (DeliverReport, bool) {
	return DeliverReport{Cause: p.causeRead(), Optional: p.optional()}, p.Kind == KindDeliverReport
}

// SubmitReport is the network's word on a message sent, clause 9.2.2.2a.
type SubmitReport struct {
	Cause maybe.Value[Cause]
	Stamp Stamp
	Optional
}

// Encode writes the message in hex, and how many octets it takes.
func (m SubmitReport) Encode() (hex string, tpduOctets int, err error) {
	var e encoder
	e.octets(0x01 | flag(len(m.Header) > 0, 0x40))
	e.cause(m.Cause)
	e.octets(m.indicator())
	e.octets(m.Stamp[:]...)
	e.optional(m.Optional)
	return e.hex()
}

// SubmitReport returns the message as a SubmitReport.
func (p *PDU) SubmitReport() (SubmitReport, bool) {
	return SubmitReport{Cause: p.causeRead(), Stamp: p.Stamp, Optional: p.optional()}, p.Kind == KindSubmitReport
}

// cause writes TP-FCS. A value below 0x80 is reserved and could be taken for an
// indicator when read back, so it is not written.
func (e *encoder) cause(c maybe.Value[Cause]) {
	cause, ok := c.Get()
	if !ok {
		return
	}
	if cause < 0x80 {
		e.fail("cause", cause.String(), "0x80 to 0xFF", "TS 23.040 9.2.3.22")
	}
	e.octets(byte(cause))
}

func (p *PDU) causeRead() maybe.Value[Cause] {
	if p.Has(PartCause) {
		return maybe.Known(p.Cause)
	}
	return maybe.Value[Cause]{}
}

// StatusReport says what became of a message, clause 9.2.2.3.
type StatusReport struct {
	SMSC           Address
	MoreMessages   bool
	LoopPrevention bool
	AboutCommand   bool // it answers a COMMAND
	Reference      byte // the one that +CMGS returned
	Recipient      Address
	Stamp          Stamp // when the service centre took the message
	Discharge      Stamp // when it was delivered or given up
	Status         Status
	Optional
}

// Encode writes the PDU in hex with its service centre part, and the length that
// +CDS gives: the octets behind that part.
func (m StatusReport) Encode() (hex string, tpduOctets int, err error) {
	var e encoder
	e.smsc(m.SMSC)
	e.octets(0x02|flag(!m.MoreMessages, 0x04)|flag(m.LoopPrevention, 0x08)|flag(m.AboutCommand, 0x20)|
		flag(len(m.Header) > 0, 0x40), m.Reference)
	e.address("recipient", m.Recipient)
	e.octets(m.Stamp[:]...)
	e.octets(m.Discharge[:]...)
	e.octets(byte(m.Status))
	if pi := m.indicator(); pi != 0 {
		e.octets(pi)
		e.optional(m.Optional)
	}
	return e.hex()
}

// StatusReport returns the message as a StatusReport.
func (p *PDU) StatusReport() (StatusReport, bool) {
	return StatusReport{
		SMSC: p.SMSC, MoreMessages: p.First.MoreMessages, LoopPrevention: p.First.LoopPrevention,
		AboutCommand: p.First.AboutCommand, Reference: p.Reference, Recipient: p.Address, Stamp: p.Stamp,
		Discharge: p.Discharge, Status: p.Status, Optional: p.optional(),
	}, p.Kind == KindStatusReport
}
