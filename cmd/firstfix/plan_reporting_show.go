package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"firstfix/internal/draw"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/plan/reporting"
)

func (p *reportingPlan) pointsSay() string {
	text := count(int64(p.points), "position", "positions")
	if p.timeless > 0 {
		text += fmt.Sprintf(", %d more without a time", p.timeless)
	}
	if p.apart > 0 {
		text += fmt.Sprintf(", %d set apart", p.apart)
	}
	return text
}

func (p *reportingPlan) text(w io.Writer) {
	o := &p.outcomes[0]
	fmt.Fprintf(w, "reporting over %s   (%s in %s, moving for %s", p.name, p.pointsSay(), span(o.SpanS), span(o.MovingS))
	if p.gaps > 0 {
		fmt.Fprintf(w, "; %s not counted", count(int64(p.gaps), "gap is", "gaps are"))
	}
	fmt.Fprintf(w, ")\n\n")
	rows := p.rows()
	if p.options.all {
		fmt.Fprintf(w, "All %d ways, fewest messages first (* nothing beats it in messages, mean and worst at once)\n", len(rows))
	} else {
		fmt.Fprintf(w, "Of %d ways %d are beaten by no other in messages, mean and worst at once; this is their edge,\nwhere more messages make the mean or the worst error a tenth smaller at least\n", len(p.outcomes), len(p.pareto))
	}
	cost := ""
	if p.tariff != nil {
		cost = "a month"
	}
	fmt.Fprintf(w, "  %9s %9s %9s %9s %9s %12s   %s\n", "messages", "", "error", "", "age", cost, "")
	fmt.Fprintf(w, "  %9s %9s %9s %9s %9s %12s   %s\n", "a day", "mean", "95 of 100", "worst", "mean", p.currency(), "way of reporting")
	for _, i := range rows {
		o := &p.outcomes[i]
		star := " "
		if p.options.all && slices.Contains(p.pareto, i) {
			star = "*"
		}
		fmt.Fprintf(w, "%s %9s %9s %9s %9s %9s %12s   %s\n", star, perDay(o), geo.FormatMetres(o.MeanM), geo.FormatMetres(o.P95M), geo.FormatMetres(o.WorstM), span(o.MeanAgeS), p.cost(o), o.Policy)
	}
	if p.wishes() {
		fmt.Fprintf(w, "\n%s\n", p.wishText())
	}
	if p.options.plot != "" {
		fmt.Fprintf(w, "\nA plot is in %s.\n", p.options.plot)
	}
	fmt.Fprintf(w, "\nThe recipient is taken to believe the last report%s. Another track,\nanother answer: try it with the drives that matter. A text can come late or not at all; nobody's\nsafety may hang on it.\n", p.delayText())
	for i, line := range p.assumed {
		if i == 0 {
			fmt.Fprintln(w, "\nAssumed")
		}
		fmt.Fprintf(w, "  %s\n", line)
	}
}

func (p *reportingPlan) delayText() string {
	if p.options.delay == 0 {
		return ", and that it arrives at once"
	}
	return fmt.Sprintf(", which arrives after %s", p.options.delay)
}

