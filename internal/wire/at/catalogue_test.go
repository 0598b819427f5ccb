package at

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"
	"time"
)

// TestCatalogueRows: the habits of the tables, and that nothing is left out.
func TestCatalogueRows(t *testing.T) {
	for i, rows := range chapters() {
		if !sort.SliceIsSorted(rows, func(a, b int) bool { return rows[a].Name < rows[b].Name }) {
			t.Errorf("chapter %d is not in the order of names; Lookup needs that", i)
		}
	}
	seen := map[string]bool{}
	for _, e := range Entries() {
		if seen[e.Name] {
			t.Errorf("%s stands twice", e.Name)
		}
		seen[e.Name] = true
		if found, ok := Lookup(e.Name); !ok || found != e {
			t.Errorf("%s is not found", e.Name)
		}
		if e.Title == "" || e.Clause == "" || e.Confidence == "" {
			t.Errorf("%s: a row has a title, a clause and a confidence", e.Name)
		}
		if e.Forms == 0 && e.Unsolicited == nil {
			t.Errorf("%s can neither be asked nor come unasked", e.Name)
		}
		if e.Forms.Has(Set) && len(e.Params)+len(e.ParamsPDU) == 0 && e.Name != "+CIND" {
			t.Errorf("%s can be set but has no parameters", e.Name)
		}
		if e.Setting && !e.Forms.Has(Set) && !e.Forms.Has(Execute) {
			t.Errorf("%s is kept but cannot be set", e.Name)
		}
		if (e.MaxWaitMS != 0) != (e.WaitSource != "") {
			t.Errorf("%s: a waiting time has a source", e.Name)
		}
		if e.Prompt != NeedsText(e.Name) {
			t.Errorf("%s: Prompt and NeedsText differ", e.Name)
		}
		if (e.Unsolicited != nil) != CanBeUnsolicited(e.Name) {
			t.Errorf("%s: Unsolicited and CanBeUnsolicited differ", e.Name)
		}
		for _, list := range [][]ParamInfo{e.Params, e.ParamsPDU, e.Answer, e.AnswerPDU, e.SetAnswer, e.Unsolicited, e.UnsolicitedPDU} {
			for _, p := range list {
				checkParam(t, e.Name, p)
			}
		}
	}
	for _, name := range UnsolicitedNames() {
		if !CanBeUnsolicited(name) {
			t.Errorf("%s is listed as unsolicited but not known as such", name)
		}
	}
}

func checkParam(t *testing.T, name string, p ParamInfo) {
	t.Helper()
	if p.Name == "" || p.Meaning == "" {
		t.Errorf("%s: parameter %+v has no name or meaning", name, p)
	}
	for _, v := range p.Values {
		if v.Meaning == "" || v.To < v.From || v.Text != "" && v.From+v.To != 0 {
			t.Errorf("%s %s: value %+v", name, p.Name, v)
		}
	}
}

// TestCatalogueIsComplete: every command the standards' contents list for a
// tracker's life: V.250 chapter 6, 27.005 chapters 3 and 4, 27.007.
func TestCatalogueIsComplete(t *testing.T) {
	for _, name := range strings.Fields(`
		A D E H I L M O P Q T V X Z &C &D &F &W S0 S3 S4 S5 S6 S7 S8 S10 +GMI +GMM +GMR +GSN +GCAP +IPR +ICF +IFC +ILRR
		+CSMS +CPMS +CMGF +CSCA +CSMP +CSDH +CSCB +CSAS +CRES +CNMI +CMGL +CMGR +CNMA +CMGS +CMSS +CMGW +CMGD +CMGC +CMMS
		+CMTI +CMT +CDS +CDSI +CBM +CBMI
		+CGMI +CGMM +CGMR +CGSN +CIMI +CCID +CNUM +CSCS +CFUN +CPIN +CPAS +CLCK +CPWD +CREG +CGREG +CEREG +C5GREG +COPS +CPOL
		+CSQ +CESQ +CCLK +CTZU +CTZR +CBC +CMEE +CEER +CLIP +CLIR +CRC +CHUP +CLCC +CGDCONT +CGATT +CGACT +CGPADDR +CGDATA
		+CGAUTH +CGEREP +CGEV +CGCONTRDP +CIND +CMER +CUSD +CLAC +CMOLR +CMOLRE +CMOLRN +CMOLRG +CPOSR +CPOS +CPSMS +CEDRXS +CPINR`) {
		if _, ok := Lookup(name); !ok {
			t.Errorf("%s is missing", name)
		}
	}
	if _, ok := Lookup("+CNONSENSE"); ok {
		t.Error("an invented command is found")
	}
}

