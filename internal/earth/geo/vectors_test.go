package geo

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// vector is one row of testdata/vectors.csv.
type vector map[string]string

func (v vector) number(t *testing.T, column string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(v[column], 64)
	if err != nil {
		t.Fatalf("%s: column %s: %v", v["name"], column, err)
	}
	return f
}

// vectors returns the rows of one kind; there must be some.
func vectors(t *testing.T, kind string) []vector {
	t.Helper()
	f, err := os.Open("testdata/vectors.csv")
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
	var found []vector
	for _, row := range rows[1:] {
		v := vector{}
		for i, name := range rows[0] {
			v[name] = row[i]
		}
		if v["kind"] == kind {
			found = append(found, v)
		}
	}
	if len(found) == 0 {
		t.Fatalf("no rows of kind %s", kind)
	}
	return found
}

// half is half a step of the last digit that was published.
func half(text string) float64 {
	_, frac, _ := strings.Cut(text, ".")
	return 0.5*math.Pow10(-len(frac)) + 1e-12
}

// TestGeodesicsAsPublished: distances to the published digit, at best 15 nm.
func TestGeodesicsAsPublished(t *testing.T) {
	for _, v := range vectors(t, "geodesic") {
		a := Point{v.number(t, "lat1"), v.number(t, "lon1")}
		b := Point{v.number(t, "lat2"), v.number(t, "lon2")}
		distM, azi1, azi2 := Inverse(a, b)
		tolerance := math.Max(half(v["distance_m"]), 15e-9)
		switch v["name"] {
		case "New York to London": // published on another figure of the earth's points to the metre
			tolerance = 1e-3
		case "Flinders Peak to Buninyong": // GRS 80; WGS-84 differs by a tenth of a millimetre
			tolerance = 1e-3
		}
		if got := math.Abs(distM - v.number(t, "distance_m")); got > tolerance {
			t.Errorf("%s: %.9f m, published %s", v["name"], distM, v["distance_m"])
		}
		for _, azimuth := range []struct {
			column string
			got    float64
		}{{"azi1", azi1}, {"azi2", azi2}} {
			if v[azimuth.column] == "" {
				continue
			}
			tolerance := 5 * half(v[azimuth.column])
			if v["name"] == "New York JFK to Singapore" {
				tolerance = 0.05 / 3600 // published to a tenth of a second
			}
			off := math.Abs(math.Remainder(azimuth.got-v.number(t, azimuth.column), 360))
			if off > tolerance {
				t.Errorf("%s: %s %.12f, published %s", v["name"], azimuth.column, azimuth.got, v[azimuth.column])
			}
		}
	}
}

// TestDirectAsPublished walks the published lines.
func TestDirectAsPublished(t *testing.T) {
	for _, v := range vectors(t, "geodesic_direct") {
		to, azi2 := Direct(Point{v.number(t, "lat1"), v.number(t, "lon1")}, v.number(t, "azi1"), v.number(t, "distance_m"))
		// 54 km with an azimuth to a millionth of a degree: a millimetre.
		if off := DistanceM(to, Point{v.number(t, "lat2"), v.number(t, "lon2")}); off > 2e-3 {
			t.Errorf("%s: arrived %.4f m away at %v", v["name"], off, to)
		}
		if math.Abs(math.Remainder(azi2-v.number(t, "azi2"), 360)) > 2e-6 {
			t.Errorf("%s: azimuth %v", v["name"], azi2)
		}
	}
	for _, v := range vectors(t, "geodesic") {
		if v["name"] == "same point" || v["name"] == "equator to pole" {
			continue // no azimuth, or no longitude, to compare
		}
		a := Point{v.number(t, "lat1"), v.number(t, "lon1")}
		b := Point{v.number(t, "lat2"), v.number(t, "lon2")}
		distM, azi1, azi2 := Inverse(a, b)
		to, azi := Direct(a, azi1, distM)
		if off := DistanceM(to, b); off > 15e-9 || math.Abs(math.Remainder(azi-azi2, 360)) > 1e-9 {
			t.Errorf("%s: there and back: %.3g m away, azimuth %v and %v", v["name"], off, azi, azi2)
		}
	}
}

// TestGeocentric: the worked example of a public library's documentation.
func TestGeocentric(t *testing.T) {
	v := vectors(t, "geocentric")[0]
	e := ToECEF(Point{v.number(t, "lat1"), v.number(t, "lon1")}, 6000)
	words := strings.Fields(v["text_out"]) // X .. Y .. Z ..
	for i, got := range []float64{e.X, e.Y, e.Z} {
		want, err := strconv.ParseFloat(words[2*i+1], 64)
		if err != nil || math.Abs(got-want) > 0.005 {
			t.Errorf("%s: %.3f, published %s %v", words[2*i], got, words[2*i+1], err)
		}
	}
}

