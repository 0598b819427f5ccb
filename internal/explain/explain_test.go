package explain

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
	"firstfix/internal/wire/sms"

	"pgregory.net/rapid"
)

// want is what an explanation must say. Fields are "name|value|part of the meaning".
type want struct {
	line, source string
	kind         string
	title        string // part of it
	fields       []string
	problems     []string // parts; none means that there must be none
	hints        []string // parts
}

func check(t *testing.T, w want) {
	t.Helper()
	e := Text(w.line)
	failed := func(format string, a ...any) {
		t.Helper()
		t.Errorf("%q (%s): %s", w.line, w.source, fmt.Sprintf(format, a...))
	}
	if e.Kind != w.kind || !strings.Contains(e.Title, w.title) {
		failed("kind %q, title %q; want %q, %q", e.Kind, e.Title, w.kind, w.title)
	}
	for _, f := range w.fields {
		part := strings.SplitN(f, "|", 3)
		found := false
		for _, field := range e.Fields {
			found = found || field.Name == part[0] && field.Value == part[1] && strings.Contains(field.Meaning, part[2])
		}
		if !found {
			failed("no field %q in %+v", f, e.Fields)
		}
	}
	if len(e.Problems) != len(w.problems) {
		failed("problems %q, want %q", e.Problems, w.problems)
	}
	all := func(have, wanted []string) {
		t.Helper()
		for _, part := range wanted {
			if !strings.Contains(strings.Join(have, "\n"), part) {
				failed("no %q in %q", part, have)
			}
		}
	}
	all(e.Problems, w.problems)
	all(e.Hints, w.hints)
}

