package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/earth/geo"
)

// trailerDay writes a day of trailer 07 as a table, a position every ten seconds: the night in the
// yard, three drives over winding roads with stops of an hour and more, and home again.
func trailerDay(seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 37))
	yard := geo.Point{LatDeg: 52.6184, LonDeg: 9.2735}
	begin := time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC)
	var b strings.Builder
	b.WriteString("time,lat,lon,speed_kmh,course\n")
	e, n, heading, speed := 0.0, 0.0, 0.4, 0.0
	noiseE, noiseN := 0.0, 0.0
	const step = 10.0
	drives := [][2]float64{{7 * 3600, 7*3600 + 2400}, {10 * 3600, 10*3600 + 3000}, {13.5 * 3600, 13.5*3600 + 1800}, {16 * 3600, 16*3600 + 5400}}
	bend := 0.0
	for t := 0.0; t < 86400; t += step {
		driving := slices.ContainsFunc(drives, func(d [2]float64) bool { return t >= d[0] && t < d[1] })
		home := t >= 16*3600
		if driving {
			speed += (8 + 12*r.Float64() - speed) * 0.3
			if bend = 0.8*bend + 0.05*r.NormFloat64(); r.Float64() < 0.03 {
				heading += math.Copysign(math.Pi/2, r.Float64()-0.5) // a crossing
			}
			heading += bend
			if home { // on the way back it heads for the yard
				heading += 0.25 * math.Remainder(math.Atan2(-e, -n)-heading, 2*math.Pi)
				if math.Hypot(e, n) < 250 {
					speed = 0
				}
			}
			e, n = e+speed*step*math.Sin(heading), n+speed*step*math.Cos(heading)
		} else {
			speed = 0
		}
		noiseE, noiseN = 0.95*noiseE+0.8*r.NormFloat64(), 0.95*noiseN+0.8*r.NormFloat64()
		p, _ := geo.FromENU(yard, 0, e+noiseE, n+noiseN, 0)
		fmt.Fprintf(&b, "%s,%.7f,%.7f,%.1f,%.0f\n", begin.Add(time.Duration(t)*time.Second).Format(time.RFC3339), p.LatDeg, p.LonDeg, speed*3.6, math.Mod(heading*180/math.Pi+3600, 360))
	}
	return b.String()
}

// TestPlanReportingDay: what must hold whatever the drive: a report each hour makes 24 messages in a day; no
// position is farther off than the way that is allowed, but for what is driven in ten seconds; the wish
// is granted by the fewest messages of all ways that fulfil it.
func TestPlanReportingDay(t *testing.T) {
	file := filepath.Join(t.TempDir(), "trailer-07.csv")
	if err := os.WriteFile(file, []byte(trailerDay(1)), 0o644); err != nil {
		t.Fatal(err)
	}
	var got planReportingJSON
	text := runCommand(t, statusFine, "plan", "reporting", file, "--json", "--worst", "2100", "--price", "0.09EUR", "--policy", "every 1 h", "--policy", "every 500 m", "--policy", "every 2 h + stop + fence", "--grid", "--fence", "yard=52.6184,9.2735,300")
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if got.Positions != 8640 || got.Gaps != 0 || len(got.Ways) < 200 || len(got.Wish) != 1 || !got.Wish[0].Granted || got.MovingS < 2*3600 || got.MovingS > 5*3600 {
		t.Fatalf("%d positions, %d gaps, %d ways, moving for %.0f s, wish %+v", got.Positions, got.Gaps, len(got.Ways), got.MovingS, got.Wish)
	}
	hourly, wayly := got.Ways[0], got.Ways[1]
	// 24 in the day, one at its beginning; 31 days of them, 0.09 each.
	if hourly.Policy != "every 1 h" || hourly.Messages != 24 || hourly.PerMonth != 745 && hourly.PerMonth != 744 || !strings.HasPrefix(hourly.Cost.Or(""), "67.") && !strings.HasPrefix(hourly.Cost.Or(""), "66.96") {
		t.Errorf("%+v", hourly)
	}
	if wayly.WorstM > 500+20*10+30 || wayly.MeanM > 250 || hourly.WorstM < 5000 {
		t.Errorf("%+v %+v", wayly, hourly)
	}
	fewest := math.MaxInt
	for _, w := range got.Ways {
		if w.WorstM <= 2100 {
			fewest = min(fewest, w.Messages)
		}
		if w.Policy == got.Wish[0].Policy.Or("") && w.WorstM > 2100 {
			t.Errorf("the wish is not fulfilled by %+v", w)
		}
	}
	for _, w := range got.Ways {
		if w.Policy == got.Wish[0].Policy.Or("") && w.Messages != fewest {
			t.Errorf("%d messages would do, not %d", fewest, w.Messages)
		}
	}
}
