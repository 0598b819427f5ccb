package nmea

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"firstfix/internal/maybe"
)

// Every sample scans, its checksum is what its note says, and it decodes without a
// complaint, by the quick way and by the table alike. Sources: testdata/samples.csv.
func TestSamples(t *testing.T) {
	for _, sample := range samples(t) {
		var s Sentence
		if err := Scan(sample.Text, &s); err != nil {
			t.Errorf("%v", err)
		}
		if s.SumOK() == sample.Bad {
			t.Errorf("%s: checksum %02X, said %02X; %s", sample.Text, s.Checksum, s.Said, sample.Note)
		}
		p, ok := tripFor(&s)
		if !ok {
			t.Fatalf("%s: no decoder", sample.Text)
		}
		got, err := p.decode(&s)
		if err != nil {
			t.Errorf("%s: %v", sample.Text, err)
		}
		if want, _ := p.table(&s); !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\n%+v by the quick way\n%+v by the table", sample.Text, got, want)
		}
		for _, f := range Describe(&s) {
			if f.Err != nil || f.Name == "" {
				t.Errorf("%s: described as %+v", sample.Text, f)
			}
		}
	}
}

// What the samples say, checked against what their sources print beside them or
// what can be worked out by hand.
func TestSampleValues(t *testing.T) {
	known := maybe.Known[float64]
	day := maybe.Known[Date]
	at := func(h, m int, s float64) clockTime {
		return maybe.Known(time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(s*1e9))
	}
	lat := func(deg float64, text string, side byte) angle { return maybe.Known(Angle{deg, text, side}) }
	tests := []struct {
		text string
		want any
	}{
		// Tutorial: 48°07.038' N, 11°31.000' E, 545.4 m, eight satellites.
		{"$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47", GGA{
			Time: at(12, 35, 19), Lat: lat(48.1173, "4807.038", 'N'), Lon: lat(11+31.0/60, "01131.000", 'E'),
			Quality: maybe.Known(1), SatellitesUsed: maybe.Known(8), HDOP: known(0.9), AltitudeM: known(545.4), GeoidM: known(46.9)}},
		// Tutorial: 22.4 kn, 84.4°, 23 March 1994, variation 3.1° W.
		{"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", RMC{
			Time: at(12, 35, 19), Valid: maybe.Known(true), Lat: lat(48.1173, "4807.038", 'N'), Lon: lat(11+31.0/60, "01131.000", 'E'),
			SpeedKnots: known(22.4), CourseDeg: known(84.4), Date: day(Date{1994, 3, 23}), VariationDeg: known(-3.1)}},
		// Library: form of version 4.1, no course, west.
		{"$GNRMC,103607.00,A,5327.03942,N,10214.42462,W,0.046,,060321,,,A,V*0E", RMC{
			Time: at(10, 36, 7), Valid: maybe.Known(true), Lat: lat((53*60+27.03942)/60, "5327.03942", 'N'),
			Lon: lat(-(102*60+14.42462)/60, "10214.42462", 'W'), SpeedKnots: known(0.046), Date: day(Date{2021, 3, 6}), Mode: 'A', NavStatus: 'V'}},
		// Library: a cold start. Zeros, but void; the date is the receiver's guess.
		{"$GPRMC,235947.000,V,0000.0000,N,00000.0000,E,,,041299,,*1D", RMC{
			Time: at(23, 59, 47), Valid: maybe.Known(false), Lat: lat(0, "0000.0000", 'N'), Lon: lat(0, "00000.0000", 'E'), Date: day(Date{1999, 12, 4})}},
		// Library: negative altitude, no age, station 0.
		{"$GPGGA,034225.077,3356.4650,S,15124.5567,E,1,03,9.7,-25.0,M,21.0,M,,0000*51", GGA{
			Time: at(3, 42, 25.077), Lat: lat(-(33*60+56.4650)/60, "3356.4650", 'S'), Lon: lat((151*60+24.5567)/60, "15124.5567", 'E'),
			Quality: maybe.Known(1), SatellitesUsed: maybe.Known(3), HDOP: known(9.7), AltitudeM: known(-25), GeoidM: known(21), StationID: maybe.Known(0)}},
		// Made: before the fix nothing is known, and nothing is 0 but the count.
		{"$GPGGA,000000.00,,,,,0,00,99.99,,,,,,*66", GGA{Time: at(0, 0, 0), Quality: maybe.Known(0), SatellitesUsed: maybe.Known(0), HDOP: known(99.99)}},
		// Tutorial: seven satellites, gaps among them.
		{"$GPGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1*39", GSA{Selection: 'A', Fix: maybe.Known(3),
			Satellites: [12]int{4, 5, 9, 12, 24}, Used: 5, PDOP: known(2.5), HDOP: known(1.3), VDOP: known(2.1)}},
		{"$GNGSA,A,3,13,12,22,19,08,21,,,,,,,1.05,0.64,0.83,4*0B", GSA{Selection: 'A', Fix: maybe.Known(3),
			Satellites: [12]int{13, 12, 22, 19, 8, 21}, Used: 6, PDOP: known(1.05), HDOP: known(0.64), VDOP: known(0.83), SystemID: maybe.Known(4)}},
		// Library: a short last sentence with a signal id, and one satellite without C/N0.
		{"$GPGSV,3,3,11,23,27,251,31,24,89,268,26,25,05,223,,1*5A", GSV{Total: maybe.Known(3), Number: maybe.Known(3), InView: maybe.Known(11), Given: 3,
			Satellites: [4]InView{{23, known(27), known(251), known(31)}, {24, known(89), known(268), known(26)}, {25, known(5), known(223), decimals{}}}, SignalID: maybe.Known(1)}},
		{"$GPGSV,3,3,09,24,03,046,*47", GSV{Total: maybe.Known(3), Number: maybe.Known(3), InView: maybe.Known(9), Given: 1,
			Satellites: [4]InView{{24, known(3), known(46), decimals{}}}}},
		// Library: BeiDou B2I is signal B.
		{"$GBGSV,2,2,06,14,55,175,46,40,29,043,18,B*06", GSV{Total: maybe.Known(2), Number: maybe.Known(2), InView: maybe.Known(6), Given: 2,
			Satellites: [4]InView{{14, known(55), known(175), known(46)}, {40, known(29), known(43), known(18)}}, SignalID: maybe.Known(11)}},
		// Made: the fourth field is a signal, not a satellite; and the older form without it.
		{"$GPGSV,1,1,00,1*64", GSV{Total: maybe.Known(1), Number: maybe.Known(1), InView: maybe.Known(0), SignalID: maybe.Known(1)}},
		{"$GPGSV,1,1,00*79", GSV{Total: maybe.Known(1), Number: maybe.Known(1), InView: maybe.Known(0)}},
		// Tutorial: 49°16.45' N, 123°11.12' W; with and without an empty mode.
		{"$GPGLL,4916.45,N,12311.12,W,225444,A,*1D", GLL{Lat: lat((49*60+16.45)/60, "4916.45", 'N'), Lon: lat(-(123*60+11.12)/60, "12311.12", 'W'), Time: at(22, 54, 44), Valid: maybe.Known(true)}},
		{"$GPGLL,4916.45,N,12311.12,W,225444,A*31", GLL{Lat: lat((49*60+16.45)/60, "4916.45", 'N'), Lon: lat(-(123*60+11.12)/60, "12311.12", 'W'), Time: at(22, 54, 44), Valid: maybe.Known(true)}},
		// Tutorial: 5.5 kn is 10.2 km/h.
		{"$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48", VTG{CourseDeg: known(54.7), CourseMagneticDeg: known(34.4), SpeedKnots: known(5.5), SpeedKMH: known(10.2)}},
		// Library: cut short; what is missing is not known.
		{"$GPVTG,,T,,M,0.00,N*1B", VTG{SpeedKnots: known(0)}},
		{"$GPZDA,172809.456,12,07,1996,00,00*57", ZDA{Time: at(17, 28, 9.456), Day: maybe.Known(12), Month: maybe.Known(7), Year: maybe.Known(1996), ZoneHours: known(0), ZoneMinutes: known(0)}},
		// Library: 88 characters with its line end, six over the limit; seven decimals of a minute.
		{"$GPGNS,224749.00,3333.4268304,N,11153.3538273,W,D,19,0.6,406.110,-26.294,6.0,0138,S*6A", GNS{Time: at(22, 47, 49),
			Lat: lat((33*60+33.4268304)/60, "3333.4268304", 'N'), Lon: lat(-(111*60+53.3538273)/60, "11153.3538273", 'W'), Modes: "D", SatellitesUsed: maybe.Known(19),
			HDOP: known(0.6), AltitudeM: known(406.11), GeoidM: known(-26.294), DifferentialAgeS: known(6), StationID: maybe.Known(138), NavStatus: 'S'}},
		{"$GPGST,172814.0,0.006,0.023,0.020,273.6,0.023,0.020,0.031*6A", GST{Time: at(17, 28, 14), RangeRMSM: known(0.006), MajorM: known(0.023), MinorM: known(0.02),
			OrientationDeg: known(273.6), LatM: known(0.023), LonM: known(0.02), AltitudeM: known(0.031)}},
		{"$GPDTM,W84,,0.0,N,0.0,E,0.0,W84*6F", DTM{Datum: "W84", LatMinutes: known(0), LonMinutes: known(0), AltitudeM: known(0), Reference: "W84"}},
		{"$GPGBS,235458.00,1.4,1.3,3.1,03,,-21.4,3.8,1,0*5A", GBS{Time: at(23, 54, 58), LatM: known(1.4), LonM: known(1.3), AltitudeM: known(3.1), Satellite: 3,
			BiasM: known(-21.4), BiasDeviationM: known(3.8), SystemID: maybe.Known(1), SignalID: maybe.Known(0)}},
		{"$GNTXT,01,01,02,ANTENNA OPEN*38", TXT{Total: maybe.Known(1), Number: maybe.Known(1), ID: maybe.Known(2), Text: "ANTENNA OPEN"}},
	}
	for _, test := range tests {
		var s Sentence
		if err := Scan(test.text, &s); err != nil {
			t.Fatal(err)
		}
		p, _ := tripFor(&s)
		got, err := p.decode(&s)
		if err != nil {
			t.Errorf("%s: %v", test.text, err)
		}
		if !reflect.DeepEqual(nearly(got), nearly(test.want)) {
			t.Errorf("%s:\n got %+v\nwant %+v", test.text, got, test.want)
		}
	}
}

