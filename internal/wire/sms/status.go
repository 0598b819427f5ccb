package sms

import "fmt"

// Status is TP-ST: what became of a message, TS 23.040 clause 9.2.3.15.
type Status byte

// statuses is TS 23.040 clause 9.2.3.15. Wording ours; values from memory.
var statuses = [...]struct {
	from, to Status
	words    string
}{
	{0x00, 0x00, "delivered"},
	{0x01, 0x01, "forwarded, but the service centre cannot confirm delivery"},
	{0x02, 0x02, "replaced by the service centre"},
	{0x03, 0x0F, "finished; reserved value"},
	{0x10, 0x1F, "finished; value of the service centre"},
	{0x20, 0x20, "still trying: congestion"},
	{0x21, 0x21, "still trying: recipient busy"},
	{0x22, 0x22, "still trying: no answer from the recipient"},
	{0x23, 0x23, "still trying: service rejected"},
	{0x24, 0x24, "still trying: quality of service not available"},
	{0x25, 0x25, "still trying: error at the recipient"},
	{0x26, 0x2F, "still trying; reserved value"},
	{0x30, 0x3F, "still trying; value of the service centre"},
	{0x40, 0x40, "failed for good: remote procedure error"},
	{0x41, 0x41, "failed for good: destination incompatible"},
	{0x42, 0x42, "failed for good: connection rejected by the recipient"},
	{0x43, 0x43, "failed for good: not obtainable"},
	{0x44, 0x44, "failed for good: quality of service not available"},
	{0x45, 0x45, "failed for good: no interworking"},
	{0x46, 0x46, "failed for good: validity period over"},
	{0x47, 0x47, "failed for good: deleted by the sender"},
	{0x48, 0x48, "failed for good: deleted by the service centre"},
	{0x49, 0x49, "failed for good: the service centre does not know the message"},
	{0x4A, 0x4F, "failed for good; reserved value"},
	{0x50, 0x5F, "failed for good; value of the service centre"},
	{0x60, 0x60, "given up: congestion"},
	{0x61, 0x61, "given up: recipient busy"},
	{0x62, 0x62, "given up: no answer from the recipient"},
	{0x63, 0x63, "given up: service rejected"},
	{0x64, 0x64, "given up: quality of service not available"},
	{0x65, 0x65, "given up: error at the recipient"},
	{0x66, 0x6F, "given up; reserved value"},
	{0x70, 0x7F, "given up; value of the service centre"},
	{0x80, 0xFF, "reserved; counts as a refusal of the service"},
}

// Delivered says whether the message reached its recipient, or a place from
// which nothing more will be heard (0x00 to 0x1F: the transaction is complete).
func (s Status) Delivered() bool { return s < 0x20 }

// Trying says whether the service centre goes on trying.
func (s Status) Trying() bool { return s >= 0x20 && s < 0x40 }

// String says the status in words.
func (s Status) String() string {
	for _, row := range statuses {
		if s >= row.from && s <= row.to {
			return row.words
		}
	}
	return fmt.Sprintf("0x%02X", byte(s)) // unreachable: the rows cover every octet
}

// Cause is TP-FCS: why a message was refused, TS 23.040 clause 9.2.3.22.
type Cause byte

// causes is TS 23.040 clause 9.2.3.22.
var causes = [...]struct {
	from, to Cause
	words    string
}{
	{0x80, 0x80, "conversion to another kind of device not supported"},
	{0x81, 0x81, "type 0 message not supported"},
	{0x82, 0x82, "cannot replace the message"},
	{0x8F, 0x8F, "protocol identifier error"},
	{0x90, 0x90, "alphabet or coding not supported"},
	{0x91, 0x91, "message class not supported"},
	{0x9F, 0x9F, "data coding error"},
	{0xA0, 0xA0, "command cannot be carried out"},
	{0xA1, 0xA1, "command not supported"},
	{0xAF, 0xAF, "command error"},
	{0xB0, 0xB0, "message not supported"},
	{0xC0, 0xC0, "service centre busy"},
	{0xC1, 0xC1, "no subscription at the service centre"},
	{0xC2, 0xC2, "service centre failure"},
	{0xC3, 0xC3, "invalid address"},
	{0xC4, 0xC4, "destination barred"},
	{0xC5, 0xC5, "rejected as a duplicate"},
	{0xC6, 0xC6, "form of the validity period not supported"},
	{0xC7, 0xC7, "validity period not supported"},
	{0xD0, 0xD0, "the card's message store is full"},
	{0xD1, 0xD1, "the card cannot store messages"},
	{0xD2, 0xD2, "error in the device"},
	{0xD3, 0xD3, "memory full"},
	{0xD4, 0xD4, "the card's toolkit is busy"},
	{0xD5, 0xD5, "data download error"},
	{0xE0, 0xFE, "a cause of the application"},
	{0xFF, 0xFF, "cause not said"},
}

// String says the cause in words.
func (c Cause) String() string {
	for _, row := range causes {
		if c >= row.from && c <= row.to {
			return row.words
		}
	}
	return fmt.Sprintf("reserved cause 0x%02X", byte(c))
}

// CommandType is TP-CT: what a COMMAND asks for, TS 23.040 clause 9.2.3.19.
type CommandType byte

// String says the order in words.
func (c CommandType) String() string {
	switch {
	case c == 0:
		return "tell me what became of the message"
	case c == 1:
		return "cancel the status report of the message"
	case c == 2:
		return "delete the message"
	case c == 3:
		return "send a status report for the message"
	case c >= 0xE0:
		return "an order the service centre defines"
	}
	return fmt.Sprintf("reserved order 0x%02X", byte(c))
}