// TestDefaults: values the standards print.
func TestDefaults(t *testing.T) {
	for _, tt := range []struct{ name, param, want, source string }{
		{"S3", "character", "13", "V.250 6.2.1"}, {"S4", "character", "10", "V.250 6.2.2"}, {"S5", "character", "8", "V.250 6.2.3"},
		{"+ICF", "format", "3", "V.250 6.2.11"}, {"+IFC", "by_terminal", "2", "V.250 6.2.12"}, {"Q", "value", "0", "V.250 6.2.5"},
		{"+CMGF", "mode", "0", "27.005 3.2.3"}, {"+CSMP", "fo", "17", "27.005 3.3.2"}, {"+CSMP", "vp", "167 (24 h)", "27.005 3.3.2"}, {"+CSDH", "show", "0", "27.005 3.3.3"},
		{"+CFUN", "rst", "0", "27.007 8.2"}, {"+CPOSR", "mode", "0", "27.007 8.56"},
	} {
		e, _ := Lookup(tt.name)
		found := false
		for _, p := range e.Params {
			if p.Name == tt.param {
				found = true
				if p.Default != tt.want {
					t.Errorf("%s %s: default %q, want %q (%s)", tt.name, tt.param, p.Default, tt.want, tt.source)
				}
			}
		}
		if !found {
			t.Errorf("%s has no parameter %s", tt.name, tt.param)
		}
	}
}

// TestValues: what coded values mean.
func TestValues(t *testing.T) {
	for _, tt := range []struct {
		name, kind string
		param      int
		value      string
		want       string // part of the meaning; "" for none
		source     string
	}{
		{"+CPIN", "answer", 0, "READY", "no code", "27.007 8.3"},
		{"+CPIN", "answer", 0, "SIM PUK", "blocked", "27.007 8.3"},
		{"+CFUN", "set", 0, "4", "transmitter and receiver off", "27.007 8.2"},
		{"+CFUN", "set", 0, "77", "maker", "27.007 8.2"},
		{"+CFUN", "set", 0, "130", "", "27.007 8.2"},
		{"+CNMI", "set", 1, "2", "+CMT", "27.005 3.4.1"},
		{"+CPMS", "set", 0, "SM", "SIM card", "27.005 3.1"},
		{"+CMOLR", "set", 11, "5", "point, point with ellipse", "27.007 8.50: shapes are added up"},
		{"+CMOLR", "set", 11, "128", "", "27.007 8.50: no such bit"},
		{"+CLCK", "set", 3, "7", "voice, data, fax", "27.007 7.4"},
		{"+CSCA", "set", 1, "145", "international", "24.008 10.5.4.7"},
		{"+CDS", "unasked", 6, "0", "delivered", "23.040 9.2.3.15"},
		{"+COPS", "set", 0, "2", "leave", "27.007 7.3"},
		{"+ICF", "set", 0, "5", "7 data, 1 parity", "V.250 6.2.11"},
	} {
		e, _ := Lookup(tt.name)
		list := map[string][]ParamInfo{"answer": e.Answer, "set": e.Params, "unasked": e.Unsolicited}[tt.kind]
		got, ok := list[tt.param].Value(Param{Text: tt.value})
		if ok != (tt.want != "") || !strings.Contains(got, tt.want) {
			t.Errorf("%s %s=%s: %q, want %q (%s)", tt.name, list[tt.param].Name, tt.value, got, tt.want, tt.source)
		}
	}
}

