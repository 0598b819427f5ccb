package geo

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// quellmoor is where trailer 07 stands: 5142.6130,N,00018.4420,W in a sentence.
var quellmoor = Point{51 + 42.6130/60, -18.4420 / 60}

// TestMistakesByHand: what each fault of the trade makes of known sentences. The
// spoiled numbers are worked out on paper beside each row.
func TestMistakesByHand(t *testing.T) {
	sydney := Point{-(33 + 52.1292/60), 151 + 12.5583/60} // 3352.1292,S,15112.5583,E
	tromso := Point{69 + 39.0/60, 18 + 57.3/60}
	for _, row := range []struct {
		name     string
		lat, lon string
		truth    Point
		want     []Kind
		errorM   float64 // to a tenth, worked out with the length of a degree; 0: no place on earth
	}{
		// 51 and 42.6130/100; 0 and 18.4420/100.
		{"minutes as decimals", "51.426130", "-0.184420", quellmoor, []Kind{MinutesAsDecimals}, 32730},
		{"the same, with west lost", "51.426130", "0.184420", quellmoor, []Kind{MinutesAsDecimals, LonSign}, 46500},
		{"the same, four decimals cut", "51.4261", "-0.1844", quellmoor, []Kind{MinutesAsDecimals}, 32730},
		{"the same, a second later", "51.426190", "-0.184391", quellmoor, []Kind{MinutesAsDecimals}, 32730},
		{"not converted at all", "5142.6130", "-18.4420", quellmoor, []Kind{NotConverted}, 0},
		{"west lost", "51.710217", "0.307367", quellmoor, []Kind{LonSign}, 42470},
		{"south lost", "33.868820", "151.209305", sydney, []Kind{LatSign}, 7.50e6},
		{"both lost", "51.710217", "18.955000", Point{-quellmoor.LatDeg, -18.955}, []Kind{LatSign, LonSign}, 11.9e6},
		{"swapped", "-0.307367", "51.710217", quellmoor, []Kind{Swapped}, 7.4e6},
		{"swapped into nowhere", "151.209305", "-33.868820", sydney, []Kind{Swapped}, 0},
		// 42.6130 minutes: 42 minutes and "61.30 seconds".
		{"fraction as seconds", "51.717028", "-0.312278", quellmoor, []Kind{FractionAsSeconds}, 830},
		{"minutes cut", "51.683333", "-0.283333", Point{51 + 41.613/60, -17.442 / 60}, []Kind{MinutesCut}, 1240},
		// 0.307367 keeps its zeros; 3 degrees 5.0760 minutes is 3.084600.
		{"zeros of the fraction", "51.710217", "3.84600", Point{quellmoor.LatDeg, 3 + 5.0760/60}, []Kind{ZerosLost}, 52600},
		// -(33 + 52.1292/60) = -33.868820, 151.209305: floats near 151.2 lie 1.526e-5 apart.
		{"32-bit degrees", "-33.8688202", "151.2093048", Point{-33.86882, 151.2093}, []Kind{Float32Degrees}, 0.44},
		{"few decimals", "51.71", "-0.30", quellmoor, []Kind{FewDigits}, 510},
		{"few decimals, rounded", "51.71", "-0.31", quellmoor, []Kind{FewDigits}, 183},
		{"padded with zeros", "51.710000", "-0.307000", quellmoor, []Kind{FewDigits}, 35},
		{"decimal comma", "51,710217", "-0,307367", quellmoor, []Kind{DecimalComma}, 0.04},
		{"decimal comma and west lost", "51,710217", "0,307367", quellmoor, []Kind{LonSign, DecimalComma}, 42470},

		// 5218.44134 in a float is 5218.4414, and that prints 52.307357: met by
		// chance, as the fix of a second later is 52.307357. Six decimals prove nothing.
		{"on the grid by chance", "52.307357", "8.620481", Point{52 + 18.44134/60, 8 + 37.22890/60}, nil, 0},

		// Right, or not explained.
		{"right", "51.710217", "-0.307367", quellmoor, nil, 0},
		{"right, cut off", "51.71021", "-0.30736", quellmoor, nil, 0},
		{"right, in minutes", "51 42.613 N", "0 18.442 W", quellmoor, nil, 0},
		{"right, as in the sentence", "5142.6130,N", "00018.4420,W", quellmoor, nil, 0},
		{"right, because there are no minutes to spoil", "51.000000", "12.000000", Point{51, 12}, nil, 0},
		{"right on a round number", "69.650000", "18.955000", tromso, nil, 0},
		{"somewhere else", "48.201000", "16.369500", quellmoor, nil, 0},
		{"a little further on", "51.710401", "-0.307120", quellmoor, nil, 0},
		{"not numbers", "?", "?", quellmoor, nil, 0},
		{"no truth", "51.7", "-0.3", Point{math.NaN(), 0}, nil, 0},
	} {
		got := Mistakes(row.lat, row.lon, row.truth)
		if row.want == nil {
			if got != nil {
				t.Errorf("%s: %+v, want none", row.name, got[0])
			}
			continue
		}
		if len(got) == 0 {
			t.Errorf("%s: nothing found, want %v", row.name, row.want)
			continue
		}
		if !slices.Equal(got[0].Kinds, row.want) {
			t.Errorf("%s: %v, want %v", row.name, got[0].Kinds, row.want)
		}
		if known := row.errorM > 0; got[0].ErrorKnown != known || math.Abs(got[0].ErrorM-row.errorM) > 0.06*row.errorM+0.05 {
			t.Errorf("%s: %.2f m off (%v), want %.2f", row.name, got[0].ErrorM, got[0].ErrorKnown, row.errorM)
		}
		if strings.TrimSpace(got[0].Explanation) == "" {
			t.Errorf("%s: no explanation", row.name)
		}
	}
}

