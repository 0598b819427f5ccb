package geo

import (
	"strings"
	"testing"
)

// TestFindAll: what a device sends, and what it does not send. Each line is one
// text; wanted are the parts that are positions.
func TestFindAll(t *testing.T) {
	for _, row := range []struct {
		text string
		want []string
	}{
		{"trailer 07 at 51.710217,-0.307367 speed 0", []string{"51.710217,-0.307367"}},
		{"pos 51.71021 , -0.30736", []string{"51.71021 , -0.30736"}},
		{"52.10,6.88", []string{"52.10,6.88"}},
		{"Lat 0.000000 Lon 0.000000", []string{"Lat 0.000000 Lon 0.000000"}},
		{"Lat:51.71 Lon:-0.31 Batt:3.92", []string{"Lat:51.71 Lon:-0.31"}},
		{"$GNRMC,101530.00,A,5142.61300,N,00018.44200,W,0.0,,040326,,,A*74", []string{"5142.61300,N,00018.44200,W"}},
		{"here: https://map.example/?q=51.7,-0.3 ok", []string{"51.7,-0.3"}},
		{"https://map.example/?q=0,0", []string{"0,0"}},
		{"two: 51.710217,-0.307367 and 48.201000;16.369500.", []string{"51.710217,-0.307367", "48.201000;16.369500"}},
		{"51,710217; -0,307367", []string{"51,710217; -0,307367"}},
		{"51,710217,-0,307367", []string{"51,710217,-0,307367"}},
		{"1,51.710217,-0.307367,87.2,0.0", []string{"51.710217,-0.307367"}},
		{"20260304101530.000,51.710217,-0.307367,87.2", []string{"51.710217,-0.307367"}},
		{"AT+CMGS=\"+12025550143\"\r51.710217,-0.307367\x1a", []string{"51.710217,-0.307367"}},
		{"151.209305,-33.868820", []string{"151.209305,-33.868820"}}, // the axes swapped
		{"51\u00b042.613'N 0\u00b018.442'W", []string{"51\u00b042.613'N 0\u00b018.442'W"}},
		{"T07 N51.710217 W0.307367 10:15", []string{"N51.710217 W0.307367"}},
		{"51.71N 0.30W", []string{"51.71N 0.30W"}},
		{"geo:51.7,-0.3?z=3 and geo:bad", []string{"geo:51.7,-0.3?z=3"}},
		{"5142.6130,-00018.4420", []string{"5142.6130,-00018.4420"}},
		{"{\"id\":7,\"lat\":51.71,\"lon\":-0.31,\"v\":3.7}", []string{"lat\":51.71,\"lon\":-0.31"}},

		// Look-alikes.
		{"", nil},
		{"+CSQ: 17,0", nil},
		{"+CBC: 0,64,3712", nil},
		{"+CREG: 2,1,\"00A1\",\"00B2C3D4\",7", nil},
		{"AT+CSMP=17,167,0,8", nil},
		{"+CCLK: \"26/03/04,10:15:30+00\"", nil},
		{"+CMT: \"+447700900123\",,\"26/03/04,10:15:30+00\"", nil},
		{"+12025550143 10:15:30 2026-03-04", nil},
		{"04.03.2026 10.15", nil},
		{"on 04.03,10.15", nil},
		{"bat 3.71,4.02 V", nil},
		{"v1.2345,6.7890", nil},
		{"10.41.7.9, 192.168.0.1", nil},
		{"+CGPADDR: 1,10.41.7.9", nil},
		{"Lat: ? Lon: ?", nil},
		{"Lat: %f Lon: %f", nil},
		{"lat 51.7", nil},
		{"12 E 13 N", nil},
		{"5 nuts, 3 washers", nil},
		{"$GPGSV,1,1,02,05,62,110,44,13,48,250,41*76", nil},
		{"$GPGST,172814.0,0.0061,0.0231,0.0200,273.6,0.0230,0.0200,0.0310*6A", nil},
		{"$GNGSA,A,3,05,13,20,,,,,,,,,,1.9012,1.0101,1.6101*0C", nil},
		{"$GPRMC,101530.00,V,,,,,,,040326,,,N*78", nil},
		{"speed 12.5, course 84.4", nil},
		{"0.006,0.023,0.020", nil},
		{"1234567890.1234,5678901234.5678", nil},
		{"serial 7E1 9600,8", nil},
		{"AT+COPS=1,2,\"23415\"", nil},
		{"#15/51/0", nil},
	} {
		var got []string
		for _, r := range FindAll(row.text, 0) {
			got = append(got, row.text[r.At:r.At+r.Len])
			if !strings.Contains(row.text, r.LatText) || !strings.Contains(row.text, r.LonText) {
				t.Errorf("%q: texts %q %q", row.text, r.LatText, r.LonText)
			}
		}
		if strings.Join(got, "|") != strings.Join(row.want, "|") {
			t.Errorf("%q: found %q, want %q", row.text, got, row.want)
		}
	}
}

func TestFindAllStopsAtMax(t *testing.T) {
	text := strings.Repeat("51.710217,-0.307367 ", 50)
	for _, max := range []int{1, 7, 50, 1000} {
		if got := len(FindAll(text, max)); got != min(max, 50) {
			t.Errorf("max %d: %d", max, got)
		}
	}
}

func FuzzFindAll(f *testing.F) {
	for _, text := range []string{
		"trailer 07 at 51.710217,-0.307367", "$GNRMC,101530.00,A,5142.61300,N,00018.44200,W,0.0,,040326,,,A*74",
		"https://map.example/?lat=51.7&lon=-0.3", "geo:1,2;u=3", "lat lon lat: lon:", "1,1,1,1,1,1", "51,71234;0,12345", "N1.5E2.5N", "$GPGGA",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		end := 0
		for _, r := range FindAll(text, 0) {
			if r.At < end || r.Len <= 0 || r.At+r.Len > len(text) {
				t.Fatalf("%q: reading at %d+%d after %d", text, r.At, r.Len, end)
			}
			end = r.At + r.Len
			if !r.Point.Valid() && len(r.Notes) == 0 {
				t.Fatalf("%q: %v without a note", text, r.Point)
			}
		}
	})
}

// Enough: 20 MB/s of talk. Only what a controller sends is looked into, a small part of a capture.
func BenchmarkFindAll(b *testing.B) {
	text := strings.Repeat("AT+CMGS=\"+12025550143\"\r\n> trailer 07 51.710217,-0.307367 at 10:15\r\n+CMGS: 12\r\n\r\nOK\r\n+CREG: 0,1\r\n+CSQ: 17,99\r\n", 100)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if len(FindAll(text, 0)) != 100 {
			b.Fatal("not all found")
		}
	}
}
