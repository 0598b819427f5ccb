package verdict

import (
	"firstfix/internal/when"
	"firstfix/internal/wire/sms"
)

// A PDU is one message that passed the line in PDU mode, octet by octet.
type PDU struct {
	Record     int
	SourceLine int // line of the input; 0 when it came from a wire
	At         when.Instant
	From       string      // "controller" or "module"
	Kind       string      // "SUBMIT", "DELIVER"…
	Rules      []string    // rules whose findings point at it
	Fields     []sms.Field // every octet, in order
	Fault      string      // where reading stopped and what would have fitted; "" when it was read whole
}
