package nmea

import (
	"encoding/csv"
	"os"
	"testing"
)

// A trip takes a sentence to a record by both ways, and a record back to a sentence.
type trip struct {
	name   string
	decode func(s *Sentence) (any, error) // DecodeRMC…, which may take the quick way
	table  func(s *Sentence) (any, error) // the table alone
	encode func(record any, talker string) string
}

func tripOf[R any](k Kind, decode func(*Sentence) (R, error), encode func(R, string) string) trip {
	return trip{
		name:   k.Name,
		decode: func(s *Sentence) (any, error) { return decode(s) },
		table: func(s *Sentence) (any, error) {
			r, err := k.Decode(s)
			return *r.(*R), err
		},
		encode: func(record any, talker string) string { return encode(record.(R), talker) },
	}
}

// trips are the sentences in the order of Kinds.
func trips() []trip {
	return []trip{
		tripOf(Kinds[0], DecodeRMC, RMC.Encode), tripOf(Kinds[1], DecodeGGA, GGA.Encode), tripOf(Kinds[2], DecodeGSA, GSA.Encode),
		tripOf(Kinds[3], DecodeGSV, GSV.Encode), tripOf(Kinds[4], DecodeGLL, GLL.Encode), tripOf(Kinds[5], DecodeVTG, VTG.Encode),
		tripOf(Kinds[6], DecodeZDA, ZDA.Encode), tripOf(Kinds[7], DecodeGNS, GNS.Encode), tripOf(Kinds[8], DecodeGST, GST.Encode),
		tripOf(Kinds[9], DecodeTXT, TXT.Encode), tripOf(Kinds[10], DecodeGBS, GBS.Encode), tripOf(Kinds[11], DecodeGRS, GRS.Encode),
		tripOf(Kinds[12], DecodeDTM, DTM.Encode), tripOf(Kinds[13], DecodeHDT, HDT.Encode), tripOf(Kinds[14], DecodeTHS, THS.Encode),
	}
}

func tripFor(s *Sentence) (trip, bool) {
	if s.IsMakers() {
		return trip{}, false
	}
	for _, p := range trips() {
		if p.name == s.Type {
			return p, true
		}
	}
	return trip{}, false
}

// A sample is a row of testdata/samples.csv.
type sample struct {
	Bad        bool // the checksum is wrong on purpose
	Text, Note string
}

func samples(t testing.TB) []sample {
	f, err := os.Open("testdata/samples.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []sample
	for _, row := range rows {
		out = append(out, sample{row[0] == "bad", row[1], row[2]})
	}
	if len(out) < 50 {
		t.Fatalf("only %d samples", len(out))
	}
	return out
}