// nearly rounds the angles of a record to 10^-12 degrees (0.1 µm): those in the test above
// are worked out in floating point. TestAngleIsNearest asks for the last bit.
func nearly(record any) any {
	v := reflect.New(reflect.TypeOf(record)).Elem()
	v.Set(reflect.ValueOf(record))
	for _, name := range []string{"Lat", "Lon"} {
		if f := v.FieldByName(name); f.IsValid() && f.Type() == reflect.TypeFor[angle]() {
			if a, ok := f.Interface().(angle).Get(); ok {
				a.Deg = math.Round(a.Deg*1e12) / 1e12
				f.Set(reflect.ValueOf(maybe.Known(a)))
			}
		}
	}
	return v.Interface()
}

// A bad field costs that field and no other, and the error names it.
func TestBadFields(t *testing.T) {
	const good = "123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W,A,V"
	tests := []struct {
		field int
		text  string
		want  string // the error
	}{
		{1, "246060", `nmea: RMC field 1 (time of measurement, UTC) "246060": want a time of day, 000000 to 235960`},
		{1, "12351", `nmea: RMC field 1 (time of measurement, UTC) "12351": want hhmmss.ss`},
		{1, "12:35:19", `nmea: RMC field 1 (time of measurement, UTC) "12:35:19": want hhmmss.ss`},
		{1, "125960", `nmea: RMC field 1 (time of measurement, UTC) "125960": want a time of day, 000000 to 235960`},
		{2, "X", `nmea: RMC field 2 (status) "X": want A or V`},
		{3, "4860.000", `nmea: RMC field 3 (latitude, ddmm.mmmm) "4860.000": want minutes below 60`},
		{3, "9000.001", `nmea: RMC field 3 (latitude, ddmm.mmmm) "9000.001": want at most 90 degrees`},
		{3, "48.1173", `nmea: RMC field 3 (latitude, ddmm.mmmm) "48.1173": want ddmm.mmmm`},
		{3, "4807.0G8", `nmea: RMC field 3 (latitude, ddmm.mmmm) "4807.0G8": want ddmm.mmmm`},
		{4, "", `nmea: RMC field 4 (north or south) "": want N or S`},
		{4, "E", `nmea: RMC field 4 (north or south) "E": want N or S`},
		{5, "18000.01", `nmea: RMC field 5 (longitude, dddmm.mmmm) "18000.01": want at most 180 degrees`},
		{5, "1131.000", `nmea: RMC field 5 (longitude, dddmm.mmmm) "1131.000": want dddmm.mmmm`},
		{6, "O", `nmea: RMC field 6 (east or west) "O": want E or W`},
		{7, "x", `nmea: RMC field 7 (speed over ground, knots) "x": want a number`},
		{7, "-1.0", `nmea: RMC field 7 (speed over ground, knots) "-1.0": want a number not below 0`},
		{7, ".", `nmea: RMC field 7 (speed over ground, knots) ".": want a number`},
		{7, "1.2.3", `nmea: RMC field 7 (speed over ground, knots) "1.2.3": want a number`},
		{8, "361", `nmea: RMC field 8 (course over ground, true, degrees) "361": want a number from 0 to 360`},
		{9, "310204", `nmea: RMC field 9 (date) "310204": want a day of the calendar`},
		{9, "2003994", `nmea: RMC field 9 (date) "2003994": want ddmmyy`},
		{11, "", `nmea: RMC field 11 (variation east or west) "": want E or W`},
		{12, "Z", `nmea: RMC field 12 (mode) "Z": want one of A, D, E, F, M, N, P, R, S`},
		{13, "A", `nmea: RMC field 13 (navigational status) "A": want one of C, S, U, V`},
	}
	var whole Sentence
	if err := Scan(Format("GPRMC", good), &whole); err != nil {
		t.Fatal(err)
	}
	want, _ := DecodeRMC(&whole)
	for _, test := range tests {
		fields := strings.Split(good, ",")
		fields[test.field-1] = test.text
		var s Sentence
		if err := Scan(Format("GPRMC", fields...), &s); err != nil {
			t.Fatal(err)
		}
		got, err := DecodeRMC(&s)
		if err == nil || err.Error() != test.want {
			t.Errorf("field %d %q:\n got %v\nwant %v", test.field, test.text, err, test.want)
		}
		var fieldErr *FieldError
		if !errors.As(err, &fieldErr) || fieldErr.Number != test.field || fieldErr.Text != test.text {
			t.Errorf("field %d: error is %+v", test.field, fieldErr)
		}
		if lost := differences(got, want); lost != 1 {
			t.Errorf("field %d %q: %d values differ, want 1 lost:\n%+v", test.field, test.text, lost, got)
		}
	}
}