func TestCommands(t *testing.T) {
	for _, w := range []want{
		{line: "AT", source: "V.250 5.6", kind: KindCommand, fields: []string{"AT|AT|listens"}},
		{line: "ATE0V1+CMEE=1;+CSQ", source: "V.250 5.4.5", kind: KindCommand, title: "4 commands",
			fields: []string{"E|E0|echo", "value|0|off", "V|V1|", "n|1|number", "+CSQ|+CSQ|signal"}},
		{line: "ATE", source: "V.250 5.3.1: no number is 0", kind: KindCommand, fields: []string{"value||off (no number means 0"}},
		{line: "ATE5", source: "V.250 6.2.4", kind: KindCommand, problems: []string{"E5: no such value; the standard has 0 off, 1 on"}},
		{line: "ATS3=13", source: "V.250 6.2.1", kind: KindCommand, fields: []string{"character|13|CR (the default)"}},
		{line: "ATD+12025550143;", source: "27.007 6.2: ; makes a voice call", kind: KindCommand, fields: []string{"dial string|+12025550143|voice call"}, hints: []string{"money"}},
		{line: "ATD*99#", source: "27.007 10.2.1.1", kind: KindCommand, fields: []string{"dial string|*99#|packet-data"}},
		{line: "AT+CSMP=17,167,0,8", source: "27.005 3.3.2; 23.040 9.2.3.12.1: 167 is 24 h; 23.038 4: 8 is UCS2", kind: KindCommand,
			fields: []string{"fo|17|relative validity period", "vp|167|24 h", "pid|0|ordinary message", "dcs|8|UCS2"},
			hints:  []string{"plain letters typed now arrive blank or as foreign signs (䡥汬", "00480065006C006C006F"}}, // "He" is U+4865, "ll" U+6C6C
		{line: "AT+CSMP=17,167,0,4", source: "23.038 4: 8-bit data have no alphabet", kind: KindCommand, hints: []string{"plain letters typed now arrive blank"}},
		{line: "AT+CSMP=17,167,64,0", source: "23.040 9.2.3.9: type 0", kind: KindCommand, hints: []string{"ends so: never shown"}},
		{line: "AT+CSMP=17,167,0,16", source: "23.038 4: class 0", kind: KindCommand, hints: []string{"ends so: flash"}},
		{line: "AT+CSMP=17,0", source: "23.040 9.2.3.12.1: 0 is 5 minutes", kind: KindCommand, hints: []string{"are shown, but vp = 0 expires after 5 minutes"}},
		{line: "AT+CSMP=49,173,0,0", source: "23.040 9.2.3.12.1: 173 is 7 days; 9.2.3.5: bit 5 asks for a report", kind: KindCommand, fields: []string{"fo|49|status report", "vp|173|7 days"}},
		{line: "AT+CSMP=25,167,0,0", source: "23.040 9.2.3.3: absolute form", kind: KindCommand, problems: []string{"quoted string belongs here"}},
		{line: `AT+CMGS="+12025550143"`, source: "27.005 3.5.1", kind: KindCommand, title: "send a text", fields: []string{"da|+12025550143|receiver", "toda||145"}, hints: []string{`wait for "> "`, "Ctrl-Z", "60 s", "money"}},
		{line: "AT+CMGS=23", source: "27.005 4.3", kind: KindCommand, fields: []string{"length|23|octets"}},
		{line: "AT+CMGS=+12025550143", source: "V.250 5.4.2: strings are quoted", kind: KindCommand, problems: []string{"belongs in quotes"}},
		{line: "AT+CMGS=", source: "27.005 3.5.1: da is not optional", kind: KindCommand, problems: []string{"da (number of the receiver) is missing"}},
		{line: "AT+CMGF=5", source: "27.005 3.2.3", kind: KindCommand, problems: []string{"0 PDU: hex digits, 1 text"}},
		{line: "AT+CMGF=1,2", source: "27.005 3.2.3", kind: KindCommand, problems: []string{"2 values, the standard at most 1"}},
		{line: "AT+CSQ?", source: "27.007 8.5", kind: KindCommand, problems: []string{"no read (?) form"}},
		{line: "AT+CMGF", source: "V.250 5.4.4", kind: KindCommand, problems: []string{"not used alone"}},
		{line: "AT+CMTI=1", source: "27.005 3.4.1", kind: KindCommand, problems: []string{"not a command: the module sends it unasked"}},
		{line: "AT+CNMI=2,1,0,0,0", source: "27.005 3.4.1", kind: KindCommand, fields: []string{"mode|2|", "mt|1|+CMTI", "ds|0|none"}},
		{line: "AT+CMOLR=1,0,,,,,,,1,30,60,5", source: "27.007 8.50", kind: KindCommand,
			fields: []string{"enable|1|NMEA", "method|0|without assistance", "rep-mode|1|again", "timeout|30|30 s", "interval|60|60 s", "shape-rep|5|point, point with ellipse"}},
		{line: "AT+CPSMS=1,,,\"01000111\",\"00100100\"", source: "24.008 10.5.7.4a: 70 h; 10.5.7.3: 4 min", kind: KindCommand, fields: []string{"Requested_Periodic-TAU|01000111|70 h", "Requested_Active-Time|00100100|4 min"}},
		{line: "AT+COPS=1,2,\"00101\"", source: "27.007 7.3", kind: KindCommand, fields: []string{"oper|00101|country code 001, network code 01"}, hints: []string{"120 s"}},
		{line: "A/", source: "V.250 5.2.4", kind: KindCommand, title: "repeats"},
		{line: "AT+CGMF=1", source: "two letters swapped", kind: KindCommand, title: "do not have", fields: []string{"value 1|1|number"}, hints: []string{"+CMGF: format of messages"}},
		{line: "AT^HINT=1", source: "makers' commands", kind: KindCommand, fields: []string{"^HINT|^HINT=1|maker's own"}},
		{line: `AT+CSQ\r\n`, source: "V.250 5.2.1: the end is the byte 13", kind: KindCommand, title: "signal quality", problems: []string{"line end as a byte"}},
		{line: "AT+CMGS=“+12025550143”", source: "V.250 5.4.2", kind: KindCommand, problems: []string{"straight quote", "belongs in quotes"}},
		{line: "+CSQ", source: "V.250 5.2.1", kind: KindCommand, title: "signal quality", problems: []string{"AT is missing"}},
		{line: "12:00:01.123 > AT+CSQ", source: "a line of a log", kind: KindCommand, title: "signal quality", fields: []string{"+CSQ|+CSQ|"}, hints: []string{"from byte 15 on"}},
	} {
		check(t, w)
	}
}

