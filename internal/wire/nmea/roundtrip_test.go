package nmea

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"firstfix/internal/maybe"
)

// some is a value that is now and then not known.
func some[T any](g *rapid.Generator[T]) *rapid.Generator[maybe.Value[T]] {
	return rapid.Custom(func(t *rapid.T) maybe.Value[T] {
		if rapid.IntRange(0, 4).Draw(t, "known") == 0 {
			return maybe.Value[T]{}
		}
		return maybe.Known(g.Draw(t, "value"))
	})
}

func numbers(low, high float64) *rapid.Generator[decimals] {
	return some(rapid.Custom(func(t *rapid.T) float64 {
		scale := rapid.SampledFrom([]float64{1, 10, 100, 1000, 1e5}).Draw(t, "scale")
		return float64(rapid.Int64Range(int64(low*scale), int64(high*scale)).Draw(t, "n")) / scale
	}))
}

func ints(low, high int) *rapid.Generator[wholes] { return some(rapid.IntRange(low, high)) }

func clocks() *rapid.Generator[clockTime] {
	return some(rapid.Custom(func(t *rapid.T) time.Duration {
		unit := rapid.SampledFrom([]int64{1, 1000, 1e6, 1e7, 1e8, 1e9}).Draw(t, "unit")
		return time.Duration(rapid.Int64Range(0, 86400e9/unit).Draw(t, "time") * unit) // up to the leap second
	}))
}

func dates() *rapid.Generator[calendar] {
	return some(rapid.Custom(func(t *rapid.T) Date {
		day := time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 36524).Draw(t, "day"))
		return NewDate(day.Year(), int(day.Month()), day.Day())
	}))
}

func angles(limit float64, make func(float64, int) Angle) *rapid.Generator[angle] {
	return some(rapid.Custom(func(t *rapid.T) Angle {
		return make(rapid.Float64Range(-limit, limit).Draw(t, "degrees"), rapid.IntRange(0, 8).Draw(t, "decimals"))
	}))
}

func letters[L ~byte](table *[256]string) *rapid.Generator[L] {
	list := []L{0}
	for c, s := range table {
		if s != "" {
			list = append(list, L(c))
		}
	}
	return rapid.SampledFrom(list)
}