func TestDegreeLengths(t *testing.T) {
	for _, v := range vectors(t, "degree_length") {
		latM, lonM := MetresPerDegree(v.number(t, "lat1"))
		words := strings.Fields(v["text_out"]) // 1 degree of latitude A m; of longitude B m
		for i, got := range []float64{latM, lonM} {
			want, err := strconv.ParseFloat(words[[]int{4, 8}[i]], 64)
			if err != nil || math.Abs(got-want) > 0.006 {
				t.Errorf("%s: %.3f m, want %v (%v)", v["name"], got, want, err)
			}
		}
	}
}

func TestSentenceFieldsAsPublished(t *testing.T) {
	for _, v := range vectors(t, "dm_to_decimal") {
		// One coordinate only: put an equator or a Greenwich beside it.
		text, lat := v["text_in"]+",00000.0,E", true
		if strings.ContainsAny(v["text_in"], "EW") {
			text, lat = "0000.0,N,"+v["text_in"], false
		}
		r, err := Parse(text)
		got := r.Point.LonDeg
		if lat {
			got = r.Point.LatDeg
		}
		want, parseErr := strconv.ParseFloat(v["text_out"], 64)
		if err != nil || parseErr != nil || math.Abs(got-want) > 0.6e-9 || r.Spelling != SentenceFields {
			t.Errorf("%s: %.9f (%s) %v, want %s", text, got, r.Spelling, err, v["text_out"])
		}
	}
}

func TestSecondsAsComputed(t *testing.T) {
	for _, v := range vectors(t, "decimal_to_dms") {
		deg, err := strconv.ParseFloat(v["text_in"], 64)
		if err != nil {
			t.Fatal(err)
		}
		letters := "NS"
		if strings.ContainsAny(v["text_out"], "EW") {
			letters = "EW"
		}
		if got := string(appendParts(nil, deg, 3, 3, Blanks, letters)); got != v["text_out"] {
			t.Errorf("%s: %q, want %q", v["text_in"], got, v["text_out"])
		}
	}
}

func TestGeoURIsAsPublished(t *testing.T) {
	for _, v := range vectors(t, "geo_uri") {
		r, err := Parse(v["text_in"])
		if err != nil {
			t.Errorf("%s: %v", v["text_in"], err)
			continue
		}
		want := strings.Fields(v["text_out"]) // latitude A longitude B [altitude C m] [uncertainty D m]
		got := []float64{r.Point.LatDeg, r.Point.LonDeg}
		if r.HasAltitude {
			got = append(got, r.AltitudeM)
		}
		if r.HasUncertainty {
			got = append(got, r.UncertaintyM)
		}
		if len(want) != 2*len(got)+len(got)-2 {
			t.Errorf("%s: read %v, want %v", v["text_in"], got, want)
		}
		for i, at := range []int{1, 3, 5}[:len(got)] {
			if number, _ := strconv.ParseFloat(want[at], 64); number != got[i] {
				t.Errorf("%s: %s is %v, want %s", v["text_in"], want[at-1], got[i], want[at])
			}
		}
	}
	for kind, want := range map[string]Sameness{"geo_uri_equal": Same, "geo_uri_undefined": Undefined} {
		for _, v := range vectors(t, kind) {
			for _, pair := range [][2]string{{v["text_in"], v["text_out"]}, {v["text_out"], v["text_in"]}} {
				if got, err := CompareGeoURI(pair[0], pair[1]); got != want || err != nil {
					t.Errorf("%s and %s: %v %v, want %v", pair[0], pair[1], got, err, want)
				}
			}
		}
	}
	for _, pair := range [][2]string{
		{"geo:22.3,-118.44", "geo:22.3,118.44"}, {"geo:22.3,-118.44", "geo:22.3,-118.44,0"},
		{"geo:22.3,-118.44;u=1", "geo:22.3,-118.44"}, {"geo:22.3,1;crs=wgs84", "geo:22.3,1;crs=moon-2011"},
	} {
		if got, err := CompareGeoURI(pair[0], pair[1]); got != Different || err != nil {
			t.Errorf("%s and %s: %v %v, want different", pair[0], pair[1], got, err)
		}
	}
}
