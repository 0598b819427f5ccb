package sms

import "fmt"

// Header is the user data header: elements in order, TS 23.040 clause 9.2.3.24.
type Header []Element

// Element is one information element. Data is kept whatever the identifier.
type Element struct {
	ID   byte
	Data []byte
}

// The identifiers this package reads, TS 23.040 clause 9.2.3.24.
const (
	ElementConcat8  = 0x00
	ElementPorts8   = 0x04
	ElementPorts16  = 0x05
	ElementConcat16 = 0x08
	ElementReplyTo  = 0x22
	ElementSingle   = 0x24
	ElementLocking  = 0x25
)

// Concat says which part of a long message this is.
type Concat struct {
	Reference int // the same in all parts
	Wide      bool
	Total     int
	Part      int // from 1
}

// size is the header in octets, its length octet included; 0 without elements.
func (h Header) size() int {
	if len(h) == 0 {
		return 0
	}
	n := 1
	for _, e := range h {
		n += 2 + len(e.Data)
	}
	return n
}

// append writes the header with its length octet.
func (h Header) append(dst []byte) []byte {
	if len(h) == 0 {
		return dst
	}
	dst = append(dst, byte(h.size()-1))
	for _, e := range h {
		dst = append(dst, e.ID, byte(len(e.Data)))
		dst = append(dst, e.Data...)
	}
	return dst
}

// last returns the last element with this identifier and length: where one may
// stand only once the last one counts (TS 23.040 clause 9.2.3.24).
func (h Header) last(id byte, length int) ([]byte, bool) {
	for i := len(h) - 1; i >= 0; i-- {
		if h[i].ID == id && len(h[i].Data) == length {
			return h[i].Data, true
		}
	}
	return nil, false
}

// Concat reads the part number of a long message. A header whose numbers make no
// sense (part 0, or beyond the total) does not count, clause 9.2.3.24.1.
func (h Header) Concat() (Concat, bool) {
	for i := len(h) - 1; i >= 0; i-- {
		var c Concat
		switch d := h[i].Data; {
		case h[i].ID == ElementConcat8 && len(d) == 3:
			c = Concat{Reference: int(d[0]), Total: int(d[1]), Part: int(d[2])}
		case h[i].ID == ElementConcat16 && len(d) == 4:
			c = Concat{Reference: int(d[0])<<8 | int(d[1]), Wide: true, Total: int(d[2]), Part: int(d[3])}
		default:
			continue
		}
		return c, c.Part >= 1 && c.Part <= c.Total
	}
	return Concat{}, false
}

// Ports reads the application ports, clauses 9.2.3.24.3 and 9.2.3.24.4.
func (h Header) Ports() (destination, origin int, ok bool) {
	for i := len(h) - 1; i >= 0; i-- {
		switch d := h[i].Data; {
		case h[i].ID == ElementPorts8 && len(d) == 2:
			return int(d[0]), int(d[1]), true
		case h[i].ID == ElementPorts16 && len(d) == 4:
			return int(d[0])<<8 | int(d[1]), int(d[2])<<8 | int(d[3]), true
		}
	}
	return 0, 0, false
}

// Shift reads the national tables, clauses 9.2.3.24.15 and 9.2.3.24.16.
func (h Header) Shift() Shift {
	var s Shift
	if d, ok := h.last(ElementSingle, 1); ok {
		s.Single = Language(d[0])
	}
	if d, ok := h.last(ElementLocking, 1); ok {
		s.Locking = Language(d[0])
	}
	return s
}

// ConcatElement writes a part number: 8-bit reference, or 16-bit when wide.
func ConcatElement(c Concat) Element {
	if c.Wide {
		return Element{ElementConcat16, []byte{byte(c.Reference >> 8), byte(c.Reference), byte(c.Total), byte(c.Part)}}
	}
	return Element{ElementConcat8, []byte{byte(c.Reference), byte(c.Total), byte(c.Part)}}
}

// PortsElement writes 16-bit application ports.
func PortsElement(destination, origin int) Element {
	return Element{ElementPorts16, []byte{byte(destination >> 8), byte(destination), byte(origin >> 8), byte(origin)}}
}

// ShiftElements writes the national tables that s names.
func ShiftElements(s Shift) Header {
	var h Header
	if s.Single != NoLanguage {
		h = append(h, Element{ElementSingle, []byte{byte(s.Single)}})
	}
	if s.Locking != NoLanguage {
		h = append(h, Element{ElementLocking, []byte{byte(s.Locking)}})
	}
	return h
}

