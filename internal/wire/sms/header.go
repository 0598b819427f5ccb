package sms

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