// TestSecrets: PIN and passwords are not repeated.
func TestSecrets(t *testing.T) {
	for _, line := range []string{`AT+CPIN="9731"`, `AT+CPIN=9731`, `AT+CLCK="SC",1,"9731"`, `AT+CPWD="SC","9731","9731"`, `AT+CGAUTH=1,1,"trailer","9731"`, `AT+CPIN="9731`, `AT+CPIN="9731"\r`, `AT+CPIN=9731+CSQ`, `12:00 AT+CPIN=9731`} {
		b, err := json.Marshal(Text(line))
		if err != nil || strings.Contains(string(b), "9731") {
			t.Errorf("%q: %s", line, b)
		}
	}
}

func TestResults(t *testing.T) {
	for _, w := range []want{
		{line: "OK", source: "V.250 5.7.1", kind: KindResult, title: "carried out"},
		{line: "ERROR", source: "V.250 5.7.1", kind: KindResult, title: "failed", hints: []string{"AT+CMEE=1"}},
		{line: "0", source: "V.250 6.2.6", kind: KindResult, title: "carried out", hints: []string{"ATV0"}},
		{line: "CONNECT 115200", source: "V.250 5.7.1", kind: KindResult, fields: []string{"text|115200|speed"}},
		{line: "+CME ERROR: 10", source: "27.007 9.2.1", kind: KindResult, title: "no SIM card", fields: []string{"code|10|no SIM card"}},
		{line: "+CME ERROR:16", source: "27.007 9.2.1", kind: KindResult, title: "wrong password", hints: []string{"one space"}},
		{line: "+CME ERROR: SIM not inserted", source: "27.007 9.2.1", kind: KindResult, title: "no SIM card", hints: []string{"code 10"}},
		{line: "+CMS ERROR: 330", source: "27.005 3.2.5", kind: KindResult, title: "service-centre address unknown"},
		{line: "+CMS ERROR: 38", source: "24.011 E-2", kind: KindResult, title: "network out of order"},
		{line: "+CMS ERROR: 777", source: "27.005 3.2.5: 512 upwards", kind: KindResult, title: "maker", hints: []string{"777"}},
		{line: "+CME ERROR", source: "no code", kind: KindResult, problems: []string{"no code"}},
		{line: ">", source: "27.005 3.5.1", kind: KindPrompt, title: "text of a message", hints: []string{"0x1A"}},
		{line: "> ", source: "27.005 3.5.1", kind: KindPrompt, title: "text of a message"},
		{line: "", source: "V.250 5.7.1", kind: KindEmpty, hints: []string{"CR LF"}},
		{line: "\r\n", source: "V.250 5.7.1", kind: KindEmpty},
	} {
		check(t, w)
	}
}

