package epoch

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// In which order the sentences of one instant come does not matter for the fix, as long as
// the first has the time.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mode := rapid.SampledFrom([]string{"A", "D", "E", "N", ""}).Draw(t, "mode")
		status := rapid.SampledFrom([]string{"A", "V"}).Draw(t, "status")
		quality := rapid.SampledFrom([]string{"0", "1", "2", "6", ""}).Draw(t, "quality")
		lat := rapid.SampledFrom([]string{"5142.613,N", "0000.000,N", ","}).Draw(t, "lat")
		timed := []string{
			"GNRMC,101530," + status + "," + lat + ",00018.442,W,1.5,84.4,040326,,," + mode,
			"GNGGA,101530," + lat + ",00018.443,W," + quality + ",05,1.2,86.5,M,45.7,M,,",
			"GPGGA,101530,,,,,0,03,9.9,,,,,,",
			"GNGNS,101530," + lat + ",00018.444,W,A,14,0.6,161.5,48.0,,",
			"GNGLL," + lat + ",00018.442,W,101530," + status + "," + mode,
			"GNZDA,101530,04,03,2026,00,00",
			"GNGST,101530,1,1,1,1,1,1,1",
		}
		free := []string{
			"GNVTG,85.5,T,,M,2.5,N,4.6,K," + mode,
			"GNGSA,A,3,07,13,20,,,,,,,,,,2.1,1.2,1.7,1",
			"GNGSA,A,3,71,80,,,,,,,,,,,2.1,1.2,1.7,2",
			"GPGSV,1,1,01,07,31,210,41,1",
			"GLGSV,1,1,01,71,31,210,38,1",
		}
		pick := func(list []string, name string) (picked []string) {
			for i, on := range rapid.SliceOfN(rapid.Bool(), len(list), len(list)).Draw(t, name) {
				if on {
					picked = append(picked, list[i])
				}
			}
			return picked
		}
		head := rapid.Permutation(pick(timed, "timed")).Draw(t, "order")
		if len(head) == 0 {
			return
		}
		tail := append(append([]string{}, head[1:]...), pick(free, "free")...)
		other := rapid.Permutation(tail).Draw(t, "other order")

		one := fixOf(t, append([]string{head[0]}, tail...))
		two := fixOf(t, append([]string{head[0]}, other...))
		if one != two {
			t.Fatalf("\n%s\n%s", one, two)
		}
	})
}

func fixOf(t *rapid.T, lines []string) string {
	a := New()
	var s nmea.Sentence
	var out []*Epoch
	for i, line := range lines {
		text := nmea.Format(line)
		if err := nmea.Scan(text, &s); err != nil {
			t.Fatal(err)
		}
		out = a.Add(Source{Record: i, At: when.Instant(i), Text: text}, &s, out)
	}
	out = a.End(out)
	if len(out) != 1 {
		t.Fatalf("%d epochs of %q", len(out), lines)
	}
	f := out[0].Fix
	f.At = 0 // that is where the sentences stand
	return fmt.Sprintf("%+v", f)
}

// What must hold of every epoch, whatever was heard.
func check(t testing.TB, list []*Epoch) {
	for i, e := range list {
		f := &e.Fix
		switch {
		case f.Valid != (f.Void == ""):
			t.Errorf("epoch %d: valid %v, void %q", i, f.Valid, f.Void)
		case f.Valid && !f.Point.IsKnown():
			t.Errorf("epoch %d: valid without a position", i)
		case len(e.Sources) == 0 || len(e.Sources) > maxSources:
			t.Errorf("epoch %d: %d sources", i, len(e.Sources))
		case e.Began > e.At || f.At > e.At:
			t.Errorf("epoch %d: began %v, at %v, fix at %v", i, e.Began, e.At, f.At)
		case len(e.Satellites) > maxSets*maxSetSatellites:
			t.Errorf("epoch %d: %d satellites", i, len(e.Satellites))
		}
		for k := range e.Satellites {
			v := &e.Satellites[k]
			if other := find(e.Satellites[:k], v); other != nil {
				t.Errorf("epoch %d: %s %d is there twice", i, v.System, v.ID)
			}
		}
		for k := 1; k < len(e.Sources); k++ {
			if e.Sources[k].Record <= e.Sources[k-1].Record {
				t.Errorf("epoch %d: sources out of order", i)
			}
		}
	}
}

// A stream of sentences with random harms is put into epochs that hold together, and the
// same stream gives the same epochs.
func TestHarmedStream(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	var lines []string
	for _, line := range drive(300) {
		switch r.IntN(12) {
		case 0: // lost
		case 1: // twice
			lines = append(lines, line, line)
		case 2: // cut
			lines = append(lines, line[:r.IntN(len(line))])
		case 3: // another byte, right checksum
			body := []byte(line[1:strings.IndexByte(line, '*')])
			body[5+r.IntN(len(body)-5)] = ",.A0V9"[r.IntN(6)]
			lines = append(lines, nmea.Format(string(body)))
		default:
			lines = append(lines, line)
		}
	}
	one, two := epochsOf(lines), epochsOf(lines)
	check(t, one)
	if !reflect.DeepEqual(one, two) {
		t.Error("the same stream gave other epochs")
	}
	if len(one) < 250 || len(one) > 700 {
		t.Errorf("%d epochs of 300 s", len(one))
	}
}

func epochsOf(lines []string) []*Epoch {
	a := New()
	var s nmea.Sentence
	var out []*Epoch
	for i, line := range lines {
		_ = nmea.Scan(line, &s)
		out = a.Add(Source{Record: i + 1, At: when.Instant(i) * 10 * when.Millisecond, Text: line}, &s, out)
	}
	return a.End(out)
}

func FuzzAssembler(f *testing.F) {
	f.Add(strings.Join(drive(2), "\n"))
	f.Add("$GPRMC,,V,,,,,,,,,,N*53\n$GPGSV,1,1,00*79\n$GPGSV,1,1,00,1*64\n$GNGSA,A,1,,,,,,,,,,,,,,,*00")
	f.Add("$GPGSV,3,1,11,03,03,111,00,04,15,270,00,06,01,010,12,13,06,292,00*77\n$GPGSV,3,3,11,23,27,251,31*00\n\n$\n$*\nnoise")
	f.Add("$GPZDA,235959.99,31,12,2026,00,00*00\n$GPGGA,000000,,,,,0,,,,,,,,*00")
	f.Fuzz(func(t *testing.T, text string) {
		lines := strings.Split(text, "\n")
		for i, line := range lines { // without a checksum, else hardly one would be right
			lines[i], _, _ = strings.Cut(line, "*")
		}
		check(t, epochsOf(lines))
	})
}
