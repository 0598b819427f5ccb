package sms

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"
)

// vector is one row of testdata/vectors.csv; its head says where the rows come from.
type vector struct {
	kind, name, hex, decoded, tpduOctets, source, again string
}

func loadVectors(t testing.TB) []vector {
	t.Helper()
	file, err := os.Open("testdata/vectors.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []vector
	for _, row := range rows[1:] {
		out = append(out, vector{row[0], row[1], row[2], row[3], row[4], row[6], row[7]})
	}
	return out
}

// want reads the decoded column: "udl=10;text=hellohello".
func (v vector) want() map[string]string {
	m := map[string]string{}
	for _, field := range strings.Split(v.decoded, ";") {
		key, value, _ := strings.Cut(field, "=")
		m[strings.TrimSpace(key)] = value
	}
	return m
}

// TestVectors reads and writes every row.
func TestVectors(t *testing.T) {
	checks := map[string]func(*testing.T, vector){
		"pack7": checkPacking, "deliver": checkMessage, "submit": checkMessage, "status-report": checkMessage,
		"bad-example": checkMessage, "udh": checkHeader, "vp-relative": checkRelative, "vp-7octet": checkValidity,
		"scts": checkStamp, "scts-zone": checkZone, "ucs2": checkUCS2,
	}
	for i, v := range loadVectors(t) {
		check := checks[v.kind]
		if check == nil {
			t.Fatalf("row %d: no check for kind %q", i, v.kind)
		}
		t.Run(fmt.Sprintf("%d %s %s", i, v.kind, v.name), func(t *testing.T) { check(t, v) })
	}
}

func mustInt(t *testing.T, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func octetsOf(t *testing.T, hex string) []byte {
	t.Helper()
	o, ok := hexOctets(hex)
	if !ok {
		t.Fatalf("%q is no hex", hex)
	}
	return o
}

func checkPacking(t *testing.T, v vector) {
	want := v.want()
	text := strings.ReplaceAll(v.name, `\r`, "\r")
	if v.name == "160 x 'a'" {
		text = strings.Repeat("a", 160)
	}
	n, fill := mustInt(t, want["septets"]), mustInt(t, want["fill_bits"])
	septets, stopped := Shift{}.AppendSeptets(nil, text)
	if stopped >= 0 || len(septets) != n {
		t.Fatalf("%d septets, stopped at %d; want %d", len(septets), stopped, n)
	}
	packed := Pack(nil, septets, fill)
	if got := fmt.Sprintf("%X", packed); got != v.hex {
		t.Errorf("packed %s, want %s", got, v.hex)
	}
	if len(packed) != mustInt(t, want["octets"]) {
		t.Errorf("%d octets, want %s", len(packed), want["octets"])
	}
	if got := (Shift{}).Text(Unpack(nil, octetsOf(t, v.hex), fill, n)); got != text {
		t.Errorf("unpacked %q", got)
	}
	if got := slowPack(slowSeptets(text), fill); got != v.hex {
		t.Errorf("the bit-by-bit writer makes %s", got)
	}
}

// checkMessage compares every field the row names, and writes the message again.
func checkMessage(t *testing.T, v vector) {
	toNetwork := v.kind == "submit" || v.kind == "bad-example"
	read := Decode
	if v.kind != "bad-example" && !strings.Contains(v.decoded, "smsc=") {
		read = DecodeTPDU
	}
	p, err := read(v.hex, toNetwork)
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(p.TPDUOctets); got != v.tpduOctets {
		t.Errorf("%s octets behind the service centre, want %s", got, v.tpduOctets)
	}
	if v.kind == "bad-example" {
		// Published as the message for 1234567 with two digits swapped by mistake.
		if p.Address.Number != "1234657" || p.Data.Text != "hello" {
			t.Errorf("to %q text %q", p.Address.Number, p.Data.Text)
		}
		return
	}
	for key, want := range v.want() {
		if got := show(&p, key); got != want {
			t.Errorf("%s: got %q, want %q", key, got, want)
		}
	}
	checkRewritten(t, &p, v)
	if v.again == "slow" {
		want := v.want()
		toa := strings.ToUpper(want["da"][len(want["da"])-2:])
		number, _, _ := strings.Cut(want["da"], " ")
		hex2 := func(key string) string { return fmt.Sprintf("%02s", strings.TrimPrefix(want[key][:4], "0x")) }
		if got := slowSubmit(hex2("fo"), toa, number, hex2("pid"), hex2("dcs"), hex2("vp"), want["udh"], want["text"]); got != v.hex {
			t.Errorf("the bit-by-bit writer makes\n%s, want\n%s", got, v.hex)
		}
	}
}

// checkRewritten says whether writing the message again gives the same hex.
func checkRewritten(t *testing.T, p *PDU, v vector) {
	t.Helper()
	var hex string
	var err error
	switch p.Kind {
	case KindSubmit:
		m, _ := p.Submit()
		hex, _, err = m.Encode()
	case KindDeliver:
		m, _ := p.Deliver()
		hex, _, err = m.Encode()
	case KindStatusReport:
		m, _ := p.StatusReport()
		hex, _, err = m.Encode()
	}
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(v.decoded, "smsc=") {
		hex = strings.TrimPrefix(hex, "00")
	}
	if hex != v.hex {
		t.Errorf("written again\n%s, want\n%s", hex, v.hex)
	}
}

// show writes a field as the decoded column does.
func show(p *PDU, key string) string {
	address := func(a Address) string { return fmt.Sprintf("%s toa 0x%02x", a.Number, a.Type) }
	stamp := func(s Stamp) string { return s.String()[2:] }
	switch key {
	case "smsc":
		if p.SMSC.IsZero() {
			return "default"
		}
		return address(p.SMSC)
	case "fo":
		return fmt.Sprintf("0x%02x", p.First.Octet)
	case "oa", "da", "ra":
		return address(p.Address)
	case "pid":
		return fmt.Sprintf("0x%02x", p.PID)
	case "dcs":
		return fmt.Sprintf("0x%02X", p.Coding.DCS)
	case "mr":
		return fmt.Sprint(p.Reference)
	case "vp":
		period, _ := p.Validity.Period().Get()
		return fmt.Sprintf("0x%02X (%d h)", p.Validity.Octets[0], int(period.Hours()))
	case "scts":
		return stamp(p.Stamp)
	case "dt":
		return stamp(p.Discharge)
	case "st":
		return fmt.Sprint(byte(p.Status))
	case "udl":
		return fmt.Sprint(p.Data.Length)
	case "udh":
		return fmt.Sprintf("%X", p.Data.Header.append(nil))
	case "text":
		if p.Data.Octets != nil {
			return fmt.Sprintf("b'%s'", p.Data.Octets)
		}
		return p.Data.Text
	}
	return "no such field"
}

// checkHeader reads a header by itself, in a message made around it.
func checkHeader(t *testing.T, v vector) {
	want := v.want()
	hex := v.hex
	if udl, ok := want["udl"]; ok { // this row begins with the length of the user data
		if udl != "25 septets" {
			t.Fatalf("the row changed: %s", udl)
		}
	} else {
		hex = fmt.Sprintf("%02X", len(hex)/2) + hex
	}
	dcs := "04"
	if want["text"] != "" {
		dcs = "00"
	}
	p, err := Decode("0041000081"+"00"+dcs+hex, ToNetwork)
	if err != nil || len(p.Notes) > 0 || len(p.Data.Header) != 1 {
		t.Fatalf("%v %v %v", p.Data.Header, p.Notes, err)
	}
	if got := fmt.Sprintf("%X", p.Data.Header.append(nil)); !strings.Contains(v.hex, got) {
		t.Errorf("written again: %s", got)
	}
	e := p.Data.Header[0]
	got := map[string]string{
		"udl": "25 septets", "udhl": fmt.Sprint(p.Data.HeadSize - 1), "iei": fmt.Sprintf("0x%02X", e.ID), "len": fmt.Sprint(len(e.Data)),
		"text": p.Data.Text, "fill_bits": fmt.Sprint(p.Data.Fill),
	}
	if c, ok := p.Data.Header.Concat(); ok {
		got["ref"], got["total"], got["part"] = fmt.Sprintf("0x%02X", c.Reference), fmt.Sprint(c.Total), fmt.Sprint(c.Part)
		if c.Wide {
			got["ref"] = fmt.Sprintf("0x%04X", c.Reference)
		}
	}
	if to, from, ok := p.Data.Header.Ports(); ok {
		got["destination port"], got["originator port"] = fmt.Sprint(to), fmt.Sprint(from)
	}
	switch s := p.Data.Header.Shift(); {
	case e.ID == ElementSingle:
		got["nli"] = fmt.Sprint(byte(s.Single))
	case e.ID == ElementLocking:
		got["nli"] = fmt.Sprint(byte(s.Locking))
	}
	for key, value := range want {
		switch key {
		case "iei":
			if value == "0x22 len 8" {
				value = "0x22"
			}
		case "address 12345678901 toa 0x91":
			if got := e.String(); got != "answer to +12345678901" { // published
				t.Errorf("reply address %q", got)
			}
			continue
		}
		if got[key] != value {
			t.Errorf("%s: got %q, want %q", key, got[key], value)
		}
	}
}

func checkRelative(t *testing.T, v vector) {
	want := v.want()
	vp := byte(mustInt(t, want["vp"]))
	period := time.Duration(mustInt(t, want["minutes"])) * time.Minute
	if got := ValidityRelative(vp); got != period {
		t.Errorf("got %v, want %v", got, period)
	}
	if got := RelativeFor(period); got != vp {
		t.Errorf("%v is written %d, want %d", period, got, vp)
	}
	if got := ValidOctet(vp).String(); got != v.name {
		t.Errorf("in words %q, want %q", got, v.name)
	}
}

// checkValidity reads the row's name, which says the meaning.
func checkValidity(t *testing.T, v vector) {
	val := Validity{Form: FormEnhanced, Octets: [7]byte(octetsOf(t, v.hex))}
	if strings.HasPrefix(v.name, "absolute") {
		val.Form = FormAbsolute
		if got := "until " + strings.TrimPrefix(v.name, "absolute "); val.String() != got {
			t.Errorf("%q, want %q", val, got)
		}
		return
	}
	want := map[string]string{
		"enhanced: no validity period":                         "none given",
		"enhanced: relative coding in octet 2 (0x01 = 10 min)": "10 min",
		"enhanced: 255 seconds":                                "4m15s",
		"enhanced: 3 h 12 min 45 s (semi-octets)":              "3h12m45s",
		"enhanced: relative value 168":                         "2 days",
	}[v.name]
	if want == "" || val.String() != want {
		t.Errorf("%q, want %q", val, want)
	}
	if strings.HasPrefix(want, "3h") && ValidClock(3, 12, 45, false) != val {
		t.Error("written otherwise")
	}
}

func checkStamp(t *testing.T, v vector) {
	s := Stamp(octetsOf(t, v.hex))
	if got := s.String()[2:]; got != v.decoded {
		t.Errorf("%s, want %s", got, v.decoded)
	}
	at, ok := s.Time()
	if !ok || StampOf(at) != s {
		t.Errorf("%v is written %X", at, StampOf(at))
	}
	if again, ok := ParseTextMode(s.TextMode()); !ok || again != s {
		t.Errorf("text mode %q reads %X", s.TextMode(), again)
	}
}

func checkZone(t *testing.T, v vector) {
	want := v.want()
	octet := octetsOf(t, v.hex)[0]
	quarters := mustInt(t, want["quarters"])
	s := NewStamp(26, 3, 4, 10, 15, 30, quarters)
	if s[6] != octet || s.ZoneQuarters() != quarters {
		t.Errorf("written %02X, want %02X", s[6], octet)
	}
	if got := s.zoneString(); got != want["offset"] {
		t.Errorf("%s, want %s", got, want["offset"])
	}
	// By hand, clause 9.2.3.11: the decimal number of quarters, its digits swapped,
	// bit 3 for a minus.
	n := max(quarters, -quarters)
	byHand := n%10*16 + n/10
	if quarters < 0 {
		byHand += 8
	}
	if byHand != int(octet) {
		t.Errorf("by hand %02X", byHand)
	}
}

func checkUCS2(t *testing.T, v vector) {
	want := strings.Trim(strings.TrimSuffix(v.name, " as UCS2"), "'")
	if got, ok := FromUCS2Hex(v.hex); !ok || got != want {
		t.Errorf("%q", got)
	}
	if got := UCS2Hex(want); got != v.hex || slowUCS2(want) != v.hex {
		t.Errorf("written %s", got)
	}
}
