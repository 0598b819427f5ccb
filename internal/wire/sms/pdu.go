package sms

// A Part is one field of a PDU. Not every kind of message has every part.
type Part byte

// The parts, roughly in the order in which they travel.
const (
	PartSMSC      Part = iota // service centre part, in front of the message
	PartFirst                 // first octet
	PartCause                 // TP-FCS, why it failed
	PartIndicator             // TP-PI, which parts follow
	PartReference             // TP-MR
	PartAddress               // TP-DA, TP-OA or TP-RA
	PartPID                   // TP-PID
	PartDCS                   // TP-DCS
	PartValidity              // TP-VP
	PartStamp                 // TP-SCTS
	PartDischarge             // TP-DT
	PartStatus                // TP-ST
	PartCommand               // TP-CT
	PartNumber                // TP-MN
	PartLength                // TP-UDL or TP-CDL
	PartHeader                // user data header with its length
	PartText                  // the text, or data
	PartLeft                  // octets behind the end
	partCount
)

// PDU is a message as read. Which fields mean something depends on Kind, and on
// [PDU.Has]: a field that was not reached is not known, whatever it holds.
type PDU struct {
	Kind       Kind
	Hex        string // what was given, without blanks at the ends
	Octets     int    // octets read from it
	TPDUOctets int    // octets behind the service centre part: what +CMGS counts

	SMSC      Address
	First     FirstOctet
	Cause     Cause
	Indicator byte
	Reference byte // TP-MR: pairs a message with its reports
	Address   Address
	PID       byte
	Coding    Coding
	Validity  Validity
	Stamp     Stamp // service centre time
	Discharge Stamp // when it was delivered or given up
	Status    Status
	Order     CommandType // TP-CT
	Number    byte        // TP-MN: the reference a COMMAND speaks of
	Data      UserData

	Left  []byte // octets behind the end of the message
	Notes []Note // what is odd, in order

	where [partCount]span
}

// span is where a part stands; n is 0 when it was not reached.
type span struct{ at, n uint16 }

// UserData is what a message carries.
type UserData struct {
	Length   int    // TP-UDL: septets for 7-bit text (the header counts), octets otherwise
	Header   Header // nil without one, and when it makes no sense
	HeadSize int    // octets the header takes, its length octet included
	Fill     int    // bits between header and 7-bit text
	Text     string // 7-bit and UCS2 text
	Octets   []byte // 8-bit data, compressed text, command data, and text behind a broken header
}

// Has says whether the part was read.
func (p *PDU) Has(part Part) bool { return p.where[part].n > 0 }

// At is the octet at which the part stands and how many octets it takes; 0, 0
// when it was not read.
func (p *PDU) At(part Part) (octet, length int) {
	return int(p.where[part].at), int(p.where[part].n)
}

// Text is the text of the message; what cannot be text is left out.
func (p *PDU) Text() string { return p.Data.Text }