// fits says whether the header can be written.
func (h Header) fits() bool {
	for _, e := range h {
		if len(e.Data) > 255 {
			return false
		}
	}
	return h.size() <= maxUserOctets
}

// elements is TS 23.040 clause 9.2.3.24, the table of identifiers.
var elements = [...]struct {
	from, to byte
	name     string
	clause   string
}{
	{0x00, 0x00, "part of a long message, 8-bit reference", "9.2.3.24.1"},
	{0x01, 0x01, "special message indication", "9.2.3.24.2"},
	{0x02, 0x02, "reserved", "9.2.3.24"},
	{0x03, 0x03, "not used, for it looks like a line feed", "9.2.3.24"},
	{0x04, 0x04, "application ports, 8 bits", "9.2.3.24.3"},
	{0x05, 0x05, "application ports, 16 bits", "9.2.3.24.4"},
	{0x06, 0x06, "service centre control parameters", "9.2.3.24.5"},
	{0x07, 0x07, "source of the header", "9.2.3.24.6"},
	{0x08, 0x08, "part of a long message, 16-bit reference", "9.2.3.24.8"},
	{0x09, 0x09, "wireless control message protocol", "9.2.3.24.9"},
	{0x0A, 0x0A, "text formatting", "9.2.3.24.10.1.1"},
	{0x0B, 0x0C, "sound", "9.2.3.24.10"},
	{0x0D, 0x0F, "animation", "9.2.3.24.10"},
	{0x10, 0x12, "picture", "9.2.3.24.10"},
	{0x13, 0x13, "user prompt", "9.2.3.24.10"},
	{0x14, 0x15, "extended object", "9.2.3.24.10"},
	{0x16, 0x16, "compression control", "9.2.3.24.10"},
	{0x17, 0x17, "object distribution", "9.2.3.24.10"},
	{0x18, 0x19, "vector graphic", "9.2.3.24.10"},
	{0x1A, 0x1A, "request for extended object data", "9.2.3.24.10"},
	{0x1B, 0x1F, "reserved for enhanced messaging", "9.2.3.24"},
	{0x20, 0x20, "RFC 822 mail header length", "9.2.3.24.11"},
	{0x21, 0x21, "hyperlink format", "9.2.3.24.12"},
	{0x22, 0x22, "reply address", "9.2.3.24.13"},
	{0x23, 0x23, "enhanced voice mail", "9.2.3.24.14"},
	{0x24, 0x24, "national language, single shift", "9.2.3.24.15"},
	{0x25, 0x25, "national language, locking shift", "9.2.3.24.16"},
	{0x26, 0x6F, "reserved", "9.2.3.24"},
	{0x70, 0x7F, "card toolkit security", "9.2.3.24.7"},
	{0x80, 0x9F, "agreed between sender and receiver", "9.2.3.24"},
	{0xA0, 0xBF, "reserved", "9.2.3.24"},
	{0xC0, 0xDF, "service centre specific", "9.2.3.24"},
	{0xE0, 0xFF, "reserved", "9.2.3.24"},
}

// Name says what kind of element it is.
func (e Element) Name() string { name, _ := e.row(); return name }

// Clause is the place in the standard.
func (e Element) Clause() string { _, clause := e.row(); return "TS 23.040 " + clause }

func (e Element) row() (name, clause string) {
	for _, row := range elements {
		if e.ID >= row.from && e.ID <= row.to {
			return row.name, row.clause
		}
	}
	return "unknown", "9.2.3.24" // unreachable: the rows cover every octet
}

// String says the element in words; what has no words is shown as octets.
func (e Element) String() string {
	one := Header{e}
	if c, ok := one.Concat(); ok {
		return fmt.Sprintf("part %d of %d, reference %d", c.Part, c.Total, c.Reference)
	}
	if to, from, ok := one.Ports(); ok {
		return fmt.Sprintf("to port %d, from port %d", to, from)
	}
	if (e.ID == ElementSingle || e.ID == ElementLocking) && len(e.Data) == 1 {
		return Language(e.Data[0]).String()
	}
	if e.ID == ElementReplyTo {
		if a, ok := addressIn(e.Data); ok {
			return "answer to " + a.String()
		}
	}
	return fmt.Sprintf("%d octets: %X", len(e.Data), e.Data)
}

// addressIn reads an address that stands in octets by itself.
func addressIn(o []byte) (Address, bool) {
	var d decoder
	d.n = copy(d.octets[:], o)
	d.address("address")
	a := d.p.Address
	if d.texts > 0 {
		a.Number = string(d.text[d.addr[0]:d.addr[1]])
	}
	return a, d.fault == nil && d.at == len(o)
}
