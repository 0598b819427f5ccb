package sms

import "fmt"

// pids is TS 23.040 clause 9.2.3.9. Values with a mark were set from memory.
var pids = [...]struct {
	from, to byte
	words    string
}{
	{0x00, 0x00, "ordinary message"},
	{0x01, 0x1F, "a protocol of the service centre, no conversion"}, // from memory
	{0x20, 0x20, "conversion to a kind of device the service centre chooses"},
	{0x21, 0x21, "conversion to telex"},
	{0x22, 0x22, "conversion to group 3 fax"},
	{0x23, 0x23, "conversion to group 4 fax"},
	{0x24, 0x24, "conversion to speech"},
	{0x25, 0x25, "conversion to the ERMES paging system"},
	{0x26, 0x26, "conversion to a national paging system"},
	{0x27, 0x27, "conversion to videotex"},                      // from memory
	{0x28, 0x28, "conversion to teletex, carrier not said"},     // from memory
	{0x29, 0x29, "conversion to teletex over packet data"},      // from memory
	{0x2A, 0x2A, "conversion to teletex over circuit data"},     // from memory
	{0x2B, 0x2B, "conversion to teletex over a telephone line"}, // from memory
	{0x2C, 0x2C, "conversion to teletex over ISDN"},             // from memory
	{0x2D, 0x2D, "conversion to UCI"},                           // from memory
	{0x30, 0x30, "conversion for a message handling facility"},  // from memory
	{0x31, 0x31, "conversion to a public X.400 message system"},
	{0x32, 0x32, "conversion to internet mail"},
	{0x38, 0x3E, "a conversion each service centre defines"},
	{0x3F, 0x3F, "conversion to what a mobile station can show"},
	{0x20, 0x3F, "a reserved conversion"},
	{0x40, 0x40, "type 0: acknowledged and thrown away, never shown"},
	{0x41, 0x41, "replaces an older message of type 1 from the same sender"},
	{0x42, 0x42, "replaces an older message of type 2 from the same sender"},
	{0x43, 0x43, "replaces an older message of type 3 from the same sender"},
	{0x44, 0x44, "replaces an older message of type 4 from the same sender"},
	{0x45, 0x45, "replaces an older message of type 5 from the same sender"},
	{0x46, 0x46, "replaces an older message of type 6 from the same sender"},
	{0x47, 0x47, "replaces an older message of type 7 from the same sender"},
	{0x5E, 0x5E, "enhanced message service, obsolete"}, // from memory
	{0x5F, 0x5F, "return call message"},
	{0x7C, 0x7C, "ANSI-136 R-DATA, for the card"},                   // from memory
	{0x7D, 0x7D, "data download to the device"},                     // from memory
	{0x7E, 0x7E, "takes a lock off the device (depersonalisation)"}, // from memory
	{0x7F, 0x7F, "data download to the card"},
	{0x40, 0x7F, "reserved; a receiver takes it as an ordinary message"},
	{0x80, 0xBF, "reserved; a receiver takes it as an ordinary message"},
	{0xC0, 0xFF, "defined by the service centre"},
}

// ReadPID says what a protocol identifier means, TS 23.040 clause 9.2.3.9.
func ReadPID(pid byte) string {
	for _, row := range pids {
		if pid >= row.from && pid <= row.to {
			return row.words
		}
	}
	return fmt.Sprintf("0x%02X", pid) // unreachable: the rows cover every octet
}
