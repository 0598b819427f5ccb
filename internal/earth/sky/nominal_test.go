package sky

import (
	"math"
	"testing"
	"time"
)

// TestOrbits checks what the standard says about the constellation beside its
// table: GPS SPS Performance Standard (2001), table 3-1 and the text around it.
func TestOrbits(t *testing.T) {
	const periodS = 43077.0 // 2 pi sqrt(a^3/GM) for a = 26,559.7 km
	planes := map[float64]int{}
	for n := range Slots {
		planes[slots[n].raanDeg]++
		highest := 0.0
		for m := range 200 {
			at := nominalEpoch.Add(time.Duration(float64(m) * periodS / 200 * 1e9))
			x, y, z := NominalPosition(n, at)
			radius := math.Sqrt(x*x + y*y + z*z)
			if math.Abs(radius-26_559_700) > 1 {
				t.Fatalf("%s is %.0f m from the centre", slots[n].name, radius)
			}
			highest = max(highest, math.Asin(z/radius)*180/math.Pi)
		}
		if math.Abs(highest-55) > 0.1 {
			t.Errorf("%s reaches %.2f degrees north; its inclination is 55", slots[n].name, highest)
		}
		_, _, z0 := NominalPosition(n, nominalEpoch)
		_, _, z1 := NominalPosition(n, nominalEpoch.Add(time.Duration(periodS*1e9)))
		if math.Abs(z0-z1) > 2000 { // half a second at under 4 km/s
			t.Errorf("%s does not come back after %g s: %.0f m", slots[n].name, periodS, z1-z0)
		}
	}
	if len(planes) != 6 {
		t.Errorf("%d planes; want six", len(planes))
	}
	for raan, count := range planes {
		if count != 4 {
			t.Errorf("%d slots in the plane at %g; want four", count, raan)
		}
	}
	// At the epoch the earth has turned by 18 h 36 min 14.4 s: slot A3's node, at
	// 272.847 degrees, lies 6.213 degrees west of Greenwich, and the slot 11.676
	// degrees behind it on the orbit. By spherical trigonometry its latitude is
	// asin(sin 55 sin 11.676) = 9.542 and its longitude
	// -6.213 + atan(cos 55 tan 11.676) = 0.547 (computed by hand).
	x, y, z := NominalPosition(2, nominalEpoch)
	if lat := math.Atan2(z, math.Hypot(x, y)) * 180 / math.Pi; math.Abs(lat-9.542) > 0.005 {
		t.Errorf("A3 stands over latitude %.3f at the epoch; want 9.542", lat)
	}
	if lon := math.Atan2(y, x) * 180 / math.Pi; math.Abs(lon-0.547) > 0.01 {
		t.Errorf("A3 stands over longitude %.3f at the epoch; want 0.547", lon)
	}
}

// TestCoverageOfTheEarth: the standard's availability, PDOP 6 or less for at
// least 98 % of the time over the earth (SPS Performance Standard; the figure
// is from memory), and at least four satellites above 5 degrees.
func TestCoverageOfTheEarth(t *testing.T) {
	samples, good, few := 0, 0, 0
	for lat := -80.0; lat <= 80; lat += 20 {
		for lon := -180.0; lon < 180; lon += 45 {
			h := NewHorizon(lat, lon, 0)
			for m := range 48 {
				at := time.Date(2026, 3, 4, 0, 30*m, 0, 0, time.UTC)
				var used []Look
				for _, l := range h.Nominal(at) {
					if l.ElevationDeg >= 5 {
						used = append(used, l)
					}
				}
				samples++
				if len(used) < 4 {
					few++
				}
				if g := NewGeometry(used, nil); g.Valid && g.DOP().P <= 6 {
					good++
				}
			}
		}
	}
	if share := float64(good) / float64(samples); share < 0.98 {
		t.Errorf("PDOP is 6 or less in %.2f %% of %d samples; the standard says 98 %%", 100*share, samples)
	}
	if few*1000 > samples {
		t.Errorf("fewer than four satellites in %d of %d samples", few, samples)
	}
}

