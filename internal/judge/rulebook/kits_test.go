package rulebook

import (
	"testing"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// The example of 3GPP TS 27.007, 8.15 (from memory): 6 May 1994, 22:10:00, two hours
// ahead of UTC. Years from 70 on are of the last century.
func TestReadClock(t *testing.T) {
	for text, want := range map[string]time.Time{
		`+CCLK: "94/05/06,22:10:00+08"`: time.Date(1994, 5, 6, 20, 10, 0, 0, time.UTC),
		`+CCLK: "26/03/04,11:15:30+04"`: time.Date(2026, 3, 4, 10, 15, 30, 0, time.UTC),
		`+CCLK: "80/01/06,00:03:12+00"`: time.Date(1980, 1, 6, 0, 3, 12, 0, time.UTC),
	} {
		a, _ := at.ParseAnswer(text)
		if got, ok := ReadClock(a); !ok || !got.Equal(want) {
			t.Errorf("%s: %v (%v), want %v", text, got, ok, want)
		}
	}
	a, _ := at.ParseAnswer(`+CCLK: "soon"`)
	if got, ok := ReadClock(a); ok {
		t.Errorf("made up: %v", got)
	}
}

func TestStrength(t *testing.T) {
	e := epoch.Epoch{}
	for _, v := range []float64{20, 44, 0, 41, 38, 47} {
		e.Satellites = append(e.Satellites, epoch.Satellite{CN0DBHz: maybe.Known(v)})
	}
	e.Satellites = append(e.Satellites, epoch.Satellite{}) // not tracked
	// The best four of 20, 44, 41, 38, 47; a 0 is no signal.
	if heard, mean := Strength(&e); heard != 5 || mean != (47+44+41+38)/4.0 {
		t.Errorf("%d heard, mean %g", heard, mean)
	}
	if heard, mean := Strength(&epoch.Epoch{}); heard != 0 || mean != 0 {
		t.Errorf("an empty sky: %d heard, mean %g", heard, mean)
	}
}

// say plays a dialogue to what watch asks for: "> " and "< " lines, one a second.
func say(t *testing.T, watch func(p *Pass), lines ...string) {
	t.Helper()
	j := NewJudge(nil, capture.Info{Kind: "talk", TimesKnown: true, DirectionsKnown: true}, Options{})
	j.Listen(watch)
	for i, l := range lines {
		r := capture.Record{Number: i + 1, At: when.Instant(i) * when.Second, From: capture.Controller, Bytes: l[2:] + "\r"}
		if l[0] == '<' {
			r.From, r.Bytes = capture.Module, "\r\n"+l[2:]+"\r\n"
		}
		j.Feed(r)
	}
	j.End()
}

func TestTransmissions(t *testing.T) {
	var radio *Transmissions
	say(t, func(p *Pass) {
		radio = p.WatchTransmissions()
		p.OnEnd(func() {
			for at, want := range map[when.Instant]bool{
				0: false, 2 * when.Second: false, // a question sends nothing
				3 * when.Second: true, 5 * when.Second: true, // from AT+CGATT=1 to its OK
				6 * when.Second: true,  // and a moment longer
				9 * when.Second: false, // not for ever
			} {
				if what, ok := radio.At(at); ok != want {
					t.Errorf("at %v: %v (%s)", at, ok, what)
				}
			}
		})
	}, "> AT+CSQ", "< +CSQ: 17,0", "< OK", "> AT+CGATT=1", "< +CTZV: +04", "< OK", "> AT+CSQ", "< +CSQ: 17,0", "< OK", "> AT", "< OK")
}

func TestDelivery(t *testing.T) {
	var got []Delivery
	say(t, func(p *Pass) { p.OnDelivery(func(d Delivery) { got = append(got, d) }) },
		// 27.005 3.4.1: text mode has the status last; PDU mode has a second line.
		`< +CDS: 6,12,"+447700900123",145,"26/03/04,10:15:30+00","26/03/04,10:15:40+00",70`,
		"< +CDS: 25\r\n0791447700099099060C0C91447700091032623040015103006230400151040000",
		"> AT+CMGR=3", `< +CMGR: "REC READ",6,13,"+447700900123",145,"26/03/04,10:15:30+00","26/03/04,10:15:40+00",0`, "< OK",
		"> AT+CMGR=4", "< +CMGR: \"REC READ\",\"+447700900123\",,\"26/03/04,10:15:30+00\"\r\nhello", "< OK")
	if len(got) != 3 {
		t.Fatalf("%d reports: %+v", len(got), got)
	}
	for i, want := range []struct {
		reference int
		delivered bool
	}{{12, false}, {12, true}, {13, true}} {
		if got[i].Reference != want.reference || got[i].Status.Delivered() != want.delivered {
			t.Errorf("report %d: %+v", i, got[i])
		}
	}
}

func TestAnew(t *testing.T) {
	var got []Anew
	say(t, func(p *Pass) { p.OnAnew(func(a Anew) { got = append(got, a) }) },
		"> AT", "< OK", "> ATE0", "< OK", "> AT+CMEE=1", "< OK", "> AT+CMGF=1", "< OK", "> AT+CREG?", "< +CREG: 0,1", "< OK",
		"> AT+CSQ", "< +CSQ: 17,0", "< OK", "> AT+CMGF=1", "< OK", // parts of it are no set-up
		"> AT+CGATT=1", "> AT", "> ATE0", "< OK", "> AT+CMEE=1", "< OK", "> AT+CMGF=1", "< OK", "> AT+CREG?", "< +CREG: 0,1", "< OK")
	if len(got) != 1 || got[0].Line.Record != 18 || got[0].Cut == nil || !got[0].Cut.Is("+CGATT") {
		t.Errorf("%+v", got)
	}
}
