package dialogue_test

import (
	"slices"
	"testing"

	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"

	"pgregory.net/rapid"
)

// asks are commands with an answer in the shape of the standard named beside it.
var asks = []struct {
	command string
	info    []string
	final   string
}{
	{"AT", nil, "OK"}, // V.250 5.6
	{"ATI", []string{"demo module", "OK-ish", "12345"}, "OK"},                         // V.250 6.1.3
	{"AT+CMGF=1;+CNMI=2,1", nil, "OK"},                                                // V.250 5.4.5
	{"AT+CSQ", []string{"+CSQ: 17,0"}, "OK"},                                          // TS 27.007 8.5
	{"AT+CGSN", []string{"350000000000006"}, "OK"},                                    // TS 27.007 5.4
	{"AT+CREG?", []string{`+CREG: 2,1,"00C3","0000A1F2"`}, "OK"},                      // TS 27.007 7.2
	{"AT+CLIP?", []string{"+CLIP: 1,1"}, "OK"},                                        // TS 27.007 7.6
	{"AT+CPIN?", nil, "+CME ERROR: 10"},                                               // TS 27.007 9.2
	{"AT+COPS=?", []string{`+COPS: (2,"Quellmoor","QM","00101"),,(0-4),(0-2)`}, "OK"}, // TS 27.007 7.3
	{"AT+XYZ", nil, "ERROR"},
	{"AT+CMGR=1", []string{`+CMGR: "REC READ","+12025550143",,"26/03/04,10:15:30+00"`, "OK", "$GPTXT", "ERROR"}, "OK"}, // TS 27.005 3.4.3
	{"AT+CMGR=9", nil, "+CMS ERROR: 321"},   // TS 27.005 3.2.5
	{"ATD+12025550143;", nil, "NO CARRIER"}, // V.250 6.3.1
	{"AT+DEMOGNSS?", []string{"+DEMOGNSS: 1,$GPGGA,,,,,,0,,,,,,,,*66"}, "OK"},
}

// reports are what may come at any time between two lines (TS 27.005 3.4.1, TS 27.007 7.2, 7.6, V.250 6.3.4).
var reports = []string{`+CMTI: "SM",4`, "+CREG: 2", `+CREG: 1,"00C3","0000A1F2"`, "RING", `+CLIP: "+447700900123",145`, "+CIEV: 2,3"}

// A dialogue built from known parts is taken apart into the same parts.
func TestKnownDialogues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		echo := rapid.Bool().Draw(t, "echo")
		var records []capture.Record
		now := when.Instant(0)
		add := func(from capture.Direction, bytes string) {
			now += 10 * when.Millisecond
			cuts := rapid.IntRange(1, 4).Draw(t, "cuts")
			for len(bytes) > 0 {
				n := len(bytes)
				if cuts > 1 {
					n = rapid.IntRange(1, len(bytes)).Draw(t, "piece")
					cuts--
				}
				records = append(records, capture.Record{Number: len(records) + 1, At: now, From: from, Bytes: bytes[:n]})
				bytes = bytes[n:]
			}
		}
		type exchange struct {
			command string
			info    []string
			final   string
		}
		var wantX []exchange
		var wantUnsolicited []string
		report := func() string {
			if rapid.IntRange(0, 4).Draw(t, "report?") > 0 {
				return ""
			}
			r := rapid.SampledFrom(reports).Draw(t, "report")
			wantUnsolicited = append(wantUnsolicited, r)
			return "\r\n" + r + "\r\n"
		}
		for range rapid.IntRange(1, 8).Draw(t, "exchanges") {
			ask := rapid.SampledFrom(asks).Draw(t, "ask")
			wantX = append(wantX, exchange{ask.command, ask.info, ask.final})
			add(capture.Controller, ask.command+rapid.SampledFrom([]string{"\r", "\r\n"}).Draw(t, "ending"))
			if echo {
				add(capture.Module, ask.command+"\r\r\n")
			}
			answer := ""
			for i, l := range ask.info {
				if i == 0 {
					// Behind a message's header only the message can come.
					answer += report()
					answer += "\r\n"
				}
				answer += l + "\r\n"
			}
			answer += report() + "\r\n" + ask.final + "\r\n"
			add(capture.Module, answer)
			if r := report(); r != "" {
				add(capture.Module, r)
			}
		}
		a := dialogue.New()
		var out []dialogue.Event
		for _, r := range records {
			out = a.Feed(r, out)
		}
		out = a.End(out)
		var gotUnsolicited []string
		n := 0
		for _, e := range out {
			switch e.Kind {
			case dialogue.Unsolicited:
				gotUnsolicited = append(gotUnsolicited, e.Line.Text)
			case dialogue.Answered:
				if n >= len(wantX) {
					t.Fatalf("one exchange too many: %q", e.X.Command.Text)
				}
				w := wantX[n]
				n++
				var info []string
				for _, l := range e.X.Info {
					info = append(info, l.Text)
				}
				if e.X.Command.Text != w.command || !slices.Equal(info, w.info) || e.X.Final.Text != w.final ||
					e.X.Outcome != dialogue.Finished || e.X.Pending != 0 || e.X.Echoed != echo || e.X.Result.Kind == at.NoResult {
					t.Fatalf("got %+v, info %q\nwant %+v", *e.X, info, w)
				}
			case dialogue.Asked:
			default:
				t.Fatalf("an event nobody put in: %+v", e)
			}
		}
		if n != len(wantX) || !slices.Equal(gotUnsolicited, wantUnsolicited) {
			t.Fatalf("%d exchanges of %d; reports %q\nwant %q", n, len(wantX), gotUnsolicited, wantUnsolicited)
		}
	})
}
