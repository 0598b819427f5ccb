package nmea

import "testing"

func seeds(f *testing.F) {
	for _, sample := range samples(f) {
		f.Add(sample.Text)
	}
	for _, text := range []string{
		"", "$", "!", "$*", "$*00", "$,*", "$G", "$GPRMC", "$GPRMC*4B", "$PDEMO,1*5A", "$CCGPQ,GGA*2B", `\s:demo,c:1700000000*5B\$GPGLL,4916.45,N,12311.12,W,225444,A*31`, `\open`,
		"$GNGGA,101532.00,5142.6$GNRMC,101533.00,A*00", "$GPGSV,1,1,02,07,31,210,21,13,05*00", "$GPRMC,\xff\x00*00", "$GPGLL,4916.45,N,12311.12,W,225444,A*31\r\n",
		"!AIVDM,1,1,,A,13HOI:0P0000VOHLCnHQKwvL05Ip,0*23", // an encapsulated sentence, common in public examples
		"$GNTXT,01,01,02,a^2Cb*00", "$GPVTG,054.7,034.4,005.5,010.2*00", "$GPRMC,235960.5,A,,,,,,,,,*00",
	} {
		f.Add(text)
	}
	for _, text := range drive(2) {
		f.Add(text)
	}
}

// Scan takes any text, and says the same by the quick way and the plain one; what it cut
// goes together again.
func FuzzScan(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text string) {
		checkAgreement(t, text)
		var s Sentence
		if err := Scan(text, &s); err != nil || s.Text[0] != '$' {
			return
		}
		address := s.Talker + s.Type
		again := Format(address, s.Fields(nil)...)
		if body := s.Text[:len(s.Text)-len("*00")*b2i(s.HasSum)]; again[:len(again)-len("*00")] != body {
			t.Errorf("%q goes together as %q", text, again)
		}
		var second Sentence
		if err := Scan(again, &second); err != nil || !second.SumOK() || second.Said != s.Checksum {
			t.Errorf("%q: %v, sum %02X, first %02X", again, err, second.Said, s.Checksum)
		}
	})
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Every decoder takes any fields; what it read, though it complained, encodes back to the same
// record; and Describe tells every field.
func FuzzDecode(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text string) {
		var s Sentence
		_ = Scan(text, &s)
		for _, p := range trips() { // also the wrong ones: a decoder reads what it is given
			record, _ := p.decode(&s)
			checkBack(t, p, record)
		}
		fields := Describe(&s)
		if len(fields) < s.Count {
			t.Errorf("%q: %d fields described of %d", text, len(fields), s.Count)
		}
	})
}