// rows are the outcomes to show, fewest messages first: all, those that were asked for, or the two edges.
func (p *reportingPlan) rows() (rows []int) {
	if p.options.all || len(p.options.policies) > 0 && !p.options.grid {
		for i := range p.outcomes {
			rows = append(rows, i)
		}
	} else {
		rows = append(rows, p.notable(p.meanFront, meanM)...)
		for _, i := range p.notable(p.worstFront, worstM) {
			if !slices.Contains(rows, i) {
				rows = append(rows, i)
			}
		}
		for i := range p.options.policies { // what was asked for stands first in the list
			if !slices.Contains(rows, i) {
				rows = append(rows, i)
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b int) int {
		if p.outcomes[a].Messages != p.outcomes[b].Messages {
			return p.outcomes[a].Messages - p.outcomes[b].Messages
		}
		return int(math.Copysign(1, p.outcomes[a].MeanM-p.outcomes[b].MeanM))
	})
	return rows
}

func perDay(o *reporting.Outcome) string {
	if n := o.PerDay(); n < 99.5 {
		return fmt.Sprintf("%.1f", n)
	}
	return fmt.Sprintf("%.0f", o.PerDay())
}

func (p *reportingPlan) currency() string {
	if p.tariff == nil {
		return ""
	}
	return p.tariff.Currency
}

// cost is what a month of an outcome costs; "" without prices.
func (p *reportingPlan) cost(o *reporting.Outcome) string {
	if p.tariff == nil {
		return ""
	}
	bill, err := o.Bill(p.tariff, p.options.parts)
	if err != nil {
		return "too many"
	}
	return bill.Total.String()
}

func (p *reportingPlan) wishText() string {
	var parts []string
	w := p.options.wish
	if w.MeanM > 0 {
		parts = append(parts, "a mean error of at most "+geo.FormatMetres(w.MeanM))
	}
	if w.WorstM > 0 {
		parts = append(parts, "a worst error of at most "+geo.FormatMetres(w.WorstM))
	}
	if w.PerDay > 0 {
		parts = append(parts, fmt.Sprintf("at most %g messages a day", w.PerDay))
	}
	wish := strings.Join(parts, " and ")
	if !p.granted {
		return "For " + wish + ": none of the ways that were tried."
	}
	o := &p.outcomes[p.cheapest]
	text := fmt.Sprintf("For %s: %s\n  %s messages a day, mean error %s, worst %s", wish, o.Policy, perDay(o), geo.FormatMetres(o.MeanM), geo.FormatMetres(o.WorstM))
	if p.tariff != nil {
		text += ", " + p.cost(o) + " " + p.tariff.Currency + " a month"
	}
	return text
}

// shortPolicy is a policy in the few words that a picture has room for.
func shortPolicy(o reporting.Policy) string {
	p := o
	p.LeastS = 0
	text := strings.NewReplacer("every ", "", " + ", ", ", "turn 45", "turns", "stop", "stops").Replace(p.String())
	return text
}

// labelsApart keeps labels of one edge so far apart, in factors of messages.
const labelsApart = 1.7

// plot draws mean and worst error against messages.
func (p *reportingPlan) plot() (string, bool) {
	const least = 0.5 // metres: below that nobody cares
	c := draw.Chart{Title: "What reports are worth", Below: fmt.Sprintf("%s, moving for %s of %s; each dot is a way of reporting", p.name, span(p.outcomes[0].MovingS), span(p.outcomes[0].SpanS)),
		X: draw.Axis{Name: "messages a day", Low: math.Inf(1), Log: true}}
	for i := range p.outcomes {
		c.X.Low, c.X.High = math.Min(c.X.Low, p.outcomes[i].PerDay()), math.Max(c.X.High, p.outcomes[i].PerDay())
	}
	if !(c.X.High > 0) {
		return "", false
	}
	c.X.Low, c.X.High = c.X.Low*0.8, c.X.High*1.25
	for k, edge := range []struct {
		name  string
		front []int
		of    func(*reporting.Outcome) float64
		tone  draw.Tone
		wish  float64
	}{{"mean error, metres", p.meanFront, meanM, draw.Good, p.options.wish.MeanM},
		{"worst error, metres", p.worstFront, worstM, draw.Bad, p.options.wish.WorstM}} {
		pane := draw.Pane{Y: draw.Axis{Name: edge.name, Low: math.Inf(1), Log: true}, Height: 300}
		var all, line draw.Series
		for i := range p.outcomes {
			o := &p.outcomes[i]
			y := math.Max(least, edge.of(o))
			all.X, all.Y = append(all.X, o.PerDay()), append(all.Y, y)
			pane.Y.Low, pane.Y.High = math.Min(pane.Y.Low, y), math.Max(pane.Y.High, y)
		}
		if pane.Y.High <= least {
			return "", false
		}
		pane.Y.Low, pane.Y.High = pane.Y.Low*0.7, pane.Y.High*1.5
		last := 0.0
		for _, i := range edge.front {
			o := &p.outcomes[i]
			y := math.Max(least, edge.of(o))
			line.X, line.Y = append(line.X, o.PerDay()), append(line.Y, y)
			if o.PerDay() >= last*labelsApart && slices.Contains(p.notable(edge.front, edge.of), i) {
				pane.Words = append(pane.Words, draw.Word{X: o.PerDay(), Y: y, Text: shortPolicy(o.Policy), Tone: edge.tone})
				last = o.PerDay()
			}
		}
		all.Tone, all.Dots, all.Size, all.Alpha = draw.Idle, true, 2.6, 0.55
		line.Tone, line.Step = edge.tone, true
		dots := line
		dots.Dots, dots.Size, dots.Step = true, 4, false
		if k == 0 {
			all.Name = "tried"
		}
		line.Name = "not beaten in " + strings.TrimSuffix(edge.name, ", metres")
		pane.Series = append(pane.Series, all, line, dots)
		if edge.wish > 0 {
			pane.Series = append(pane.Series, draw.Series{Name: "wished for", X: []float64{c.X.Low, c.X.High}, Y: []float64{edge.wish, edge.wish}, Tone: draw.Blue, Dashed: true})
		}
		c.Panels = append(c.Panels, pane)
	}
	return c.SVG(), true
}

// planReportingJSON is docs/formats/plan-reporting.schema.json.
type planReportingJSON struct {
	Version   int        `json:"version"`
	Input     string     `json:"input"`
	Positions int        `json:"positions"`
	Apart     int        `json:"set_apart"`
	Timeless  int        `json:"without_time"`
	Gaps      int        `json:"gaps"`
	SpanS     float64    `json:"span_s"`
	MovingS   float64    `json:"moving_s"`
	DelayS    float64    `json:"delay_s"`
	Currency  string     `json:"currency"`
	Ways      []wayJSON  `json:"ways"`
	Wish      []wishJSON `json:"wish"`
	Assumed   []string   `json:"assumed"`
}

type wayJSON struct {
	Policy      string               `json:"policy"`
	Messages    int                  `json:"messages"`
	PerDay      float64              `json:"per_day"`
	PerMonth    int                  `json:"per_month"`
	MeanM       float64              `json:"mean_m"`
	P95M        float64              `json:"p95_m"`
	WorstM      float64              `json:"worst_m"`
	MovingMeanM maybe.Value[float64] `json:"moving_mean_m"`
	MeanAgeS    float64              `json:"mean_age_s"`
	WorstAgeS   float64              `json:"worst_age_s"`
	Cost        maybe.Value[string]  `json:"cost_per_month"`
	Unbeaten    bool                 `json:"unbeaten"`
}

type wishJSON struct {
	MeanM   float64             `json:"mean_m"`
	WorstM  float64             `json:"worst_m"`
	PerDay  float64             `json:"per_day"`
	Granted bool                `json:"granted"`
	Policy  maybe.Value[string] `json:"policy"`
}

func (p *reportingPlan) json() planReportingJSON {
	out := planReportingJSON{Version: 1, Input: p.name, Positions: p.points, Apart: p.apart, Timeless: p.timeless, Gaps: p.gaps, SpanS: rounded(p.outcomes[0].SpanS, 3), MovingS: rounded(p.outcomes[0].MovingS, 3),
		DelayS: p.options.delay.Seconds(), Currency: p.currency(), Ways: []wayJSON{}, Wish: []wishJSON{}, Assumed: append([]string{}, p.assumed...)}
	for i := range p.outcomes {
		o := &p.outcomes[i]
		way := wayJSON{Policy: o.Policy.String(), Messages: o.Messages, PerDay: rounded(o.PerDay(), 3), PerMonth: o.PerMonth(), MeanM: rounded(o.MeanM, 2), P95M: rounded(o.P95M, 2), WorstM: rounded(o.WorstM, 2),
			MovingMeanM: tidyMaybe(o.MovingMeanM), MeanAgeS: rounded(o.MeanAgeS, 2), WorstAgeS: rounded(o.WorstAgeS, 2), Unbeaten: slices.Contains(p.pareto, i)}
		if p.tariff != nil {
			if bill, err := o.Bill(p.tariff, p.options.parts); err == nil {
				way.Cost = maybe.Known(bill.Total.String())
			}
		}
		out.Ways = append(out.Ways, way)
	}
	if p.wishes() {
		w := wishJSON{MeanM: p.options.wish.MeanM, WorstM: p.options.wish.WorstM, PerDay: p.options.wish.PerDay, Granted: p.granted}
		if p.granted {
			w.Policy = maybe.Known(p.outcomes[p.cheapest].Policy.String())
		}
		out.Wish = append(out.Wish, w)
	}
	return out
}