func TestErrorMeanings(t *testing.T) {
	for _, tt := range []struct {
		cms   bool
		code  int
		words string // in our meaning
		at    string // in the clause
		known bool
	}{
		{false, 10, "no SIM card", "27.007 9.2.1", true},
		{false, 13, "fault", "27.007 9.2.1", true},
		{false, 16, "wrong password", "27.007 9.2.1", true},
		{false, 30, "no network", "27.007 9.2.1", true},
		{false, 103, "illegal", "27.007 9.2.2", true}, // 24.008 cause 3
		{false, 133, "not subscribed", "27.007 9.2.2", true},
		{false, 8, "reserved", "27.007 9.2", false},
		{false, 3000, "maker", "27.007 9.2", false},
		{true, 1, "not assigned", "24.011", true},
		{true, 38, "network", "24.011", true},
		{true, 208, "storage full", "23.040 9.2.3.22", true},
		{true, 305, "text-mode", "27.005 3.2.5", true},
		{true, 330, "service-centre", "27.005 3.2.5", true},
		{true, 500, "unknown", "27.005 3.2.5", true},
		{true, 4, "network", "24.011", false},
		{true, 140, "transfer", "23.040", false},
		{true, 400, "reserved", "27.005", false},
		{true, 512, "maker", "27.005", false},
	} {
		ask := CMEMeaning
		if tt.cms {
			ask = CMSMeaning
		}
		meaning, clause, ok := ask(tt.code)
		if ok != tt.known || !strings.Contains(meaning, tt.words) || !strings.Contains(clause, tt.at) {
			t.Errorf("cms %v %d: %q %q %v, want %q %q", tt.cms, tt.code, meaning, clause, ok, tt.words, tt.at)
		}
	}
	for i, rows := range [][]errorRow{cmeErrors[:], cmsErrors[:]} {
		if !sort.SliceIsSorted(rows, func(a, b int) bool { return rows[a].code < rows[b].code }) {
			t.Errorf("table %d is not in the order of codes", i)
		}
	}
	// 110 and 73 rows: the numbers of codes in 27.007 9.2 and 27.005 3.2.5
	// (with 24.011 E-2 and 23.040 9.2.3.22) as gathered from a public table.
	if len(cmeErrors) != 110 || len(cmsErrors) != 73 {
		t.Errorf("%d and %d error codes", len(cmeErrors), len(cmsErrors))
	}
}

