package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"

	"github.com/charmbracelet/x/ansi"
)

// fixWidth is how wide the sentences are.
const fixWidth = 96

func (a *study) text(w io.Writer) {
	f := &a.figures
	fmt.Fprintf(w, "fix of %s   (%s)\n", a.name, a.epochsSay())
	if a.ok {
		a.positionText(w)
		a.heightText(w)
		a.timeText(w)
		a.truthText(w)
	} else {
		fmt.Fprintf(w, "\nThere is no valid position.\n")
	}
	if f.Epochs > 0 {
		fmt.Fprintf(w, "\nAvailability\n  %s of the epochs have a fix%s", percent(f.Available.Value), shareRange(f.Available))
		if f.Outages > 0 {
			fmt.Fprintf(w, "; %s, the longest of %s", count(f.Outages, "stretch", "stretches")+" without", span(f.LongestOutageS))
		}
		fmt.Fprintln(w)
		if f.Missed > 0 {
			fmt.Fprintf(w, "  %s missing from the log, by its rhythm of %s\n", count(f.Missed, "epoch is", "epochs are"), span(f.EveryS))
		}
		if f.Backwards > 0 {
			fmt.Fprintf(w, "  %s left out: their time is before that of the one before\n", count(f.Backwards, "epoch was", "epochs were"))
		}
	}
	a.startsText(w)
	a.signalText(w)
	a.antennaText(w)
	for i, line := range a.assumed {
		if i == 0 {
			fmt.Fprintln(w, "\nAssumed")
		}
		fmt.Fprintf(w, "  %s\n", line)
	}
	fmt.Fprintf(w, "\nRanges hold 95 of 100 and allow for errors that last; they do not know what the whole run\nhas in common. An error that all positions share shows only against --truth.\n")
}

func (a *study) epochsSay() string {
	f := &a.figures
	if f.Epochs == 0 {
		return "no epoch"
	}
	return fmt.Sprintf("%s in %s, one every %s", count(f.Epochs, "epoch", "epochs"), span(f.SpanS), span(f.EveryS))
}

