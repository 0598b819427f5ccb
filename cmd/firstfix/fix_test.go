package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/sky"
	"firstfix/internal/wire/nmea"
)

// night writes what a receiver in the ring's yard says in so many seconds: positions whose error hangs
// together from second to second, and every tenth second the sky of the nominal constellation with a barn
// in the south-east.
func night(seconds int, seed uint64) string {
	const phi, dev = 0.98, 2.0
	yard := geo.Point{LatDeg: 52.6184, LonDeg: 9.2735}
	r := rand.New(rand.NewPCG(seed, 31))
	h := sky.NewHorizon(yard.LatDeg, yard.LonDeg, 84)
	barn := sky.Mask{Obstacles: []sky.Obstacle{{FromDeg: 90, ToDeg: 180, UpToDeg: 45}}}
	fresh := math.Sqrt(1 - phi*phi)
	e, n, u := r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
	begin, _ := parseInstant("2026-03-04 18:00")
	var b strings.Builder
	line := func(address string, fields ...string) { b.WriteString(nmea.Format(address, fields...) + "\r\n") }
	for t := range seconds {
		e, n, u = phi*e+fresh*r.NormFloat64(), phi*n+fresh*r.NormFloat64(), phi*u+fresh*r.NormFloat64()
		p, _ := geo.FromENU(yard, 0, dev*e, dev*n, 0)
		at := begin.Add(time.Duration(t) * time.Second)
		clock, date := at.Format("150405.00"), at.Format("020106")
		lat, lon := nmea.Latitude(p.LatDeg, 5), nmea.Longitude(p.LonDeg, 5)
		place := fmt.Sprintf("%s,%c,%s,%c", lat.Text, lat.Side, lon.Text, lon.Side)
		if t < 35 {
			line("GNRMC", clock, "V,,,,,,,", date, ",,N")
			continue
		}
		line("GNRMC", clock, "A", place, "0.0,", date, ",,A")
		line("GNGGA", clock, place, fmt.Sprintf("1,09,0.9,%.1f,M,43.5,M,,", 41+3*u))
		if t%10 != 0 {
			continue
		}
		var groups []string
		for i, look := range h.Nominal(at) {
			if look.ElevationDeg < 5 {
				continue
			}
			cn0 := sky.ExpectedCN0dBHz(look.ElevationDeg, 0) + r.NormFloat64()
			if barn.Hides(look) {
				cn0 -= 16
			}
			groups = append(groups, fmt.Sprintf("%02d,%02.0f,%03.0f,%02.0f", i+1, look.ElevationDeg, math.Mod(math.Round(look.AzimuthDeg), 360), cn0))
		}
		sets := (len(groups) + 3) / 4
		for s := range sets {
			line("GPGSV", fmt.Sprintf("%d,%d,%02d", sets, s+1, len(groups)), strings.Join(groups[4*s:min(4*s+4, len(groups))], ","))
		}
	}
	return b.String()
}

// runCommand runs the program in this process.
func runCommand(t testing.TB, want int, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(args, &streams{Out: &out, Err: &errs}); status != want {
		t.Fatalf("%v: status %d, want %d: %s%s", args, status, want, errs.String(), out.String())
	}
	return out.String()
}

// TestFixNight: what was planted in four hours comes out: the place, the scatter, how it hangs
// together, the first fix, and the barn.
func TestFixNight(t *testing.T) {
	file := filepath.Join(t.TempDir(), "night.nmea")
	if err := os.WriteFile(file, []byte(night(4*3600, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	var got fixJSON
	text := runCommand(t, statusFound, "fix", file, "--truth", "52.6184,9.2735", "--truth-altitude", "41", "--start", "cold", "--json")
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if got.Epochs != 4*3600 || got.Valid != 4*3600-35 || got.EveryS != 1 || len(got.Position) != 1 || len(got.Truth) != 1 || len(got.Time) != 1 {
		t.Fatalf("%s", text)
	}
	p := got.Position[0]
	within, _ := p.WithinM.Get()
	if off := geo.DistanceM(geo.Point{LatDeg: p.LatDeg, LonDeg: p.LonDeg}, geo.Point{LatDeg: 52.6184, LonDeg: 9.2735}); off > within || within < 0.2 || within > 1 {
		t.Errorf("the mean is %.2f m off, said to be within %.2f", off, within)
	}
	for name, x := range map[string]struct {
		figure interface{ MarshalJSON() ([]byte, error) }
		value  float64
		truth  float64
	}{"CEP": {p.CEP50M.Range, p.CEP50M.Value, 1.1774 * 2}, "R95": {p.R95M.Range, p.R95M.Value, 2.4477 * 2}, "DRMS": {p.DRMSM.Range, p.DRMSM.Value, 1.4142 * 2}} {
		if math.Abs(x.value/x.truth-1) > 0.15 {
			t.Errorf("%s %.2f m, planted %.2f", name, x.value, x.truth)
		}
	}
	// (1+0.98)/(1-0.98) = 99 s to an independent position.
	if h := got.Time[0]; h.IndependentEveryS < 60 || h.IndependentEveryS > 160 || !h.Settled {
		t.Errorf("%+v", h)
	}
	if len(got.FirstFixes) != 1 || got.FirstFixes[0].Start != "cold" || got.FirstFixes[0].Found != 1 || got.FirstFixes[0].MedianS.Value.Or(0) != 35 {
		t.Errorf("%+v", got.FirstFixes)
	}
	if len(got.Antenna) == 0 || got.Antenna[0].State != "blocked" || len(got.Signals[0].Blocked) != 1 {
		t.Fatalf("%+v %+v", got.Antenna, got.Signals)
	}
	if arc := got.Signals[0].Blocked[0]; arc.FromDeg != 90 || arc.ToDeg != 180 || arc.LossDB < 8 {
		t.Errorf("%+v", arc)
	}
}

// TestFixWorlds: the stand-in's sky, an antenna in each state: what was planted is named first, or with
// weight where levels alone cannot tell. The stand-in's maker and this judge share nothing but the
// ruler.
func TestFixWorlds(t *testing.T) {
	for _, w := range []struct{ world, state string }{{"healthy", "good"}, {"antennas-swapped", "swapped"}, {"indoor-sky", "covered"}} {
		file := filepath.Join(t.TempDir(), w.world+".capture")
		var out, errs bytes.Buffer
		run([]string{"check", "--world", w.world, "--capture", file}, &streams{Out: &out, Err: &errs})
		out.Reset()
		run([]string{"fix", file, "--json"}, &streams{Out: &out, Err: &errs})
		var got fixJSON
		if err := json.Unmarshal(out.Bytes(), &got); err != nil {
			t.Fatalf("%s: %v %s", w.world, err, errs.String())
		}
		if len(got.Antenna) == 0 {
			t.Errorf("%s: too little was heard to say: %+v", w.world, got.Signals)
			continue
		}
		if got.Antenna[0].State != w.state {
			t.Errorf("%s: %s (%.2f) is named before %s", w.world, got.Antenna[0].State, got.Antenna[0].Weight, w.state)
		}
	}
}

// Enough: an hour of one-second sentences in 40 ms, half of it for the figures at the end.
func BenchmarkFixHour(b *testing.B) {
	file := filepath.Join(b.TempDir(), "hour.nmea")
	text := night(3600, 2)
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		run([]string{"fix", file, "--json"}, &streams{Out: io.Discard, Err: io.Discard})
	}
}
