package capture

import "strings"

// Mask hides the secrets in a line: PINs, PUKs and passwords become asterisks,
// as many as they had characters, so that a PIN and a PUK can still be told apart.
func Mask(line string) string {
	if !mayHoldSecret(line) {
		return line
	}
	var m mouth
	return m.mask(line)
}

// Masker hides secrets in a stream of records, also when a command is cut in
// two by a record's end. The zero Masker is ready. [Writer] has one.
type Masker struct {
	mouths [3]mouth // by direction: the module echoes what the controller says
}

// Mask returns r with its secrets hidden. Records must come in order.
func (m *Masker) Mask(r Record) Record {
	if r.Event != "" {
		r.Event = Mask(r.Event) // a person may have noted one
		return r
	}
	h := &m.mouths[r.From%3]
	if h.idle() && !mayHoldSecret(r.Bytes) {
		// Only what stands behind the last line end can begin a command.
		h.mask(r.Bytes[strings.LastIndexAny(r.Bytes, "\r\n")+1:])
		return r
	}
	r.Bytes = h.mask(r.Bytes)
	return r
}

// mayHoldSecret says whether a text needs a closer look.
func mayHoldSecret(s string) bool {
	return strings.IndexByte(s, '=') >= 0 || strings.Contains(s, "*0")
}

// secret is a command that carries secrets.
type secret struct {
	name   string
	first  int  // parameters from this one, counted from 0, are secret
	last   int  // to this one
	digits bool // the standard allows nothing but digits there
}

// secrets is one row per command of 3GPP TS 27.007 that carries a password
// (clause numbers from memory, but for +CPIN, which is read).
var secrets = [...]secret{
	{"+CPIN", 0, 1, true},    // 8.3 PIN or PUK, and the new PIN
	{"+CLCK", 2, 2, false},   // 7.4 facility lock
	{"+CPWD", 1, 3, false},   // 7.5 change password
	{"+CPBS", 1, 1, false},   // 8.11 phonebook storage, password
	{"+CACM", 0, 0, false},   // 8.25 accumulated call meter, PIN2
	{"+CAMM", 1, 1, false},   // 8.26 its maximum, PIN2
	{"+CPUC", 2, 2, false},   // 8.27 price per unit, PIN2
	{"+CGAUTH", 3, 3, false}, // 10.1.31 password of the data session
	{"+CPIN2", 0, 1, true},   // second PIN, as some modules spell it: common practice, no source
	{"+CSIM", 1, 1, false},   // 8.17 raw card command, may be VERIFY PIN
	{"+CGLA", 2, 2, false},   // 8.43 raw card command on a logical channel
}

// tokenLimit is longer than any command name: V.250 5.4.1 allows 17 bytes.
const tokenLimit = 20

// A mouth follows what one side says, byte by byte, as far as is needed to know
// whether the next byte is part of a secret.
type mouth struct {
	token  [tokenLimit]byte // the name being written, upper case, from "+" or "*"
	size   int
	in     *secret // whose parameters these are; nil for none
	param  int
	quoted bool
	erase  uint8 // BS, blank, BS is how an erased character is echoed
	code   bool  // inside a supplementary-service code that carries PINs
}

func (h *mouth) idle() bool { return h.size == 0 && h.in == nil && !h.code }

func (h *mouth) reset() { *h = mouth{} }

// mask follows s and returns it with its secrets hidden.
func (h *mouth) mask(s string) string {
	var out []byte
	for i := range len(s) {
		b := s[i]
		if !h.take(b) {
			continue
		}
		if out == nil {
			out = []byte(s)
		}
		out[i] = '*'
	}
	if out == nil {
		return s
	}
	return string(out)
}

// take follows one byte and says whether it is part of a secret.
func (h *mouth) take(b byte) bool {
	if b == '\r' || b == '\n' || b == 0x1A || b == 0x1B {
		h.reset()
		return false
	}
	if h.erased(b) {
		return false
	}
	if h.code {
		if b == '#' {
			h.reset()
		}
		return b >= '0' && b <= '9'
	}
	if h.in != nil && h.inside(b) {
		return true
	}
	if h.in == nil || h.in.digits {
		h.name(b)
	}
	return false
}

// erased handles the editing character (V.250 5.2.2), typed or echoed.
func (h *mouth) erased(b byte) bool {
	switch {
	case b == '\b' || b == 0x7F:
		if h.erase != 2 && h.size > 0 && h.in == nil {
			h.size--
		}
		h.erase = 1
		return true
	case b == ' ' && h.erase == 1:
		h.erase = 2
		return true
	}
	h.erase = 0
	return false
}

// inside follows a byte of the parameters and says whether it is secret.
func (h *mouth) inside(b byte) bool {
	switch {
	case b == '"':
		h.quoted = !h.quoted
		return false
	case b == ',' && (!h.quoted || h.in.digits):
		h.param++
		return false
	case b == ';' && !h.quoted:
		h.in = nil
		return false
	case b == ' ' && !h.quoted, b == '\\':
		return false
	}
	if h.param < h.in.first || h.param > h.in.last {
		return false
	}
	if h.in.digits {
		return b >= '0' && b <= '9'
	}
	return b != '?' || h.quoted
}

// name follows the name of a command and sees where its parameters begin.
func (h *mouth) name(b byte) {
	if b >= 'a' && b <= 'z' {
		b -= 'a' - 'A'
	}
	switch {
	case b == '+', b == '*' && (h.size == 0 || h.token[0] != '*'):
		h.token[0], h.size = b, 1
	case b == ' ' || b == 0:
	case b == '=':
		h.begin()
	case h.size > 0 && h.size < tokenLimit:
		h.token[h.size] = b
		h.size++
		// 3GPP TS 22.030 6.6.1: **04*, **042*, **05*, **052* change or unblock a PIN.
		switch string(h.token[:h.size]) {
		case "**04*", "**05*", "**042*", "**052*":
			h.code = true
		}
	default:
		h.size = 0
	}
}

// begin enters the parameters of a command, when it is one that carries secrets.
func (h *mouth) begin() {
	name := string(h.token[:h.size])
	h.size, h.in, h.param, h.quoted = 0, nil, 0, false
	for i := range secrets {
		if secrets[i].name == name {
			h.in = &secrets[i]
			return
		}
	}
}