// TestMistakesAreFound: spoil any place the known way, and the way is named.
func TestMistakesAreFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// A sentence with four decimals of a minute, away from where two mistakes look the same.
		minute := func(label string, maxDeg int) float64 {
			d := rapid.IntRange(1, maxDeg).Draw(t, label+" degrees")
			m := rapid.IntRange(10_0000, 58_0000).Draw(t, label+" minutes") // in 1e-4
			return (float64(d) + float64(m)/60e4) * float64(rapid.SampledFrom([]int{-1, 1}).Draw(t, label+" side"))
		}
		p := Point{minute("lat", 80), minute("lon", 170)}
		decimals := rapid.IntRange(5, 7).Draw(t, "decimals")
		spoil := rapid.IntRange(0, 2).Draw(t, "spoil")
		side := rapid.IntRange(0, 3).Draw(t, "side")
		lat, lon := p.LatDeg, p.LonDeg
		var want []Kind
		if spoil > 0 {
			s := spoilings[spoil-1]
			a, _ := s.apply(math.Abs(lat))
			b, _ := s.apply(math.Abs(lon))
			lat, lon = math.Copysign(a, lat), math.Copysign(b, lon)
			want = append(want, s.kind)
		}
		lat, lon = lat*signsWrong[side].lat, lon*signsWrong[side].lon
		want = append(want, signsWrong[side].kinds...)
		print := func(v float64) string { return strconv.FormatFloat(v, 'f', decimals, 64) }
		got := Mistakes(print(lat), print(lon), p)
		if len(want) == 0 {
			if len(got) > 0 {
				t.Fatalf("%v is right: %+v", p, got[0])
			}
			return
		}
		if !slices.ContainsFunc(got, func(m Mistake) bool { return m.Exact && slices.Equal(m.Kinds, want) }) {
			t.Fatalf("%v as %s,%s: %+v, want %v", p, print(lat), print(lon), got, want)
		}
	})
}

// TestFloatGridIsFound: at longitudes above 128 degrees floats lie 1.5e-5 degrees
// apart (IEEE 754: 24 bits), so most numbers with seven decimals show it.
func TestFloatGridIsFound(t *testing.T) {
	found, shown := 0, 0
	for n := range 200 {
		p := Point{51.0 + float64(n)*0.001237, 151.0 + float64(n)*0.000731}
		sent := [2]string{fmt.Sprintf("%.7f", float32(p.LatDeg)), fmt.Sprintf("%.7f", float32(p.LonDeg))}
		if off, _ := strconv.ParseFloat(sent[1], 64); math.Abs(off-p.LonDeg) < 2e-7 {
			continue
		}
		shown++
		if got := Mistakes(sent[0], sent[1], p); len(got) > 0 && got[0].Is(Float32Degrees) {
			found++
		}
	}
	if shown < 150 || found != shown {
		t.Errorf("%d of %d found", found, shown)
	}
}

func TestAgrees(t *testing.T) {
	for _, row := range []struct {
		lat, lon string
		want     bool
	}{
		{"51.710217", "-0.307367", true}, {"51.710216", "-0.307366", true}, {"51.71", "-0.30", true},
		{"51.710219", "-0.307367", false}, {"51.710217", "0.307367", false}, {"51 42.613 N", "0 18.442 W", true}, {"x", "y", false},
	} {
		if got := Agrees(row.lat, row.lon, quellmoor); got != row.want {
			t.Errorf("%s %s: %v", row.lat, row.lon, got)
		}
	}
}

func FuzzMistakes(f *testing.F) {
	f.Add("51.426130", "-0.184420", 51.710217, -0.307367)
	f.Add("5142.6130,N", "00018.4420,W", 51.710217, -0.307367)
	f.Add("51,71", "0,3", 0.0, 0.0)
	f.Fuzz(func(t *testing.T, lat, lon string, trueLat, trueLon float64) {
		for _, m := range Mistakes(lat, lon, Point{trueLat, trueLon}) {
			if len(m.Kinds) == 0 || m.Explanation == "" || m.ResidualDeg < 0 || m.ErrorKnown && !(m.ErrorM >= 0) {
				t.Fatalf("%q %q %v %v: %+v", lat, lon, trueLat, trueLon, m)
			}
		}
	})
}
