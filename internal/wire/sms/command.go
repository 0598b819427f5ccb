package sms

import "fmt"

// maxCommandOctets is the room for command data, TS 23.040 clause 9.2.3.21.
const maxCommandOctets = 157

// Command is an order to the service centre about a message sent earlier, TS
// 23.040 clause 9.2.2.4.
type Command struct {
	SMSC          Address
	StatusRequest bool
	Reference     byte
	PID           byte
	Type          CommandType
	Number        byte // the reference of the message it is about
	To            Address
	Header        Header
	Octets        []byte
}

// Encode writes the PDU in hex with its service centre part, and the number that
// AT+CMGC= wants.
func (m Command) Encode() (hex string, tpduOctets int, err error) {
	var e encoder
	e.smsc(m.SMSC)
	e.octets(0x02|flag(m.StatusRequest, 0x20)|flag(len(m.Header) > 0, 0x40), m.Reference, m.PID, byte(m.Type), m.Number)
	e.address("destination", m.To)
	size := m.Header.size()
	if n := size + len(m.Octets); !m.Header.fits() || n > maxCommandOctets {
		e.fail("command data", octetWords(n), fmt.Sprintf("at most %d", maxCommandOctets), "TS 23.040 9.2.3.21")
		return e.hex()
	}
	e.octets(byte(size + len(m.Octets)))
	e.put(m.Header.append(e.written()))
	e.octets(m.Octets...)
	return e.hex()
}

// Command returns the message as a Command.
func (p *PDU) Command() (Command, bool) {
	return Command{
		SMSC: p.SMSC, StatusRequest: p.First.StatusRequest, Reference: p.Reference, PID: p.PID, Type: p.Order,
		Number: p.Number, To: p.Address, Header: p.Data.Header, Octets: p.Data.Octets,
	}, p.Kind == KindCommand
}
