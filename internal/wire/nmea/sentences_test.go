package nmea

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file that holds a table is a sentence, and every sentence is in Kinds and in trips.
func TestKindsAreTheFolder(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	inFolder := map[string]bool{}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		kind, isGo := strings.CutSuffix(name, ".go")
		if isGo && strings.Contains(string(text), "const "+kind+"Name = ") {
			inFolder[strings.ToUpper(kind)] = true
		}
	}
	for i, k := range Kinds {
		if !inFolder[k.Name] {
			t.Errorf("%s has no file of its own", k.Name)
		}
		delete(inFolder, k.Name)
		if trips()[i].name != k.Name || records[k.Name] == nil {
			t.Errorf("%s is not tested there and back", k.Name)
		}
	}
	for name := range inFolder {
		t.Errorf("%s is not in Kinds", name)
	}
}

// Tables number their fields from 1 without a gap, and name each.
func TestTables(t *testing.T) {
	for _, k := range Kinds {
		for i, f := range k.Fields {
			if f.Number != i+1 || f.Name == "" {
				t.Errorf("%s row %d: %+v", k.Name, i+1, f)
			}
		}
	}
	// The newest layouts have so many fields: public tables of version 4.10 and 4.11.
	for name, want := range map[string]int{"RMC": 13, "GGA": 14, "GSA": 18, "GSV": 20, "GLL": 7, "VTG": 9, "ZDA": 6, "GNS": 13,
		"GST": 8, "TXT": 4, "GBS": 10, "GRS": 16, "DTM": 8, "HDT": 2, "THS": 2} {
		for _, k := range Kinds {
			if k.Name == name && len(k.Fields) != want {
				t.Errorf("%s has %d fields, want %d", name, len(k.Fields), want)
			}
		}
	}
}

func TestDescribe(t *testing.T) {
	tests := []struct {
		text  string
		field int
		want  FieldText // without its error
		err   string
	}{
		{"$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47", 2, FieldText{2, "latitude", "ddmm.mmmm", "", "4807.038", "48.1173000 degrees north", nil}, ""},
		{"$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47", 6, FieldText{6, "quality", "", "", "1", "standard GPS service", nil}, ""},
		{"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", 7, FieldText{7, "speed over ground", "knots", "", "022.4", "41.5 km/h, 11.5 m/s", nil}, ""},
		{"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", 9, FieldText{9, "date", "", "", "230394", "1994-03-23", nil}, ""},
		{"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,310294,003.1,W*6A", 9, FieldText{9, "date", "", "", "310294", "", nil}, `nmea: RMC field 9 (date) "310294": want a day of the calendar`},
		{"$GNRMC,103607.00,A,5327.03942,N,10214.42462,W,0.046,,060321,,,A,V*0E", 12, FieldText{12, "mode", "", "2.3", "A", "autonomous", nil}, ""},
		{"$GPGSV,1,1,00,1*64", 4, FieldText{4, "signal", "", "4.1", "1", "L1 C/A", nil}, ""},
		{"$GAGSV,3,1,09,02,00,179,,04,09,321,,07,11,134,11,11,10,227,,7*7F", 20, FieldText{20, "signal", "", "4.1", "7", "E1-BC", nil}, ""},
		{"$GBGSV,2,2,06,14,55,175,46,40,29,043,18,B*06", 8, FieldText{8, "satellite", "", "", "40", "BeiDou", nil}, ""},
		{"$GNGSA,A,3,13,12,22,19,08,21,,,,,,,1.05,0.64,0.83,4*0B", 18, FieldText{18, "system", "", "4.1", "4", "BeiDou", nil}, ""},
		{"$GNGSA,A,3,13,12,22,19,08,21,,,,,,,1.05,0.64,0.83,4*0B", 3, FieldText{3, "satellite used", "", "", "13", "BeiDou", nil}, ""},
		{"$GNGNS,103607.00,5327.03942,N,00214.42462,W,AANN,06,5.88,56.0,48.5,,,V*34", 6, FieldText{6, "mode of each system", "", "", "AANN",
			"GPS autonomous, GLONASS autonomous, Galileo not valid, BeiDou not valid", nil}, ""},
		{"$PDEMO,1,x*00", 2, FieldText{2, "the maker's own", "", "", "x", "", nil}, ""},
		{"$GPXYZ,1,x*00", 2, FieldText{2, "of a sentence that is not in our tables", "", "", "x", "", nil}, ""},
		{"$CCGPQ,GGA*00", 1, FieldText{1, "sentence asked for", "", "", "GGA", "the fix: time, position, quality, height", nil}, ""},
		{"$GPHDT,10.0,T,9*00", 3, FieldText{3, "not in the table of this sentence", "", "", "9", "", nil}, ""},
	}
	for _, test := range tests {
		var s Sentence
		if err := Scan(test.text, &s); err != nil {
			t.Fatal(err)
		}
		all := Describe(&s)
		if len(all) != s.Count {
			t.Errorf("%s: %d fields described", test.text, len(all))
		}
		got := all[test.field-1]
		err := got.Err
		got.Err = nil
		if got != test.want || errorText(err) != test.err {
			t.Errorf("%s:\n got %+v, %v\nwant %+v, %s", test.text, got, err, test.want, test.err)
		}
	}
}

func TestTitle(t *testing.T) {
	for text, want := range map[string]string{
		"$GNGGA,1*00":   "the fix: time, position, quality, height; several systems together",
		"$PDEMO,1*00":   "a maker's own sentence; its manual describes it",
		"$CCGPQ,GGA*00": "asks GP for GGA; talker CC",
		"$GPXYZ,1*00":   "a sentence that is not in our tables; GPS alone",
	} {
		var s Sentence
		_ = Scan(text, &s)
		if got := Title(&s); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

// Satellite ids: 1 to 32 GPS, 33 to 64 SBAS, 65 to 96 GLONASS, 1 up for the others under their
// own talker or system id (public tables); 193 to 202 QZSS on older equipment.
func TestSystemOf(t *testing.T) {
	for _, test := range []struct {
		talker         string
		system, number int
		want           string
	}{
		{"GP", 0, 1, GPS}, {"GP", 0, 32, GPS}, {"GP", 0, 33, SBAS}, {"GP", 1, 46, SBAS}, {"GP", 0, 65, GLONASS}, {"GP", 0, 193, QZSS},
		{"GL", 0, 70, GLONASS}, {"GA", 0, 12, Galileo}, {"GB", 0, 12, BeiDou}, {"BD", 0, 12, BeiDou}, {"GQ", 0, 3, QZSS}, {"GI", 0, 3, NavIC},
		{"GN", 0, 12, GPS}, {"GN", 0, 70, GLONASS}, {"GN", 1, 12, GPS}, {"GN", 2, 70, GLONASS}, {"GN", 3, 12, Galileo}, {"GN", 4, 12, BeiDou},
		{"GN", 5, 2, QZSS}, {"GN", 6, 2, NavIC}, {"GN", 0, 999, ""},
	} {
		if got := SystemOf(test.talker, test.system, test.number); got != test.want {
			t.Errorf("%s, system %d, satellite %d: %q, want %q", test.talker, test.system, test.number, got, test.want)
		}
	}
	for _, talker := range Talkers {
		if talkerSystem(talker.ID) != talker.System {
			t.Errorf("%s: %q in the table, %q in the switch", talker.ID, talker.System, talkerSystem(talker.ID))
		}
	}
}