// differences counts the fields of two records that are not the same.
func differences(a, b any) (n int) {
	va, vb := reflect.ValueOf(a), reflect.ValueOf(b)
	for i := range va.NumField() {
		if !reflect.DeepEqual(va.Field(i).Interface(), vb.Field(i).Interface()) {
			n++
		}
	}
	return n
}

// Several bad fields are all named.
func TestSeveralBadFields(t *testing.T) {
	var s Sentence
	if err := Scan(Format("GPGGA", "9", "x", "N", "y", "E", "9", "1000", "-1", "a", "F", "b", "F", "c", "d"), &s); err != nil {
		t.Fatal(err)
	}
	r, err := DecodeGGA(&s)
	if r != (GGA{}) {
		t.Errorf("something was read: %+v", r)
	}
	if n := len(err.(interface{ Unwrap() []error }).Unwrap()); n != 12 {
		t.Errorf("%d fields named, want 12 of 14 (the hemispheres are right):\n%v", n, err)
	}
}

// The last satellite of a GSV was cut: what is there is read, and the error says so.
func TestCutGSV(t *testing.T) {
	var s Sentence
	if err := Scan(Format("GPGSV", "1,1,02,07,31,210,21,13,05"), &s); err != nil {
		t.Fatal(err)
	}
	r, err := DecodeGSV(&s)
	want := `nmea: GSV field 8 (satellite) "13": want four fields for each satellite`
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if r.Given != 2 || r.Satellites[1].ID != 13 || r.Satellites[1].ElevationDeg != maybe.Known(5.0) || r.Satellites[1].AzimuthDeg.IsKnown() {
		t.Errorf("read as %+v", r)
	}
}

