package nmea

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// checkAgreement holds the quick readings to the plain ones, for any text.
func checkAgreement(t *testing.T, text string) {
	t.Helper()
	var quick, plain Sentence
	quickErr, plainErr := Scan(text, &quick), scanAny(text, &plain)
	if !reflect.DeepEqual(quickErr, plainErr) {
		t.Errorf("%q: Scan says %v, scanAny %v", text, quickErr, plainErr)
	}
	bare := quick
	bare.quick, bare.cuts, bare.fields = plain.quick, plain.cuts, plain.fields
	if bare != plain || !slices.Equal(quick.Fields(nil), plain.Fields(nil)) {
		t.Errorf("%q:\n%+v %q by Scan\n%+v %q by scanAny", text, bare, quick.Fields(nil), plain, plain.Fields(nil))
	}
	p, ok := tripFor(&quick)
	if !ok {
		return
	}
	got, gotErr := p.decode(&quick)
	want, wantErr := p.table(&quick)
	if !reflect.DeepEqual(got, want) || errorText(gotErr) != errorText(wantErr) {
		t.Errorf("%q:\n%+v, %v by the quick way\n%+v, %v by the table", text, got, gotErr, want, wantErr)
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// The quick way and the table give the same record and the same complaint: for the samples,
// for an hour's drive, and for both after a few random harms.
func TestQuickAgreesWithTables(t *testing.T) {
	texts := drive(600)
	for _, sample := range samples(t) {
		texts = append(texts, sample.Text)
	}
	texts = append(texts, // as short as can be: the words that are read begin or end with the text
		"$GPXXX*00", "$GPXXX,*00", "$GPXXX,,*00", "$GPXXX,1*00", "$GPRMC,,,,,,,,,,*00", "$GPRMC,,,,,,,,,,,,*00", "$GPGSV,,,,,,,*00",
		"$GPGSV,1,1,01,1,,,*00", "$GPGSV,1,1,01,01,02,003,*00", "$GPGLL,1,N,1,E,1,A*00", "$GPVTG,,,,,,,*00", "$GPGSA,,,,,,,,,,,,,,,,*00")
	for _, text := range texts {
		checkAgreement(t, text)
	}
	r := rand.New(rand.NewPCG(7, 7))
	for range 200_000 {
		checkAgreement(t, harm(r, texts[r.IntN(len(texts))]))
		if t.Failed() {
			return
		}
	}
}

// The usual sentences do take the quick way: else the test above compares nothing.
func TestQuickIsTaken(t *testing.T) {
	var s Sentence
	quick := 0
	texts := drive(100)
	for _, text := range texts {
		if err := Scan(text, &s); err != nil {
			t.Fatal(err)
		}
		var ok bool
		switch s.Type {
		case "RMC":
			ok = new(RMC).quick(&s)
		case "GGA":
			ok = new(GGA).quick(&s)
		case "GSA":
			ok = new(GSA).quick(&s)
		case "GSV":
			ok = new(GSV).quick(&s)
		case "GLL":
			ok = new(GLL).quick(&s)
		case "VTG":
			ok = new(VTG).quick(&s)
		}
		if ok {
			quick++
		}
	}
	if quick != len(texts) {
		t.Errorf("%d of %d", quick, len(texts))
	}
}

// Scanning and decoding the usual sentences does not allocate.
func TestNoAllocation(t *testing.T) {
	texts := drive(10)
	e := new(ear)
	n := testing.AllocsPerRun(10, func() {
		for _, text := range texts {
			if err := e.hear(text); err != nil {
				t.Fatal(err)
			}
		}
	})
	if n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// harm changes a few bytes of a sentence and, mostly, mends its checksum.
func harm(r *rand.Rand, text string) string {
	const bytes = ",,,,..--0123456789ANSEWMVTKP*$! +\x7f\x80\xff\x00^"
	body := strings.TrimPrefix(text, "$")
	if i := strings.IndexByte(body, '*'); i >= 0 {
		body = body[:i]
	}
	b := []byte(body)
	for range 1 + r.IntN(3) {
		i := r.IntN(len(b) + 1)
		c := bytes[r.IntN(len(bytes))]
		switch r.IntN(4) {
		case 0: // drop
			b = append(b[:max(0, i-1)], b[i:]...)
		case 1: // insert
			b = append(b[:i], append([]byte{c}, b[i:]...)...)
		case 2: // empty or fill a field
			fields := strings.Split(string(b), ",")
			k := r.IntN(len(fields))
			fields[k] = []string{"", "0", "-0", "9999", ".5", "5.", "00000000.5", "123456789", "1.5", "-1.5", "000", "99", "235960", "8959.99999999999", "18000.000", "09", "F"}[r.IntN(17)]
			b = []byte(strings.Join(fields, ","))
		default: // replace
			if i < len(b) {
				b[i] = c
			}
		}
		if len(b) == 0 {
			b = []byte("G")
		}
	}
	if r.IntN(10) == 0 {
		return "$" + string(b)
	}
	return Format(string(b))
}