// records makes a record of each kind, named as in Kinds.
var records = map[string]*rapid.Generator[any]{
	"RMC": rapid.Custom(func(t *rapid.T) any {
		return RMC{clocks().Draw(t, "time"), some(rapid.Bool()).Draw(t, "valid"), angles(90, Latitude).Draw(t, "lat"), angles(180, Longitude).Draw(t, "lon"),
			numbers(0, 999).Draw(t, "knots"), numbers(0, 360).Draw(t, "course"), dates().Draw(t, "date"), numbers(-180, 180).Draw(t, "variation"),
			letters[Mode](&modes).Draw(t, "mode"), letters[NavStatus](&navStatuses).Draw(t, "nav")}
	}),
	"GGA": rapid.Custom(func(t *rapid.T) any {
		return GGA{clocks().Draw(t, "time"), angles(90, Latitude).Draw(t, "lat"), angles(180, Longitude).Draw(t, "lon"), ints(0, 8).Draw(t, "quality"),
			ints(0, 99).Draw(t, "used"), numbers(0, 99).Draw(t, "hdop"), numbers(-500, 9000).Draw(t, "altitude"), numbers(-110, 90).Draw(t, "geoid"),
			numbers(0, 999).Draw(t, "age"), ints(0, 1023).Draw(t, "station")}
	}),
	"GSA": rapid.Custom(func(t *rapid.T) any {
		r := GSA{Selection: letters[byte](&gsaSelections).Draw(t, "selection"), Fix: ints(1, 3).Draw(t, "fix"), Used: rapid.IntRange(0, 12).Draw(t, "used"),
			PDOP: numbers(0, 99).Draw(t, "pdop"), HDOP: numbers(0, 99).Draw(t, "hdop"), VDOP: numbers(0, 99).Draw(t, "vdop"), SystemID: ints(0, 15).Draw(t, "system")}
		for i := range r.Used {
			r.Satellites[i] = rapid.IntRange(1, 400).Draw(t, "id")
		}
		return r
	}),
	"GSV": rapid.Custom(func(t *rapid.T) any {
		r := GSV{Total: ints(1, 9).Draw(t, "total"), Number: ints(1, 9).Draw(t, "number"), InView: ints(0, 40).Draw(t, "view"),
			Given: rapid.IntRange(0, 4).Draw(t, "given"), SignalID: ints(0, 15).Draw(t, "signal")}
		for i := range r.Given {
			r.Satellites[i] = InView{rapid.IntRange(1, 400).Draw(t, "id"), numbers(-90, 90).Draw(t, "elevation"),
				numbers(0, 360).Draw(t, "azimuth"), numbers(0, 99).Draw(t, "C/N0")}
		}
		return r
	}),
	"GLL": rapid.Custom(func(t *rapid.T) any {
		return GLL{angles(90, Latitude).Draw(t, "lat"), angles(180, Longitude).Draw(t, "lon"), clocks().Draw(t, "time"),
			some(rapid.Bool()).Draw(t, "valid"), letters[Mode](&modes).Draw(t, "mode")}
	}),
	"VTG": rapid.Custom(func(t *rapid.T) any {
		return VTG{numbers(0, 360).Draw(t, "course"), numbers(0, 360).Draw(t, "magnetic"), numbers(0, 999).Draw(t, "knots"),
			numbers(0, 1999).Draw(t, "km/h"), letters[Mode](&modes).Draw(t, "mode")}
	}),
	"ZDA": rapid.Custom(func(t *rapid.T) any {
		return ZDA{clocks().Draw(t, "time"), ints(1, 31).Draw(t, "day"), ints(1, 12).Draw(t, "month"), ints(0, 9999).Draw(t, "year"),
			numbers(-13, 13).Draw(t, "hours"), numbers(-59, 59).Draw(t, "minutes")}
	}),
	"GNS": rapid.Custom(func(t *rapid.T) any {
		return GNS{clocks().Draw(t, "time"), angles(90, Latitude).Draw(t, "lat"), angles(180, Longitude).Draw(t, "lon"),
			rapid.StringMatching("[ADEFMNPRS]{0,6}").Draw(t, "modes"), ints(0, 99).Draw(t, "used"), numbers(0, 99).Draw(t, "hdop"),
			numbers(-500, 9000).Draw(t, "altitude"), numbers(-110, 90).Draw(t, "geoid"), numbers(0, 999).Draw(t, "age"), ints(0, 1023).Draw(t, "station"),
			letters[NavStatus](&navStatuses).Draw(t, "nav")}
	}),
	"GST": rapid.Custom(func(t *rapid.T) any {
		n := func(name string, limit float64) decimals { return numbers(0, limit).Draw(t, name) }
		return GST{clocks().Draw(t, "time"), n("rms", 99), n("major", 99), n("minor", 99), n("orientation", 360), n("lat", 99), n("lon", 99), n("altitude", 99)}
	}),
	"TXT": rapid.Custom(func(t *rapid.T) any {
		return TXT{ints(1, 99).Draw(t, "total"), ints(1, 99).Draw(t, "number"), ints(0, 99).Draw(t, "id"), rapid.String().Draw(t, "text")}
	}),
	"GBS": rapid.Custom(func(t *rapid.T) any {
		n := func(name string) decimals { return numbers(-99, 99).Draw(t, name) }
		return GBS{clocks().Draw(t, "time"), n("lat"), n("lon"), n("altitude"), rapid.IntRange(0, 400).Draw(t, "satellite"),
			numbers(0, 1).Draw(t, "probability"), n("bias"), numbers(0, 99).Draw(t, "deviation"), ints(0, 15).Draw(t, "system"), ints(0, 15).Draw(t, "signal")}
	}),
	"GRS": rapid.Custom(func(t *rapid.T) any {
		r := GRS{Time: clocks().Draw(t, "time"), Recomputed: ints(0, 1).Draw(t, "mode"), SystemID: ints(0, 15).Draw(t, "system"), SignalID: ints(0, 15).Draw(t, "signal")}
		for i := range r.ResidualsM {
			r.ResidualsM[i] = numbers(-99, 99).Draw(t, "residual")
		}
		return r
	}),
	"DTM": rapid.Custom(func(t *rapid.T) any {
		n := func(name string) decimals { return numbers(-99, 99).Draw(t, name) }
		return DTM{rapid.SampledFrom([]string{"", "W84", "999"}).Draw(t, "datum"), rapid.SampledFrom([]string{"", "A"}).Draw(t, "part"), n("lat"), n("lon"), n("altitude"), "W84"}
	}),
	"HDT": rapid.Custom(func(t *rapid.T) any { return HDT{numbers(0, 360).Draw(t, "heading")} }),
	"THS": rapid.Custom(func(t *rapid.T) any {
		return THS{numbers(0, 360).Draw(t, "heading"), letters[HeadingMode](&headingModes).Draw(t, "mode")}
	}),
}