// TestErrorWords: the standards' verbose texts (from memory), in the cases that modules send.
func TestErrorWords(t *testing.T) {
	for text, want := range map[string]int{"SIM not inserted": 10, "SIM PIN required": 11, "sim failure": 13, "incorrect password": 16, "no network service": 30, "unknown": 100} {
		if got, ok := CMECode(text); !ok || got != want {
			t.Errorf("%q: %d %v, want %d", text, got, ok, want)
		}
	}
	for text, want := range map[string]int{"memory full": 322, "SMSC address unknown": 330, "network timeout": 332, "unknown error": 500} {
		if got, ok := CMSCode(text); !ok || got != want {
			t.Errorf("%q: %d %v, want %d", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "no such words"} {
		if _, ok := CMECode(text); ok {
			t.Errorf("%q has a code", text)
		}
	}
}

func TestRSSI(t *testing.T) { // 27.007 8.5
	for n, want := range map[int]int{0: -113, 1: -111, 2: -109, 10: -93, 20: -73, 30: -53, 31: -51} {
		if got, ok := RSSIdBm(n).Get(); !ok || got != want {
			t.Errorf("%d: %d, want %d", n, got, want)
		}
	}
	for _, n := range []int{-1, 32, 98, 99, 199} {
		if RSSIdBm(n).IsKnown() {
			t.Errorf("%d is not on the scale", n)
		}
	}
}

func TestCESQ(t *testing.T) { // 27.007 8.69; 99,99,255,255,31,62 is the example
	for _, tt := range []struct {
		i, n int
		want string
	}{
		{4, 31, "-4.5 to -4 dB"}, {5, 62, "-79 to -78 dBm"}, {0, 0, "below -110 dBm"}, {0, 63, "-48 dBm or more"}, {2, 0, "below -120 dBm"}, {2, 96, "-25 dBm or more"},
		{3, 0, "below -24 dB"}, {3, 49, "0 dB or more"}, {4, 0, "below -19.5 dB"}, {4, 34, "-3 dB or more"}, {5, 0, "below -140 dBm"}, {5, 97, "-44 dBm or more"},
		{7, 126, "-31 dBm or more"}, {8, 127, "40 dB or more"}, {1, 2, "0.4 to 0.8 %"},
		{0, 99, ""}, {4, 255, ""}, {5, 98, ""}, {9, 1, ""}, {-1, 1, ""}, {0, -1, ""},
	} {
		got, ok := CESQRange(tt.i, tt.n)
		if got != tt.want || ok != (tt.want != "") {
			t.Errorf("field %d value %d: %q, want %q", tt.i, tt.n, got, tt.want)
		}
	}
	if got, ok := CESQLower(5, 62).Get(); !ok || got != -79 {
		t.Errorf("rsrp 62: %v", got)
	}
	if CESQLower(5, 255).IsKnown() {
		t.Error("255 is not known")
	}
}

func TestTimers(t *testing.T) { // 24.008 10.5.7.4 and 10.5.7.4a: the two worked examples; the others by the unit tables
	for _, tt := range []struct {
		read func(string) (Timer, bool)
		bits string
		want string
	}{
		{ActiveTime, "00100100", "4 min"}, {PeriodicTAU, "01000111", "70 h"}, {ActiveTime, "00000001", "2 s"}, {ActiveTime, "01000010", "12 min"}, {ActiveTime, "11100000", "off"},
		{PeriodicTAU, "00000110", "1 h"}, {PeriodicTAU, "01100010", "4 s"}, {PeriodicTAU, "11000001", "320 h"}, {PeriodicTAU, "11100000", "off"},
	} {
		if got, ok := tt.read(tt.bits); !ok || got.String() != tt.want {
			t.Errorf("%s: %v, want %s", tt.bits, got, tt.want)
		}
	}
	for _, bits := range []string{"", "0010010", "001001002", "0010010x"} {
		if _, ok := ActiveTime(bits); ok {
			t.Errorf("%q is no timer", bits)
		}
	}
	// 24.008 10.5.5.32: 5.12 s for 0000, 20.48 s for 0010, 2621.44 s for 1101.
	for bits, want := range map[string]float64{"0000": 5.12, "0010": 20.48, "1101": 2621.44} {
		if got, ok := EDRXCycle(bits); !ok || math.Abs(got.Seconds()-want) > float64(time.Microsecond)/1e9 {
			t.Errorf("%s: %v, want %v s", bits, got, want)
		}
	}
}

func TestParseRegistration(t *testing.T) { // 27.007 7.2, 10.1.20, 10.1.22
	for _, tt := range []struct{ line, want string }{
		{"+CREG: 0,1", "read n=0 stat=1 area= cell= act=not known cause=not known"},
		{"+CREG: 1", "unasked n=not known stat=1 area= cell= act=not known cause=not known"},
		{`+CREG: 2,5,"00C3","01A2B3C4",7`, "read n=2 stat=5 area=00C3 cell=01A2B3C4 act=7 cause=not known"},
		{`+CREG: 5,"00C3","01A2B3C4",7`, "unasked n=not known stat=5 area=00C3 cell=01A2B3C4 act=7 cause=not known"},
		{`+CREG: 1,00C3,01A2,0`, "unasked n=not known stat=1 area=00C3 cell=01A2 act=0 cause=not known"}, // without quotes, as some send it
		{`+CEREG: 3,,,,0,15`, "unasked n=not known stat=3 area= cell= act=not known cause=15"},
		{`+CEREG: 3,3,,,,0,15`, "read n=3 stat=3 area= cell= act=not known cause=15"},
		{`+CGREG: 2,"00C3","01A2",3,"05",0,13`, "unasked n=not known stat=2 area=00C3 cell=01A2 act=3 cause=13"},
	} {
		a, _ := ParseAnswer(tt.line)
		r, ok := ParseRegistration(a)
		kind := "read"
		if r.Unasked {
			kind = "unasked"
		}
		got := fmt.Sprintf("%s n=%v stat=%v area=%s cell=%s act=%v cause=%v", kind, r.N, r.Stat, r.Area, r.Cell, r.AcT, r.RejectCause)
		if !ok || got != tt.want {
			t.Errorf("%s: %s, want %s", tt.line, got, tt.want)
		}
	}
	if _, ok := ParseRegistration(Answer{Name: "+CSQ"}); ok {
		t.Error("+CSQ is no registration")
	}
}

func TestWords(t *testing.T) {
	if s, ok := RegistrationStat(3); !ok || s != "registration denied" { // 27.007 7.2
		t.Error(s)
	}
	if s, ok := AccessTechnology(7); !ok || !strings.Contains(s, "E-UTRAN") { // 27.007 7.3
		t.Error(s)
	}
	if _, ok := AccessTechnology(99); ok {
		t.Error("99 is no radio technology")
	}
	if s, ok := BitErrorRate(7); !ok || s != "above 12.8 %" { // 45.008 8.2.4
		t.Error(s)
	}
	for stat, want := range map[int]bool{0: false, 1: true, 2: false, 3: false, 4: false, 5: true, 6: true, 7: true, 8: false, 11: false} {
		if Registered(stat) != want {
			t.Errorf("stat %d registered: %v", stat, !want)
		}
	}
}

func TestTextAndBody(t *testing.T) { // 27.005 3.4, 3.5, 4
	for line, want := range map[string]bool{`AT+CMGS="+12025550143"`: true, "AT+CMGS=23": true, "AT+CMGS=?": false, "AT+CMGW": true, "AT+CMSS=3": false, "AT+CNMA": false, "AT+CNMA=0": false, "AT+CNMA=1,6": true, "AT+CMGR=1": false} {
		if got := WantsText(ParseLine(line).Commands[0]); got != want {
			t.Errorf("%s asks for text: %v", line, got)
		}
	}
	for line, want := range map[string]bool{
		`+CMT: "+12025550143",,"24/05/06,22:10:00+08"`: true, "+CMT: ,24": true, "+CDS: 25": true,
		`+CDS: 6,12,"+12025550143",145,"24/05/06,22:10:00+08","24/05/06,22:10:05+08",0`: false,
		`+CMGL: 1,"REC READ","+12025550143",,"24/05/06,22:10:00+08"`:                    true, "+CMGL: 1,1,,24": true,
		`+CMGL: 2,"REC READ",6,12,"+12025550143",145,"24/05/06,22:10:00+08","24/05/06,22:10:05+08",0`: false,
		"+CMGR: 1,,24": true, `+CMTI: "SM",3`: false, "+CMGS: 3": false,
	} {
		a, _ := ParseAnswer(line)
		if got := HasBody(a); got != want {
			t.Errorf("%s is followed by a body: %v", line, got)
		}
	}
}

func TestWaits(t *testing.T) {
	for _, tt := range []struct {
		line string
		ms   int
	}{
		{"AT+COPS=?", 180_000}, {"AT+COPS=0", 120_000}, {"AT+COPS?", 5_000}, {"AT+CPIN?", 5_000}, {"AT+CFUN=1", 15_000}, {"AT+CGACT=1,1", 150_000},
		{"AT+CUSD=1,\"*100#\"", 120_000}, {"AT+CMGL=\"ALL\"", 25_000}, {"AT+UNHEARDOF", 5_000}, {"ATE0", 5_000},
	} {
		ms, source := WaitMS(ParseLine(tt.line).Commands[0])
		if ms != tt.ms || source == "" {
			t.Errorf("%s: %d ms (%s), want %d", tt.line, ms, source, tt.ms)
		}
	}
	// 24.011 10.1: TR1M lies between 35 and 45 s; a shorter limit would cut a lawful answer off.
	if ms, source := WaitMS(ParseLine(`AT+CMGS="+12025550143"`).Commands[0]); ms < 45_000 || !strings.Contains(source, "24.011") {
		t.Errorf("+CMGS: %d ms (%s)", ms, source)
	}
}
