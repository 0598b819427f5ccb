package nmea

import (
	"errors"
	"strings"
	"testing"
)

func TestScan(t *testing.T) {
	tests := []struct {
		name, text   string
		talker, kind string
		fields       []string
		wrong        string // the error; "" for none
	}{
		{"usual", "$GNVTG,,T,,M,0.0,N,0.0,K,N*32", "GN", "VTG", []string{"", "T", "", "M", "0.0", "N", "0.0", "K", "N"}, ""},
		{"no checksum", "$GPGLL,4916.45,N,12311.12,W,225444,A", "GP", "GLL", []string{"4916.45", "N", "12311.12", "W", "225444", "A"}, ""},
		{"line end left on", "$GPGSV,1,1,00*79\r\n", "GP", "GSV", []string{"1", "1", "00"}, ""},
		{"no field", "$GPXYZ*4C", "GP", "XYZ", nil, ""},
		{"maker's own", "$PDEMO,1,,x*36", "P", "DEMO", []string{"1", "", "x"}, ""},
		{"query", "$CCGPQ,GGA*2B", "CC", "GPQ", []string{"GGA"}, ""},
		{"encapsulated", "!AIVDM,1,1,,A,13HOI:0P0000VOHLCnHQKwvL05Ip,0*23", "AI", "VDM", []string{"1", "1", "", "A", "13HOI:0P0000VOHLCnHQKwvL05Ip", "0"}, ""},
		{"tag block", `\s:demo,c:1700000000*3D\$GPGSV,1,1,00*79`, "GP", "GSV", []string{"1", "1", "00"}, ""},
		{"empty", "", "", "", nil, `nmea: byte 0 of "": want "$" or "!"`},
		{"not a sentence", "+CSQ: 7,99", "", "", nil, `nmea: byte 0 of "+CSQ: 7,99": want "$" or "!"`},
		{"open tag block", `\s:demo$GPGSV,1,1,00*79`, "", "", nil, `nmea: byte 23 of "\\s:demo$GPGSV,1,1,00*79": want a \ that closes the tag block`},
		{"two run together", "$GNGGA,101532.00,5142.6$GNRMC,101533.00,A*00", "GN", "GGA", []string{"101532.00", "5142.6$GNRMC", "101533.00", "A"},
			`nmea: byte 23 of "$GNGGA,101532.00,5142.6$GNRMC,101533.00,A*00": want no second sentence inside this one`},
		{"bad byte", "$GPGSV,1,\x80,00*79", "GP", "GSV", []string{"1", "\x80", "00"}, `nmea: byte 9 of "$GPGSV,1,\x80,00*79": want a printable character`},
		{"checksum cut", "$GPGSV,1,1,00*7", "GP", "GSV", []string{"1", "1", "00"}, `nmea: byte 14 of "$GPGSV,1,1,00*7": want two hexadecimal digits of checksum`},
		{"checksum no digits", "$GPGSV,1,1,00*G9", "GP", "GSV", []string{"1", "1", "00"}, `nmea: byte 14 of "$GPGSV,1,1,00*G9": want two hexadecimal digits of checksum`},
		{"more after it", "$GPGSV,1,1,00*79x", "GP", "GSV", []string{"1", "1", "00"}, `nmea: byte 16 of "$GPGSV,1,1,00*79x": want the end of the line after the checksum`},
		{"no address", "$,1*1D", "", "", []string{"1"}, `nmea: byte 1 of "$,1*1D": want an address as GPRMC`},
	}
	var s Sentence // reused: nothing of one may be seen in the next
	for _, test := range tests {
		err := Scan(test.text, &s)
		if errorText(err) != test.wrong {
			t.Errorf("%s:\n got %v\nwant %s", test.name, err, test.wrong)
		}
		var scanErr *ScanError
		if err != nil && !errors.As(err, &scanErr) {
			t.Errorf("%s: the error is a %T", test.name, err)
		}
		if s.Talker != test.talker || s.Type != test.kind || strings.Join(s.Fields(nil), ",") != strings.Join(test.fields, ",") || s.Count != len(test.fields) {
			t.Errorf("%s: %q %q %q", test.name, s.Talker, s.Type, s.Fields(nil))
		}
		for i := range MaxFields {
			if (i >= s.Count && s.Field(i+1) != "") || ((s.quick || i >= s.Count) && s.fields[i] != "") {
				t.Errorf("%s: field %d still says %q", test.name, i+1, s.fields[i])
			}
		}
	}
}

// A bad checksum is in the record, not an error. Source: testdata/samples.csv, the rows "bad".
func TestChecksum(t *testing.T) {
	for _, test := range []struct {
		text           string
		computed, said byte
		ok             bool
	}{
		{"$GNGLL,5327.04319,S,00214.41396,E,223232.00,A,A*22", 0x68, 0x22, false},
		{"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6B", 0x6A, 0x6B, false},
		{"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6a", 0x6A, 0x6A, true},
		{"$GPGSV,1,1,00", 0x79, 0, false}, // none written: nothing is proved
	} {
		var s Sentence
		if err := Scan(test.text, &s); err != nil {
			t.Error(err)
		}
		if s.Checksum != test.computed || s.Said != test.said || s.SumOK() != test.ok {
			t.Errorf("%s: computed %02X, said %02X, right %v", test.text, s.Checksum, s.Said, s.SumOK())
		}
	}
}

func TestTagBlockIsKept(t *testing.T) {
	var s Sentence
	if err := Scan(`\s:demo,c:1700000000*3D\$GPGSV,1,1,00*79`, &s); err != nil {
		t.Fatal(err)
	}
	if s.Tag != "s:demo,c:1700000000*3D" || s.Text != "$GPGSV,1,1,00*79" || !s.SumOK() {
		t.Errorf("tag %q, text %q", s.Tag, s.Text)
	}
	if err := Scan("$GPGSV,1,1,00*79", &s); err != nil || s.Tag != "" {
		t.Errorf("the tag stays: %q, %v", s.Tag, err)
	}
}

func TestTooManyFields(t *testing.T) {
	var s Sentence
	err := Scan("$GPXXX"+strings.Repeat(",7", MaxFields+1)+"*00", &s)
	if err == nil || !s.TooMany || s.Count != MaxFields || s.Field(MaxFields) != "7" || s.Field(MaxFields+1) != "" {
		t.Errorf("%v, count %d", err, s.Count)
	}
	if err := Scan("$GPXXX"+strings.Repeat(",7", MaxFields)+"*00", &s); err != nil || s.TooMany {
		t.Errorf("as many as may be: %v", err)
	}
}

// A line of noise as long as a file is cut once and told shortly.
func TestLongLine(t *testing.T) {
	var s Sentence
	err := Scan("$GPRMC"+strings.Repeat(",\x01", 5_000_000), &s)
	if err == nil || len(err.Error()) > 1000 || !s.TooMany {
		t.Errorf("%.200v", err)
	}
}

func TestQuery(t *testing.T) {
	var s Sentence
	_ = Scan("$CCGPQ,GGA*2B", &s) // the example of the public description of the standard
	if listener, wanted, ok := s.Query(); listener != "GP" || wanted != "GGA" || !ok || !s.SumOK() {
		t.Errorf("%q %q %v", listener, wanted, ok)
	}
	_ = Scan("$GPRMC,*00", &s)
	if _, _, ok := s.Query(); ok {
		t.Error("RMC asks nothing")
	}
}