// TestLooks: a satellite straight above is at 90 degrees; one on the meridian
// is north or south.
func TestLooks(t *testing.T) {
	at := time.Date(2026, 3, 4, 10, 15, 0, 0, time.UTC)
	x, y, z := NominalPosition(5, at)
	lon := math.Atan2(y, x) * 180 / math.Pi
	// Geodetic latitude whose normal points at the satellite: near enough from
	// the geocentric one by the usual iteration.
	lat := math.Atan2(z, math.Hypot(x, y)) * 180 / math.Pi
	for range 20 {
		h := NewHorizon(lat, lon, 0)
		look := h.Nominal(at)[5]
		if look.ElevationDeg > 89.9999 {
			break
		}
		step := (90 - look.ElevationDeg) / 5
		if look.AzimuthDeg > 90 && look.AzimuthDeg < 270 {
			step = -step
		}
		lat += step
	}
	above := NewHorizon(lat, lon, 0)
	if l := above.Nominal(at)[5]; l.ElevationDeg < 89.99 {
		t.Errorf("straight above is at elevation %.4f", l.ElevationDeg)
	}
	south := NewHorizon(lat-20, lon, 0)
	if l := south.Nominal(at)[5]; math.Abs(math.Mod(l.AzimuthDeg+180, 360)-180) > 0.01 {
		t.Errorf("from twenty degrees south it is at azimuth %.3f; want north", l.AzimuthDeg)
	}
}

// TestDOP: closed forms for one satellite at the zenith and three at one
// elevation, 120 degrees apart: HDOP = sqrt(4/3)/cos e, VDOP = sqrt(4/3)/(1 -
// sin e), TDOP = sqrt(sin^2 e + 1/3)/(1 - sin e) (from the definition, by
// hand), and figures worked out elsewhere by another program.
func TestDOP(t *testing.T) {
	for _, e := range []float64{0, 5, 10, 30} {
		r := e * math.Pi / 180
		g := NewGeometry([]Look{{90, 0}, {e, 0}, {e, 120}, {e, 240}}, nil)
		got := g.DOP()
		near(t, "HDOP", got.H, math.Sqrt(4.0/3)/math.Cos(r))
		near(t, "VDOP", got.V, math.Sqrt(4.0/3)/(1-math.Sin(r)))
		near(t, "TDOP", got.T, math.Sqrt(math.Sin(r)*math.Sin(r)+1.0/3)/(1-math.Sin(r)))
	}
	eight := NewGeometry([]Look{{85, 0}, {40, 30}, {20, 75}, {60, 120}, {15, 165}, {35, 210}, {50, 270}, {10, 315}}, nil)
	d := eight.DOP()
	for i, c := range []struct{ got, want float64 }{{d.G, 1.7704}, {d.P, 1.5717}, {d.H, 0.9231}, {d.V, 1.2721}, {d.T, 0.8149}} {
		if math.Abs(c.got-c.want) > 0.00006 {
			t.Errorf("eight satellites, figure %d: %.4f; want %.4f", i, c.got, c.want)
		}
	}
	if g := NewGeometry([]Look{{30, 0}, {30, 90}, {30, 180}, {30, 270}}, nil); g.Valid {
		t.Error("four satellites at one elevation cannot tell height from time")
	}
	if g := NewGeometry([]Look{{30, 0}, {60, 90}, {80, 180}}, nil); g.Valid {
		t.Error("three satellites are too few")
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*math.Abs(want) {
		t.Errorf("%s %.9f; want %.9f", what, got, want)
	}
}

// TestOffset: the same error on every range moves the clock and nothing else;
// an error that is a shift of place gives that shift back.
func TestOffset(t *testing.T) {
	looks := []Look{{85, 0}, {40, 30}, {20, 75}, {60, 120}, {15, 165}}
	g := NewGeometry(looks, nil)
	e, n, u := g.Offset([]float64{7, 7, 7, 7, 7})
	if math.Abs(e)+math.Abs(n)+math.Abs(u) > 1e-9 {
		t.Errorf("a common error moved the place by %g %g %g", e, n, u)
	}
	errs := make([]float64, len(looks))
	for i, row := range g.rows {
		errs[i] = 3*row[0] - 2*row[1] + 5*row[2]
	}
	if e, n, u = g.Offset(errs); math.Abs(e-3)+math.Abs(n+2)+math.Abs(u-5) > 1e-9 {
		t.Errorf("got %g %g %g; want 3 -2 5", e, n, u)
	}
}

// Enough: all satellites looked up in 5 µs, so that a year of 20 s reports
// spends under ten seconds on it.
func BenchmarkLooks(b *testing.B) {
	h := NewHorizon(52.6184, 9.2735, 84)
	at := time.Date(2026, 3, 4, 10, 15, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		h.Nominal(at)
	}
}
