package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"firstfix/internal/earth/geoid"
	"firstfix/internal/earth/sky"
)

// compass are the eight winds, from north on clockwise.
var compass = [...]string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"}

func wind(azimuthDeg float64) string { return compass[int(math.Mod(azimuthDeg+22.5, 360)/45)] }

func clock(t, day time.Time) string {
	if t.Sub(day).Abs() < 20*time.Hour && t.YearDay() == day.YearDay() {
		return t.Format("15:04")
	}
	return t.Format("Jan 2 15:04")
}

func (a *skyAnswer) text(w io.Writer, o skyOptions) {
	fmt.Fprintf(w, "sky over %s   (%s)\n\n", a.place, a.constellationSays())
	if a.now.Valid {
		d := a.now.DOP
		fmt.Fprintf(w, "At %s UTC %d healthy satellites above %g degrees: PDOP %.1f, HDOP %.1f, VDOP %.1f\n",
			a.at.Format("2006-01-02 15:04"), a.now.Visible, a.mask.ElevationDeg, d.P, d.H, d.V)
	} else {
		fmt.Fprintf(w, "At %s UTC %d healthy satellites above %g degrees: no fix is possible\n", a.at.Format("2006-01-02 15:04"), a.now.Visible, a.mask.ElevationDeg)
	}
	a.satellitesText(w)
	a.dayText(w)
	a.firstFixText(w)
	fmt.Fprintf(w, "\nHeight\n  the sea's level is %.1f m above the ellipsoid here (%s)\n", a.geoidM, geoid.Model)
	if o.height != 0 {
		fmt.Fprintf(w, "  %.1f m above the sea is %.1f m above the ellipsoid\n", o.height, a.heightM)
	}
	for _, line := range a.assumed {
		fmt.Fprintf(w, "\nAssumed: %s\n", line)
	}
	for i, line := range a.problems {
		if i == 0 {
			fmt.Fprintln(w, "\nNot read:")
		}
		fmt.Fprintf(w, "  %s\n", line)
	}
	for _, name := range []string{o.plot, o.dayPlot} {
		if name != "" {
			fmt.Fprintf(w, "\nA plot is in %s.", name)
		}
	}
	if o.plot != "" || o.dayPlot != "" {
		fmt.Fprintln(w)
	}
}

func (a *skyAnswer) constellationSays() string {
	if a.nominal() {
		return "nominal constellation: the geometry to expect, not real satellites"
	}
	return fmt.Sprintf("%s of %s, %d satellites", a.constellation.Name, a.constellation.Applies.Format("2006-01-02"), len(a.constellation.Satellites))
}

func (a *skyAnswer) nominal() bool { return a.constellation.Name == "nominal" }

func (a *skyAnswer) satellitesText(w io.Writer) {
	if len(a.seen) == 0 {
		return
	}
	fmt.Fprintf(w, "  %-9s %9s %11s   %s\n", "satellite", "elevation", "azimuth", "in sight until")
	for _, s := range a.byElevation() {
		note := ""
		if !s.Healthy {
			note = "   not healthy, not counted"
		}
		until := a.at.Add(a.span)
		for _, p := range a.passes {
			if p.Index == s.Index && !a.at.Before(p.Rise) && a.at.Before(p.Set) {
				until = p.Set
			}
		}
		fmt.Fprintf(w, "  %-9s %8.0f° %7.0f° %-2s   %s%s\n", s.Name, s.ElevationDeg, s.AzimuthDeg, wind(s.AzimuthDeg), clock(until, a.at), note)
	}
}

// byElevation are the satellites in sight, the highest first.
func (a *skyAnswer) byElevation() []sky.Seen {
	list := slices.Clone(a.seen)
	slices.SortStableFunc(list, func(x, y sky.Seen) int {
		switch {
		case x.ElevationDeg > y.ElevationDeg:
			return -1
		case x.ElevationDeg < y.ElevationDeg:
			return 1
		}
		return 0
	})
	return list
}

func (a *skyAnswer) dayText(w io.Writer) {
	s := &a.summary
	fmt.Fprintf(w, "\nFrom then on for %s\n", hours(a.span))
	fmt.Fprintf(w, "  satellites  %d to %d, %.1f on the mean\n", s.FewestVisible, s.MostVisible, s.MeanVisible)
	if s.NoFixShare < 1 {
		fmt.Fprintf(w, "  PDOP        median %.1f, worst %s; %d or less (good) %s of the time\n", s.MedianPDOP, dop(s.WorstPDOP), sky.Good, percent(s.GoodShare))
		fmt.Fprintf(w, "  HDOP, VDOP  median %.1f and %.1f\n", s.MedianHDOP, s.MedianVDOP)
	}
	if s.NoFixShare > 0 {
		fmt.Fprintf(w, "  no fix      %s of the time there are too few satellites\n", percent(s.NoFixShare))
	}
	if !a.windows {
		return
	}
	for i, b := range a.best {
		name := ""
		if i == 0 {
			name = "best hours"
		}
		fmt.Fprintf(w, "  %-10s  %s to %s   PDOP %s, at least %d satellites\n", name, clock(b.From, a.at), clock(b.To, a.at), dop(b.MeanPDOP), b.Fewest)
	}
	fmt.Fprintf(w, "  %-10s  %s to %s   PDOP %s, at least %d satellites\n", "worst hour", clock(a.worst.From, a.at), clock(a.worst.To, a.at), dop(a.worst.MeanPDOP), a.worst.Fewest)
}

func dop(v float64) string {
	if v > 99 {
		return "over 99"
	}
	return fmt.Sprintf("%.1f", v)
}

// percent writes a share so that neither "all" nor "none" is said of what is nearly so.
func percent(share float64) string {
	p := 100 * share
	switch {
	case share == 1:
		return "100 %"
	case p > 99.9:
		return "over 99.9 %"
	case p > 0 && p < 0.1:
		return "under 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", p)
}

func hours(d time.Duration) string {
	if d%(24*time.Hour) == 0 && d >= 48*time.Hour {
		return fmt.Sprintf("%d days", d/(24*time.Hour))
	}
	return fmt.Sprintf("%.4g h", d.Hours())
}

func (a *skyAnswer) firstFixText(w io.Writer) {
	fmt.Fprintf(w, "\nA first fix then should take (half of the starts, 95 of 100)\n")
	fmt.Fprintf(w, "  %-32s", "")
	for _, s := range sky.Starts {
		fmt.Fprintf(w, "%-18s", s.Name)
	}
	fmt.Fprintf(w, "possible in the time ahead\n")
	for _, f := range a.fixes {
		fmt.Fprintf(w, "  %-32s", f.view.Title)
		for i := range f.starts {
			fmt.Fprintf(w, "%-18s", fixSays(&f.starts[i]))
		}
		fmt.Fprintf(w, "%s\n", percent(f.dayShare))
	}
	fmt.Fprintf(w, "  By the message: subframes of 6 s, a frame of 30 s (IS-GPS-200); the search of %.0f, %.0f and %.0f s,\n  the losses and the strength needed are our estimates.\n",
		sky.Starts[0].SearchS, sky.Starts[1].SearchS, sky.Starts[2].SearchS)
}

func fixSays(e *sky.Expectation) string {
	switch {
	case !e.Possible:
		return fmt.Sprintf("never (%d strong)", e.Strong)
	case math.IsInf(e.MedianS, 1):
		return "hardly ever"
	case math.IsInf(e.P95S, 1):
		return fmt.Sprintf("%.0f s, longer", e.MedianS)
	}
	return fmt.Sprintf("%.0f s, %.0f s", e.MedianS, e.P95S)
}