func TestAnswers(t *testing.T) {
	for _, w := range []want{
		{line: "+CSQ: 18,99", source: "27.007 8.5: -113 + 2 x 18", kind: KindAnswer, fields: []string{"rssi|18|-77 dBm", "ber|99|not known"}},
		{line: "+CSQ: 0,0", source: "27.007 8.5", kind: KindAnswer, fields: []string{"rssi|0|-113 dBm or less", "ber|0|below 0.2 %"}},
		{line: "+CSQ: 99,99", source: "27.007 8.5", kind: KindAnswer, fields: []string{"rssi|99|not known"}, hints: []string{"no measurement"}},
		{line: "+CESQ: 99,99,255,255,31,62", source: "27.007 8.69", kind: KindAnswer, fields: []string{"rsrq|31|-4.5 to -4 dB", "rsrp|62|-79 to -78 dBm", "rscp|255|not known"}},
		{line: "+CREG: 0,2", source: "27.007 7.2, read form", kind: KindAnswer, fields: []string{"n|0|no report", "stat|2|searching"}, hints: []string{"cannot pass"}},
		{line: "+CREG: 1", source: "27.007 7.2, report", kind: KindUnsolicited, fields: []string{"stat|1|home network"}},
		{line: `+CREG: 5,"00C3","01A2",7`, source: "27.007 7.2, report; 0x00C3 = 195", kind: KindUnsolicited, fields: []string{"stat|5|roaming", "lac|00C3|195 in decimal", "AcT|7|LTE"}},
		{line: `+CREG: 2,5,"00C3","01A2",7`, source: "27.007 7.2, read form", kind: KindAnswer, fields: []string{"n|2|cell", "stat|5|roaming"}},
		{line: `+CEREG: 5,1,"00C3","01A2B3C4",7,,,"00100100","01000111"`, source: "27.007 10.1.22", kind: KindAnswer, fields: []string{"Active-Time|00100100|4 min", "Periodic-TAU|01000111|70 h"}},
		{line: "+CREG: 0,77", source: "27.007 7.2", kind: KindAnswer, problems: []string{`stat is "77"`}, hints: []string{"cannot pass"}},
		{line: "+CSMP: 17,167,0,8", source: "27.005 3.3.2, read form", kind: KindAnswer, hints: []string{"plain letters typed now arrive blank or as foreign signs"}},
		{line: `+CMTI: "SM",3`, source: "27.005 3.4.1", kind: KindUnsolicited, fields: []string{"mem|SM|SIM card", "index|3|place"}},
		{line: `+CMT: "+12025550143",,"24/05/06,22:10:00+08"`, source: "27.005 3.4.1; zone 08 is two hours", kind: KindUnsolicited,
			fields: []string{"oa|+12025550143|sender", "scts|24/05/06,22:10:00+08|6 May 2024 22:10:00 local time, zone UTC+2:00, which is 2024-05-06 20:10:00 UTC"}, hints: []string{"next line"}},
		{line: "+CMT: ,24", source: "27.005 3.4.1, PDU mode", kind: KindUnsolicited, fields: []string{"length|24|octets"}},
		{line: `+CDS: 6,12,"+12025550143",145,"24/05/06,22:10:00+08","24/05/06,22:10:05+08",0`, source: "27.005 3.4.1; 23.040 9.2.3.15", kind: KindUnsolicited,
			fields: []string{"mr|12|", "tora|145|international"}},
		{line: `+CMGR: "STO UNSENT","+12025550143",,145,17,0,0,167,"+12025550100",145,5`, source: "27.005 3.4.3, stored SUBMIT", kind: KindAnswer,
			fields: []string{"stat|STO UNSENT|not sent", "da|+12025550143|receiver", "fo|17|SUBMIT", "vp|167|24 h", "length|5|"}},
		{line: "+CMGL: 1,1,,24", source: "27.005 4.1", kind: KindAnswer, fields: []string{"index|1|", "stat|1|received, read", "length|24|"}},
		{line: `+CPMS: "SM",10,10,"SM",10,10,"SM",10,10`, source: "27.005 3.2.2", kind: KindAnswer, fields: []string{"mem1|SM|read and deleted", "used|10|"}, hints: []string{"full"}},
		{line: "+CPMS: 3,10,3,10,3,10", source: "27.005 3.2.2, answer to the set form", kind: KindAnswer, fields: []string{"used|3|", "total|10|"}},
		{line: "+CBC: 0,85,3920", source: "27.007 8.4", kind: KindAnswer, fields: []string{"bcs|0|battery", "bcl|85|85 %", "voltage|3920|3920 mV"}},
		{line: `+CCLK: "94/05/06,22:10:00+08"`, source: "27.007 8.15: 6 May 1994, 22:10:00, GMT+2", kind: KindAnswer, fields: []string{"time|94/05/06,22:10:00+08|6 May 1994 22:10:00 local time, zone UTC+2:00"}},
		{line: `+CCLK: "24/05/06,22:10:00"`, source: "27.007 8.15: the zone may be missing", kind: KindAnswer, fields: []string{"time|24/05/06,22:10:00|no zone"}},
		{line: `+CLIP: "+12025550143",145`, source: "27.007 7.6", kind: KindUnsolicited, fields: []string{"number|+12025550143|", "type|145|international"}},
		{line: "+CLIP: 1,1", source: "27.007 7.6, read form", kind: KindAnswer, fields: []string{"n|1|on", "m|1|provided"}},
		{line: "+CPIN: SIM PIN", source: "27.007 8.3", kind: KindAnswer, fields: []string{"code|SIM PIN|PIN of the SIM card wanted"}, hints: []string{"unasked"}},
		{line: `+CUSD: 1,"Credit 5",15`, source: "27.007 7.15", kind: KindUnsolicited, fields: []string{"m|1|an answer", "str|Credit 5|"}},
		{line: "+CGEV: NW PDN DEACT 1", source: "27.007 10.1.19", kind: KindUnsolicited, fields: []string{"event|NW PDN DEACT 1|the network ended a connection: 1"}},
		{line: `+COPS: 0,2,"00101",7`, source: "27.007 7.3", kind: KindAnswer, fields: []string{"mode|0|automatic", "oper|00101|network code 01", "AcT|7|LTE"}},
		{line: `+COPS: (2,"Quellnet","QN","00101",7),(3,,,"00102"),,(0-4),(0-2)`, source: "27.007 7.3, test form", kind: KindAnswer,
			fields: []string{`network 1|(2,"Quellnet","QN","00101",7)|in use: Quellnet`, `network 2|(3,,,"00102")|forbidden`}, hints: []string{"2 networks"}},
		{line: "+CMGF: (0,1)", source: "V.250 5.4.4", kind: KindAnswer, title: "what is possible", fields: []string{"mode|(0,1)|values that fit"}},
		{line: "+CIND: 5,4,1,0,0,0,0,1,0", source: "27.007 8.9", kind: KindAnswer, fields: []string{"ind|5|first indicator", "value 9|0|indicator 9"}},
		{line: "+CMOLRN: \"$GPRMC,235947.000,V,0000.0000,N,00000.0000,E,,,041299,,*1D\"", source: "27.007 8.50, an example found in a public text", kind: KindUnsolicited,
			fields: []string{"status|V|", "checksum|1D|right"}, hints: []string{"void"}},
		{line: "+CSQQ: 1", source: "an invented name", kind: KindAnswer, fields: []string{"value 1|1|number"}, hints: []string{"+CSQ"}},
		{line: `^HINT: 1,"x"`, source: "makers' own", kind: KindAnswer, fields: []string{"value 2|x|string"}},
	} {
		check(t, w)
	}
}