// What is encoded decodes to the same record, of every kind, and its checksum is right.
func TestEncodeThenDecode(t *testing.T) {
	for _, p := range trips() {
		t.Run(p.name, rapid.MakeCheck(func(t *rapid.T) {
			want := records[p.name].Draw(t, "record")
			talker := rapid.SampledFrom([]string{"GP", "GN", "GL", "II"}).Draw(t, "talker")
			text := p.encode(want, talker)
			var s Sentence
			if err := Scan(text, &s); err != nil {
				t.Fatal(err)
			}
			if !s.SumOK() || s.Talker != talker || s.Type != p.name {
				t.Fatalf("%s: %q %q, sum right: %v", text, s.Talker, s.Type, s.SumOK())
			}
			got, err := p.decode(&s)
			if err != nil || !reflect.DeepEqual(got, want) {
				t.Fatalf("%s: %v\n got %+v\nwant %+v", text, err, got, want)
			}
			checkBack(t, p, got)
		}))
	}
}

// checkBack says whether a record that was decoded encodes to one that decodes the same.
func checkBack(t interface{ Errorf(string, ...any) }, p trip, record any) {
	text := p.encode(record, "GP")
	var s Sentence
	_ = Scan(text, &s)
	again, err := p.decode(&s)
	if err != nil || fmt.Sprint(again) != fmt.Sprint(record) || !reflect.DeepEqual(again, record) {
		t.Errorf("%q: %v\n was %+v\n now %+v", text, err, record, again)
	}
}

// A record keeps the form its sentence came in: fields of a later version are not made up.
func TestFormIsKept(t *testing.T) {
	for _, text := range []string{
		"$GPRMC,123519.00,A,4807.038,N,01131.000,E,22.4,84.4,230394,3.1,W*44",
		"$GPRMC,123519.00,A,4807.038,N,01131.000,E,22.4,84.4,230394,,,A*52",
		"$GNRMC,123519.00,A,4807.038,N,01131.000,E,22.4,84.4,230394,,,A,V*36",
		"$GPGLL,4916.45,N,12311.12,W,225444.00,A*1F",
		"$GPGSV,1,1,00*79",
		"$GPGSV,1,1,00,1*64",
		"$GNVTG,,T,,M,,N,,K,N*32",
	} {
		var s Sentence
		if err := Scan(text, &s); err != nil {
			t.Fatal(err)
		}
		p, _ := tripFor(&s)
		r, err := p.decode(&s)
		if got := p.encode(r, s.Talker); err != nil || got != text {
			t.Errorf("%v\n got %s\nwant %s", err, got, text)
		}
	}
}
