package nmea

import "testing"

// Sums: widely copied public tutorial sample; verified by hand XOR.
func TestScanTutorial(t *testing.T) {
	var s Sentence
	if err := Scan("$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47", &s); err != nil {
		t.Fatal(err)
	}
	if !s.SumOK() || s.Talker != "GP" || s.Type != "GGA" || s.Count != 14 || s.Field(2) != "4807.038" || s.Field(14) != "" {
		t.Errorf("%+v", s)
	}
}
