package trackfile

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/maybe"
	"firstfix/internal/tidy/needs"
)

// askOracle sends questions to oracle/track and returns its answers.
func askOracle(t *testing.T, questions []map[string]any, answer func(i int, text []byte)) {
	t.Helper()
	folder := filepath.Join("..", "..", "..", "oracle", "track")
	if _, err := os.Stat(filepath.Join(folder, "node_modules")); err != nil {
		needs.Something(t, "the oracle is not installed: run npm ci in oracle/track to compare with independent readers")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		needs.Something(t, "the oracle needs node: "+err.Error())
	}
	var in strings.Builder
	for _, q := range questions {
		line, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		in.Write(line)
		in.WriteByte('\n')
	}
	command := exec.Command(node, "track.mjs")
	command.Dir, command.Stdin, command.Stderr = folder, strings.NewReader(in.String()), os.Stderr
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimRight(string(out), "\n"), "\n")
	if len(lines) != len(questions) {
		t.Fatalf("%d answers to %d questions", len(lines), len(questions))
	}
	for i, line := range lines {
		answer(i, []byte(line))
	}
}

// tours are tracks of every kind: pieces of one and of many points, over the 180th
// meridian, with and without times and heights.
func tours(n int) (list [][]track.Judged) {
	r := rand.New(rand.NewPCG(46, 79))
	for range n {
		lat, lon := r.Float64()*170-85, r.Float64()*360-180
		if r.IntN(3) == 0 {
			lon = 179.99
		}
		clock := time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC)
		dated := r.IntN(4) > 0 // all or none: togeojson counts only the times that are there
		var tour []track.Judged
		for i := range 1 + r.IntN(40) {
			lat, lon = max(-90, min(90, lat+r.Float64()*0.02-0.01)), geo.NormalLon(lon+r.Float64()*0.02-0.005)
			clock = clock.Add(time.Duration(1+r.IntN(100)) * time.Second)
			var j track.Judged
			j.Valid, j.Point = true, maybe.Known(geo.Point{LatDeg: math.Round(lat*1e8) / 1e8, LonDeg: math.Round(lon*1e8) / 1e8})
			if dated {
				j.UTC = maybe.Known(clock)
			}
			if r.IntN(2) == 0 {
				j.AltitudeM, j.GeoidM = maybe.Known(80.5), maybe.Known(45.7)
			}
			if i > 0 && r.IntN(7) == 0 {
				j.Gap = "nothing to believe was heard"
			}
			tour = append(tour, j)
		}
		list = append(list, tour)
	}
	return list
}

// An independent reader finds in our GPX and KML the places and times that were written.
func TestOracleReads(t *testing.T) {
	list := tours(60)
	var questions []map[string]any
	for _, tour := range list {
		questions = append(questions, map[string]any{"gpx": string(write(t, Formats[0], tour))}, map[string]any{"kml": string(write(t, Formats[2], tour))})
	}
	compared := 0
	askOracle(t, questions, func(i int, text []byte) {
		var got [][3]any
		if err := json.Unmarshal(text, &got); err != nil {
			t.Fatal(err)
		}
		// togeojson leaves out pieces of one point in GPX: they are no lines.
		var want []track.Judged
		tour := list[i/2]
		for k := range tour {
			begins := k == 0 || tour[k].Gap != ""
			if i%2 == 1 || !begins || !lone(tour, k) {
				want = append(want, tour[k])
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%d: it finds %d of %d\n%s", i, len(got), len(want), questions[i])
		}
		for k := range want {
			p, _ := want[k].Point.Get()
			if got[k][0] != p.LonDeg || got[k][1] != p.LatDeg {
				t.Fatalf("%d: place %d is %v, want %v", i, k, got[k], p)
			}
			said, _ := got[k][2].(string)
			utc, dated := want[k].UTC.Get()
			if at, err := time.Parse(time.RFC3339Nano, said); dated != (err == nil) || dated && !at.Equal(utc) {
				t.Fatalf("%d: time %d is %q, want %v", i, k, said, want[k].UTC)
			}
			compared++
		}
	})
	t.Logf("%d places compared", compared)
}

// An independent checker of GeoJSON finds nothing wrong with ours; and it does find what is wrong.
func TestOracleGeoJSON(t *testing.T) {
	var questions []map[string]any
	for _, tour := range append(tours(80), nil) {
		questions = append(questions, map[string]any{"geojson": string(write(t, Formats[1], tour))})
	}
	right := len(questions)
	for _, bad := range []string{`{"type":"LineString","coordinates":[[1,2]]}`, `{"type":"Feature","geometry":{"type":"Point","coordinates":[1]},"properties":null}`, `{"type":"Circle"}`} {
		questions = append(questions, map[string]any{"geojson": bad})
	}
	askOracle(t, questions, func(i int, text []byte) {
		var problems []string
		if err := json.Unmarshal(text, &problems); err != nil {
			t.Fatal(err)
		}
		if i < right && len(problems) > 0 {
			t.Errorf("%v\n%s", problems, questions[i]["geojson"])
		}
		if i >= right && len(problems) == 0 {
			t.Errorf("it takes %s", questions[i]["geojson"])
		}
	})
}

// Inside or outside a polygon: the same as an independent library, for points that are not
// on the line.
func TestOracleInside(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 12))
	var questions []map[string]any
	var ours [][]bool
	for range 60 {
		lat, lon := r.Float64()*120-60, r.Float64()*300-150
		var ring [][2]float64
		var points []geo.Point
		n := 3 + r.IntN(9)
		for k := range n {
			s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			far := 0.01 + 0.05*r.Float64()
			p := geo.Point{LatDeg: lat + far*s, LonDeg: lon + far*c}
			points, ring = append(points, p), append(ring, [2]float64{p.LonDeg, p.LatDeg})
		}
		ring = append(ring, ring[0])
		g := geometryOf(ring)
		guard, err := track.NewGuard([]track.Fence{{Name: "f", Polygons: []track.Polygon{{points}}}}, track.Hysteresis{Count: 1})
		if err != nil {
			t.Fatal(err)
		}
		var asked [][2]float64
		var inside []bool
		side := false
		for range 200 {
			p := geo.Point{LatDeg: lat + 0.14*(r.Float64()-0.5), LonDeg: lon + 0.14*(r.Float64()-0.5)}
			asked = append(asked, [2]float64{p.LonDeg, p.LatDeg})
			var j track.Judged
			j.Valid, j.Point = true, maybe.Known(p)
			for _, c := range guard.Add(&j, nil) {
				side = c.Inside
			}
			inside = append(inside, side)
		}
		questions, ours = append(questions, map[string]any{"inside": asked, "of": g}), append(ours, inside)
	}
	in := 0
	askOracle(t, questions, func(i int, text []byte) {
		var theirs []bool
		if err := json.Unmarshal(text, &theirs); err != nil {
			t.Fatal(err)
		}
		for k := range theirs {
			if theirs[k] != ours[i][k] {
				t.Errorf("fence %d, point %v: inside is %v, the library says %v", i, questions[i]["inside"].([][2]float64)[k], ours[i][k], theirs[k])
			}
			if theirs[k] {
				in++
			}
		}
	})
	if in < 1000 {
		t.Errorf("only %d of 12000 points were inside", in)
	}
}

func geometryOf(ring [][2]float64) map[string]any {
	return map[string]any{"type": "Polygon", "coordinates": [][][2]float64{ring}}
}