func TestSentences(t *testing.T) {
	for _, w := range []want{
		{line: "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", source: "the example of public descriptions of NMEA 0183; 48 + 7.038/60", kind: KindSentence, title: "GPS",
			fields: []string{"position|48.117300,11.516667|decimal degrees", "checksum|6A|right"}},
		{line: "$GPRMC,123519,A,4807.039,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", source: "one digit changed: XOR of 8 and 9 is 1", kind: KindSentence,
			fields: []string{"checksum|6A|6B"}, problems: []string{"the checksum is 6A but the characters give 6B"}},
		{line: "$GPGSV,1,1,00*79", source: "NMEA 0183", kind: KindSentence, fields: []string{"checksum|79|right"}, hints: []string{"no satellite"}},
		{line: "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W", source: "NMEA 0183: optional once", kind: KindSentence, fields: []string{"checksum||6A would be right"}, hints: []string{"without a checksum"}},
		{line: nmea.Format("GPRMC", "123519", "A", "4867.038", "N", "01131.000", "E", "", "", "230394", "", ""), source: "67 minutes", kind: KindSentence, problems: []string{"4867.038"}},
		{line: nmea.Format("GPGGA", "123519", "", "", "", "", "0", "00", "", "", "M", "", "M", "", ""), source: "quality 0", kind: KindSentence, hints: []string{"void"}},
	} {
		check(t, w)
	}
}