// A very old VTG has no letters (from memory).
func TestOldVTG(t *testing.T) {
	var s Sentence
	if err := Scan(Format("GPVTG", "054.7,034.4,005.5,010.2"), &s); err != nil {
		t.Fatal(err)
	}
	r, err := DecodeVTG(&s)
	want := VTG{CourseDeg: maybe.Known(54.7), CourseMagneticDeg: maybe.Known(34.4), SpeedKnots: maybe.Known(5.5), SpeedKMH: maybe.Known(10.2)}
	if err != nil || r != want {
		t.Errorf("%+v, %v", r, err)
	}
}

// A comma in a text should be ^2C; one that is written as it is does no harm either.
func TestTextEscapes(t *testing.T) {
	for _, text := range []string{"01,01,02,a^2Cb^5Ec^zz^2", "01,01,02,a,b^5Ec^zz^2"} {
		var s Sentence
		if err := Scan(Format("GNTXT", text), &s); err != nil {
			t.Fatal(err)
		}
		if r, err := DecodeTXT(&s); err != nil || r.Text != "a,b^c^zz^2" {
			t.Errorf("%s: %q, %v", text, r.Text, err)
		}
	}
}

func TestGNSMode(t *testing.T) {
	for modes, want := range map[string]Mode{"": 0, "N": 'N', "NNA": 'A', "AAN": 'A', "RR": 'R', "AD": 'D', "EN": 'E', "NS": 'S', "DF": 'F'} {
		r := GNS{Modes: modes}
		if got := r.Mode(); got != want {
			t.Errorf("%q: %q, want %q", modes, got, want)
		}
	}
}