func count(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// span writes seconds as people say them.
func span(s float64) string {
	switch {
	case s < 10:
		return fmt.Sprintf("%.2g s", s)
	case s < 120:
		return fmt.Sprintf("%.0f s", s)
	case s < 2*3600:
		return fmt.Sprintf("%.0f min", s/60)
	case s < 48*3600:
		return fmt.Sprintf("%.1f h", s/3600)
	case s < 1000*86400:
		return fmt.Sprintf("%.1f days", s/86400)
	}
	return fmt.Sprintf("%.0f years", s/86400/365.25)
}

// metres writes a length with two figures at least.
func metres(m float64) string {
	switch {
	case math.Abs(m) < 0.0095:
		return fmt.Sprintf("%.1f mm", m*1000)
	case math.Abs(m) < 0.95:
		return fmt.Sprintf("%.2f m", m)
	}
	return geo.FormatMetres(m)
}

func valueRange(x fix.Figure) string {
	r, ok := x.Range.Get()
	if !ok {
		return "   (this run gives no range)"
	}
	return fmt.Sprintf("   %s to %s", metres(r.Low), metres(r.High))
}

func shareRange(x fix.Figure) string {
	r, ok := x.Range.Get()
	if !ok {
		return ""
	}
	return fmt.Sprintf(" (%s to %s)", percent(r.Low), percent(r.High))
}

func (a *study) positionText(w io.Writer) {
	f := &a.figures
	fmt.Fprintf(w, "\nPosition\n")
	within := ""
	if m, ok := f.MeanWithinM.Get(); ok {
		within = "   within " + metres(m) + " of a very long run's"
	}
	fmt.Fprintf(w, "  %-22s %s%s\n", "mean", geo.FormatDecimal(f.Mean, 7), within)
	for _, row := range []struct {
		name string
		x    fix.Figure
	}{{"CEP50, half are nearer", f.CEP50M}, {"R68", f.R68M}, {"R95", f.R95M}, {"DRMS", f.DRMSM}, {"2DRMS", f.TwoDRMSM}} {
		fmt.Fprintf(w, "  %-22s %-10s%s\n", row.name, metres(row.x.Value), valueRange(row.x))
	}
	fmt.Fprintf(w, "  %-22s %s\n", "farthest", metres(f.LargestM))
	e := &f.Ellipse
	turn := "no direction stands out"
	if within, ok := e.TurnWithinDeg.Get(); ok {
		turn = fmt.Sprintf("the longer axis towards %.0f° (%s to %s), ± %.0f°", e.TurnDeg, wind(e.TurnDeg), wind(e.TurnDeg+180), math.Max(1, within))
	}
	fmt.Fprintf(w, "  %-22s %s by %s, %s\n", "ellipse (deviations)", metres(e.MajorM.Value), metres(e.MinorM.Value), turn)
	if f.R95M.Value > tailFactor*f.NormalR95M || f.LargestM > farFactor*f.NormalR95M {
		a.sentence(w, fmt.Sprintf("A normal distribution with that ellipse would have CEP50 %s and R95 %s: the positions have longer tails, so there are reflections or jumps among them.", metres(f.NormalCEP50M), metres(f.NormalR95M)))
	}
	if f.RepeatShare >= heldShare {
		a.sentence(w, fmt.Sprintf("%s of the positions are the one before to the last digit: the receiver holds its position, or repeats an old one. The scatter is then that of the holding, and the ranges say little.", percent(f.RepeatShare)))
	}
	if f.Stride > 1 {
		fmt.Fprintf(w, "  shares (CEP50, R68, R95) are taken from one position in %d, %d of them\n", f.Stride, f.Kept)
	}
}

// heldShare is from which share of repeated positions on that is said: our estimate. Positions of a receiver with
// four decimals of a minute, 0.2 m, repeat now and then by themselves.
const heldShare = 0.5

// What counts as long tails: our estimates. A million normal positions stay within 2.15 times R95.
const (
	tailFactor = 1.25
	farFactor  = 2.6
)

func (a *study) sentence(w io.Writer, text string) {
	for line := range strings.Lines(ansi.Wordwrap(text, fixWidth-2, "")) {
		fmt.Fprintf(w, "  %s\n", strings.TrimRight(line, "\n"))
	}
}

func (a *study) heightText(w io.Writer) {
	h, ok := a.figures.Height.Get()
	if !ok {
		return
	}
	fmt.Fprintf(w, "\nHeight above the sea\n")
	fmt.Fprintf(w, "  %-22s %-10s%s\n", "mean", fmt.Sprintf("%.2f m", h.MeanM.Value), plainRange(h.MeanM))
	fmt.Fprintf(w, "  %-22s %-10s%s\n", "deviation", metres(h.DeviationM.Value), valueRange(h.DeviationM))
	fmt.Fprintf(w, "  %-22s %-10s%s\n", "95 of 100 nearer than", metres(h.P95M.Value), valueRange(h.P95M))
	fmt.Fprintf(w, "  %-22s %.1f to %.1f m\n", "lowest, highest", h.LowestM, h.HighestM)
	own := a.ownGeoid()
	if g, ok := h.GeoidM.Get(); ok {
		fmt.Fprintf(w, "  %-22s %.1f m above the ellipsoid as the receiver says, %.1f m by our grid (%s)\n", "sea level", g, own, geoidModel)
		if math.Abs(g-own) > geoidApartM {
			a.sentence(w, fmt.Sprintf("They differ by %.0f m: the receiver may tell the height above the ellipsoid, or use a coarse model.", math.Abs(g-own)))
		}
	} else {
		fmt.Fprintf(w, "  %-22s %.1f m above the ellipsoid by our grid (%s); the receiver does not say\n", "sea level", own, geoidModel)
	}
}

func plainRange(x fix.Figure) string {
	r, ok := x.Range.Get()
	if !ok {
		return "   (this run gives no range)"
	}
	return fmt.Sprintf("   %.2f to %.2f m", r.Low, r.High)
}

func (a *study) timeText(w io.Writer) {
	f := &a.figures
	fmt.Fprintf(w, "\nIn time\n")
	hang, ok := f.Hang.Get()
	if !ok {
		fmt.Fprintf(w, "  this run does not say how positions hang together: it is too short, or nothing changes\n")
		return
	}
	fmt.Fprintf(w, "  %-22s one independent position in %s: the run is worth %.0f\n", "hang together", span(hang.IndependentEveryS), hang.Independent)
	if tau, ok := hang.TimeS.Get(); ok {
		fmt.Fprintf(w, "  %-22s likeness falls to 1/e in %s\n", "", span(tau))
	}
	if !hang.Settled {
		fmt.Fprintf(w, "  %-22s longer than this run can tell: the ranges are too narrow; record for longer\n", "")
	}
	if d, ok := f.Drift.Get(); ok {
		east, north := d.EastMPerH, d.NorthMPerH
		if d.Real {
			fmt.Fprintf(w, "  %-22s east %+.2g m/h (%s), north %+.2g m/h (%s)\n", "drift", east.Value, rangePerH(east), north.Value, rangePerH(north))
		} else {
			fmt.Fprintf(w, "  %-22s none to be seen (east %s, north %s m/h)\n", "drift", rangePerH(east), rangePerH(north))
		}
	}
	if len(f.Means) > 0 {
		var parts []string
		for i := range f.Means {
			if m := &f.Means[i]; i%2 == 0 || i == len(f.Means)-1 {
				parts = append(parts, fmt.Sprintf("%s %s", span(m.OverS), metres(m.WithinM)))
			}
		}
		a.sentence(w, "a mean over so long lies so near to the whole run's: "+strings.Join(parts, ", "))
	}
	for _, within := range a.options.within {
		s, beyond, ok := f.TimeForMean(within)
		switch {
		case !ok:
			fmt.Fprintf(w, "  for %s, how long to average cannot be told from this run\n", metres(within))
		case beyond:
			fmt.Fprintf(w, "  for %s, average for about %s (reckoned beyond this run)\n", metres(within), span(s))
		default:
			fmt.Fprintf(w, "  for %s, average for %s\n", metres(within), span(s))
		}
	}
	if s, ok := f.TimeForFigure(f.R95M, tenPercent); ok {
		fmt.Fprintf(w, "  to know R95 within 10 %%, record %s in all\n", span(s))
	}
}

const tenPercent = 0.1

func rangePerH(x fix.Figure) string {
	r, ok := x.Range.Get()
	if !ok {
		return "not known"
	}
	return fmt.Sprintf("%+.2g to %+.2g", r.Low, r.High)
}

func (a *study) truthText(w io.Writer) {
	t, ok := a.figures.Truth.Get()
	if !ok {
		return
	}
	fmt.Fprintf(w, "\nAgainst the truth, %s\n", geo.FormatDecimal(t.Point, 7))
	says := "no more than chance"
	if t.Real {
		says = "more than chance"
	}
	fmt.Fprintf(w, "  %-22s %s towards %.0f° (%s), %s\n", "the mean is off by", metres(t.OffsetM), t.OffsetDeg, wind(t.OffsetDeg), says)
	for _, row := range []struct {
		name string
		x    fix.Figure
	}{{"east", t.EastM}, {"north", t.NorthM}, {"CEP50 about the truth", t.CEP50M}, {"R95 about the truth", t.R95M}, {"DRMS about the truth", t.DRMSM}} {
		fmt.Fprintf(w, "  %-22s %-10s%s\n", row.name, metres(row.x.Value), valueRange(row.x))
	}
	if h, ok := t.HeightM.Get(); ok {
		fmt.Fprintf(w, "  %-22s %-10s%s\n", "height too high by", fmt.Sprintf("%.2f m", h.Value), plainRange(h))
	}
}

func (a *study) startsText(w io.Writer) {
	for i, s := range a.starts {
		if i == 0 {
			fmt.Fprintf(w, "\nFirst fixes\n")
		}
		fmt.Fprintf(w, "  %-22s %s, %d found a fix", s.Start, count(int64(s.Count), "start", "starts"), s.Found)
		if s.Found > 0 {
			fmt.Fprintf(w, " in %s to %s", span(s.LeastS), span(s.MostS))
		}
		fmt.Fprintln(w)
		if s.Count > 1 {
			fmt.Fprintf(w, "  %-22s half within %s, 95 of 100 within %s\n", "", boundSays(s.MedianS), boundSays(s.P95S))
		}
		for _, in := range s.Within {
			if s.Count > 1 {
				fmt.Fprintf(w, "  %-22s within %s: %s (%s to %s)\n", "", span(in.S), percent(in.Share), percent(in.Range.Low), percent(in.Range.High))
			}
		}
	}
}

func boundSays(b fix.Bound) string {
	part := func(v interface{ Get() (float64, bool) }) string {
		if s, ok := v.Get(); ok {
			return span(s)
		}
		return "not known"
	}
	if !b.Low.IsKnown() && !b.High.IsKnown() {
		return part(b.Value) + " (too few starts for a range)"
	}
	return fmt.Sprintf("%s (%s to %s)", part(b.Value), part(b.Low), part(b.High))
}

// maxListed is how many satellites are listed; further ones are in the JSON.
const maxListed = 40

func (a *study) signalText(w io.Writer) {
	g := &a.signal
	if g.Reports == 0 {
		fmt.Fprintf(w, "\nSignals\n  no sentence tells what is heard\n")
		return
	}
	fmt.Fprintf(w, "\nSignals, in %s of the sky\n", count(g.Reports, "report", "reports"))
	used := ""
	if g.MeanUsed > 0 {
		used = fmt.Sprintf(", %.1f used", g.MeanUsed)
	}
	fmt.Fprintf(w, "  satellites on the mean: %.1f in view, %.1f heard%s; four of 28 dB-Hz or more in %s of the reports\n", g.MeanListed, g.MeanHeard, used, percent(g.FourShare))
	level := func(v interface{ Get() (float64, bool) }) string {
		if x, ok := v.Get(); ok {
			return fmt.Sprintf("%.0f dB-Hz", x)
		}
		return "not heard"
	}
	fmt.Fprintf(w, "  strongest %s, fourth strongest %s, all that is heard %s (in half of the reports)\n", level(g.BestDBHz), level(g.FourthDBHz), level(g.MedianDBHz))
	if len(g.Satellites) > 0 {
		fmt.Fprintf(w, "  %-12s %8s %8s %8s %6s   %s\n", "satellite", "mean", "best", "heard", "used", "from where to where")
	}
	for i := range min(len(g.Satellites), maxListed) {
		s := &g.Satellites[i]
		mean, top := "–", "–"
		if m, ok := s.MeanDBHz.Get(); ok {
			mean = fmt.Sprintf("%.1f", m)
			top = fmt.Sprintf("%.0f", s.TopDBHz.Or(0))
		}
		way, used := "", "–" // who says which satellites are used is the GSA; not all send it
		if g.MeanUsed > 0 {
			used = fmt.Sprintf("%.0f%%", 100*s.UsedShare)
		}
		if el, ok := s.FromElevation.Get(); ok {
			way = fmt.Sprintf("%.0f° %s to %.0f° %s", el, wind(s.FromAzimuth.Or(0)), s.ToElevation.Or(0), wind(s.ToAzimuth.Or(0)))
		}
		fmt.Fprintf(w, "  %-12s %8s %8s %7.0f%% %6s   %s\n", strings.TrimSpace(s.System+" "+fmt.Sprint(s.ID)), mean, top, 100*float64(s.Heard)/float64(s.Listed), used, way)
	}
	if n := len(g.Satellites) - maxListed; n > 0 {
		fmt.Fprintf(w, "  and %d more, see --json\n", n)
	}
	for _, arc := range g.BlockedArcs {
		fmt.Fprintf(w, "  from %.0f° to %.0f° (%s to %s) %.0f dB less comes than from the other sides\n", arc.FromDeg, arc.ToDeg, wind(arc.FromDeg), wind(arc.ToDeg), arc.LossDB)
	}
}

// minWeight is from which weight on a state is named at all.
const minWeight = 0.1

func (a *study) antennaText(w io.Writer) {
	if len(a.antenna) == 0 {
		return
	}
	fmt.Fprintf(w, "\nAntenna (weights are our estimates)\n")
	for i, s := range a.antenna {
		if i > 0 && s.Weight < minWeight {
			break
		}
		a.sentence(w, fmt.Sprintf("%d. %s (%.0f %%)", i+1, s.State.Title, 100*s.Weight))
		if len(s.For) > 0 {
			fmt.Fprintf(w, "     for      %s\n", strings.Join(s.For, ", "))
		}
		if len(s.Against) > 0 {
			fmt.Fprintf(w, "     against  %s\n", strings.Join(s.Against, "; "))
		}
		if s.State.Remedy != "" {
			fmt.Fprintf(w, "     do       %s\n", s.State.Remedy)
		}
	}
}