// TestPDU: E8329BFD4697D9EC37 is "hellohello" in septets, a published worked
// example of 23.038 6.1.2.1.
func TestPDU(t *testing.T) {
	submit, length, err := sms.Submit{To: sms.NewAddress("+12025550143"), Text: "hellohello"}.Encode()
	if err != nil || !strings.HasSuffix(submit, "E8329BFD4697D9EC37") {
		t.Fatalf("%s %v", submit, err)
	}
	deliver, _, err := sms.Deliver{SMSC: sms.NewAddress("+12025550100"), From: sms.NewAddress("+12025550143"), Stamp: sms.NewStamp(2024, 5, 6, 22, 10, 0, 8), Text: "hellohello"}.Encode()
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []want{
		{line: submit, source: "23.040 9.2.2.2", kind: KindPDU, title: `SUBMIT, as it is sent to the network, text "hellohello"`,
			fields: []string{"TP-UD|E8329BFD4697D9EC37|hellohello", "TP-UDL|0A|10 septets", "service centre|00|+CSCA", "TP-DA length|0B|11: half octets", "TP-DA type|91|international", "TP-DA number|2120550541F3|+12025550143"}, hints: []string{fmt.Sprintf("is %d: octets", length)}},
		{line: deliver, source: "23.040 9.2.2.1", kind: KindPDU, title: `DELIVER, as it arrives`, fields: []string{"TP-SCTS|42506022010080|2024-05-06 22:10:00"}},
		{line: strings.ToLower(deliver), source: "27.005 3.1: hex in either case", kind: KindPDU, title: "DELIVER"},
		{line: "00480065006C006C006F0020", source: "23.038 6.2.3: UCS2 of Hello", kind: KindHexText, title: "Hello"},
	} {
		check(t, w)
	}
	// A published status report without a service-centre part (testdata of wire/sms says where).
	if e := Text("061804913619111011719551401110117195714000"); e.Kind != KindPDU || !strings.Contains(e.Title, "STATUS-REPORT") || !strings.Contains(strings.Join(e.Hints, " "), "no service-centre part") {
		t.Errorf("a PDU without a service centre: %+v", e)
	}
	for _, line := range []string{submit, deliver} {
		covered := 0
		for _, f := range Text(line).Fields {
			if f.At != covered || f.Clause == "" {
				t.Errorf("%s: field %+v, want one at %d", line, f, covered)
			}
			covered += len(f.Value)
		}
		if covered != len(line) {
			t.Errorf("%s: %d of %d digits have a name", line, covered, len(line))
		}
	}
	if e := Text(deliver[:len(deliver)-4]); e.Kind != KindPDU || len(e.Problems) == 0 {
		t.Errorf("a PDU cut off: %+v", e)
	}
}

func TestOtherLines(t *testing.T) {
	for _, w := range []want{
		{line: "51.710217,-0.307367", source: "ISO 6709: latitude first", kind: KindPosition, fields: []string{"latitude|51.710217|north", "longitude|-0.307367|0.307367 degrees, west", "as geo URI|geo:51.710217,-0.307367|"}},
		{line: "geo:51.7,-0.3", source: "RFC 5870 3.4.2", kind: KindPosition, fields: []string{"latitude|51.7|51.700000 degrees", "step||11.1 km"}},
		{line: "Trailer 07 at 51.710217,-0.307367 ok", source: "a text", kind: KindPosition, title: "text with a position", fields: []string{"latitude|51.710217|"}},
		{line: "490154203237518", source: "the worked IMEI of 3GPP TS 23.003 annex B, as published tables repeat it", kind: KindIdentity, title: "IMEI"},
		{line: "001010123456789", source: "3GPP TS 23.003 2.2: test network 001 01", kind: KindIdentity, title: "IMSI", fields: []string{"digits|001010123456789|country code 001"}},
		{line: "+12025550143", source: "27.005 3.1", kind: KindNumber, fields: []string{"number|+12025550143|type 145"}},
		{line: "hello from trailer 07", source: "a text", kind: KindUnknown, problems: []string{"not a command line"}, hints: []string{"the text of a message"}},
		{line: "ATTENTION", source: "a word", kind: KindUnknown, problems: []string{"not a command line"}, hints: []string{"closest"}},
		{line: "ok", source: "V.250 5.1: capitals", kind: KindUnknown, problems: []string{"not a command"}, hints: []string{"result code OK"}},
		{line: "EROR", source: "a letter lost", kind: KindUnknown, problems: []string{"not"}, hints: []string{"result code ERROR with a letter wrong or lost"}},
		{line: "GPRMC,123519,A,4807.0", source: "the beginning lost", kind: KindUnknown, problems: []string{"not"}, hints: []string{"beginning ($) was lost"}},
		{line: "CSQ", source: "no AT+", kind: KindUnknown, problems: []string{"not"}, hints: []string{"the command +CSQ"}},
		{line: "T+CSQ", source: "a letter lost", kind: KindUnknown, problems: []string{"not"}, hints: []string{"AT lost a letter"}},
		{line: "079172830100F", source: "an odd number of digits", kind: KindUnknown, problems: []string{"not"}, hints: []string{"odd in number"}},
		{line: "\xff\xfe\x01\x80\x90", source: "noise", kind: KindUnknown, problems: []string{"not"}, hints: []string{"another speed"}},
		{line: "+CMT: ,24\r\nsecond", source: "two lines", kind: KindUnsolicited, hints: []string{"more lines follow"}},
	} {
		check(t, w)
	}
}

func TestLongLine(t *testing.T) {
	for _, piece := range []string{"A", "AT+A;", "51.5,-0.3 ", "\xff", "0", "$GPRMC,", "+CSQ: 1,", "+"} {
		e := Text(strings.Repeat(piece, 10<<20/len(piece)))
		if len(e.Problems) == 0 || !strings.Contains(strings.Join(e.Problems, "\n"), "were read") {
			t.Errorf("10 MB of %q: %q", piece, e.Problems)
		}
	}
}

// TestCatalogueLines: every form of every command is explained without a
// problem, and every parameter that has words for its values finds them.
func TestCatalogueLines(t *testing.T) {
	for _, row := range at.Entries() {
		for form, line := range map[at.Form]string{at.Execute: "AT" + row.Name, at.Read: "AT" + row.Name + "?", at.Test: "AT" + row.Name + "=?"} {
			if !row.Forms.Has(form) || row.Name == "D" {
				continue
			}
			e := Text(line)
			if e.Kind != KindCommand || len(e.Problems) > 0 || e.Fields[0].Name != row.Name || e.Fields[0].Clause != row.Clause {
				t.Errorf("%s: %+v", line, e)
			}
		}
	}
}

// TestNeverSilent: any text gets a kind, a title and a field, problem or hint;
// offsets lie in the text; the JSON is whole.
func TestNeverSilent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sound(t, string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")))
		sound(t, rapid.StringMatching(`(AT|\+C|\$GP|geo:|)[A-Z0-9+,;="?: .$*]{0,30}`).Draw(t, "text"))
	})
}

type failer interface {
	Fatalf(format string, a ...any)
}

func sound(t failer, input string) {
	e := Text(input)
	if e.Kind == "" || e.Title == "" || len(e.Fields)+len(e.Problems)+len(e.Hints) == 0 {
		t.Fatalf("%q: silent: %+v", input, e)
	}
	for _, f := range e.Fields {
		if f.At < -1 || f.At > len(input) || f.Name == "" {
			t.Fatalf("%q: field %+v", input, f)
		}
	}
	b, err := json.Marshal(e)
	if err != nil || !utf8.Valid(b) || strings.Contains(string(b), "null") && !strings.Contains(input, "null") && !strings.Contains(strings.ToLower(input), "null") {
		t.Fatalf("%q: %s %v", input, b, err)
	}
}

func FuzzText(f *testing.F) {
	for _, s := range []string{"AT+CSMP=17,167,0,8", "+CREG: 0,2", "+CMS ERROR: 330", "$GPGSV,1,1,00*79", "07917283010010F5040BC87238880900F1", "geo:51.7,-0.3", "51 42.613 N 0 18.442 W", ">", "",
		"ATS3?", "+CMGR: \"STO UNSENT\",\"\"", "+COPS: (2,\"a\",,\"00101\")", "+CMOLRN: \"$GPRMC,*\"", "\\a*00\\$GPRMC,1*00", "+CPMS: 1", "A/", "ATD;", "AT+CMGS=\"", "89010001000100010001", "12:00 > AT"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { sound(t, s) })
}

// Enough: 100 µs for a line; a person waits for it.
func BenchmarkText(b *testing.B) {
	lines := []string{"AT+CSMP=17,167,0,8", "+CREG: 0,2", "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", "hello from trailer 07", "AT+CGMF=1"}
	b.ReportAllocs()
	for b.Loop() {
		for _, l := range lines {
			Text(l)
		}
	}
}
