package main

import (
	"math"

	"firstfix/internal/earth/fix"
	"firstfix/internal/maybe"
)

// fixJSON is docs/formats/fix.schema.json.
type fixJSON struct {
	Version     int                  `json:"version"`
	Input       string               `json:"input"`
	Epochs      int64                `json:"epochs"`
	Valid       int64                `json:"valid"`
	Missed      int64                `json:"missed"`
	Backwards   int64                `json:"backwards"`
	SpanS       float64              `json:"span_s"`
	EveryS      float64              `json:"every_s"`
	Available   fix.Figure           `json:"available"`
	Outages     int64                `json:"outages"`
	LongestOutS float64              `json:"longest_outage_s"`
	Position    []positionJSON       `json:"position"`
	Height      []heightJSON         `json:"height"`
	Time        []hangJSON           `json:"time"`
	Averaging   []averagedJSON       `json:"averaging"`
	Wanted      []wantedJSON         `json:"wanted"`
	Truth       []truthJSON          `json:"truth"`
	FirstFixes  []startsJSON         `json:"first_fixes"`
	Signals     []signalsJSON        `json:"signals"`
	Antenna     []antennaJSON        `json:"antenna"`
	Assumed     []string             `json:"assumed"`
	OwnGeoidM   maybe.Value[float64] `json:"own_geoid_m"`
}

type positionJSON struct {
	LatDeg        float64              `json:"lat_deg"`
	LonDeg        float64              `json:"lon_deg"`
	WithinM       maybe.Value[float64] `json:"within_m"`
	CEP50M        fix.Figure           `json:"cep50_m"`
	R68M          fix.Figure           `json:"r68_m"`
	R95M          fix.Figure           `json:"r95_m"`
	DRMSM         fix.Figure           `json:"drms_m"`
	TwoDRMSM      fix.Figure           `json:"two_drms_m"`
	FarthestM     float64              `json:"farthest_m"`
	EastM         float64              `json:"east_deviation_m"`
	NorthM        float64              `json:"north_deviation_m"`
	MajorM        fix.Figure           `json:"ellipse_major_m"`
	MinorM        fix.Figure           `json:"ellipse_minor_m"`
	TurnDeg       float64              `json:"ellipse_turn_deg"`
	TurnWithinDeg maybe.Value[float64] `json:"ellipse_turn_within_deg"`
	NormalCEP50M  float64              `json:"normal_cep50_m"`
	NormalR95M    float64              `json:"normal_r95_m"`
	OneIn         int64                `json:"shares_from_one_in"`
	RepeatShare   float64              `json:"repeat_share"`
}

type heightJSON struct {
	MeanM      fix.Figure           `json:"mean_m"`
	DeviationM fix.Figure           `json:"deviation_m"`
	P95M       fix.Figure           `json:"p95_m"`
	LowestM    float64              `json:"lowest_m"`
	HighestM   float64              `json:"highest_m"`
	GeoidM     maybe.Value[float64] `json:"geoid_m"`
}

type hangJSON struct {
	IndependentEveryS float64              `json:"independent_every_s"`
	Independent       float64              `json:"independent"`
	TimeS             maybe.Value[float64] `json:"correlation_time_s"`
	Settled           bool                 `json:"settled"`
	Drift             []driftJSON          `json:"drift"`
}

type driftJSON struct {
	EastMPerH  fix.Figure `json:"east_m_per_h"`
	NorthMPerH fix.Figure `json:"north_m_per_h"`
	Real       bool       `json:"real"`
}

type averagedJSON struct {
	OverS   float64 `json:"over_s"`
	WithinM float64 `json:"within_m"`
	Blocks  int     `json:"stretches"`
}

type wantedJSON struct {
	WithinM      float64              `json:"within_m"`
	AverageS     maybe.Value[float64] `json:"average_s"`
	Extrapolated bool                 `json:"extrapolated"`
}

type truthJSON struct {
	LatDeg    float64                 `json:"lat_deg"`
	LonDeg    float64                 `json:"lon_deg"`
	OffsetM   float64                 `json:"offset_m"`
	OffsetDeg float64                 `json:"offset_deg"`
	Real      bool                    `json:"real"`
	EastM     fix.Figure              `json:"east_m"`
	NorthM    fix.Figure              `json:"north_m"`
	CEP50M    fix.Figure              `json:"cep50_m"`
	R95M      fix.Figure              `json:"r95_m"`
	DRMSM     fix.Figure              `json:"drms_m"`
	HeightM   maybe.Value[fix.Figure] `json:"height_m"`
}

type startsJSON struct {
	Start   string       `json:"start"`
	Count   int          `json:"count"`
	Found   int          `json:"found"`
	MedianS fix.Bound    `json:"median_s"`
	P95S    fix.Bound    `json:"p95_s"`
	Within  []fix.Within `json:"within"`
}

type signalsJSON struct {
	Reports    int64                `json:"reports"`
	MeanListed float64              `json:"in_view"`
	MeanHeard  float64              `json:"heard"`
	MeanUsed   float64              `json:"used"`
	FourShare  float64              `json:"four_strong_share"`
	BestDBHz   maybe.Value[float64] `json:"best_dbhz"`
	FourthDBHz maybe.Value[float64] `json:"fourth_dbhz"`
	MedianDBHz maybe.Value[float64] `json:"median_dbhz"`
	RiseDB     maybe.Value[float64] `json:"high_less_low_db"`
	UnevenDB   maybe.Value[float64] `json:"uneven_db"`
	Satellites []heardJSON          `json:"satellites"`
	Cells      []cellJSON           `json:"cells"`
	Blocked    []arcJSON            `json:"blocked"`
}

type heardJSON struct {
	System    string               `json:"system"`
	Number    int                  `json:"number"`
	Listed    int64                `json:"listed"`
	Heard     int64                `json:"heard"`
	UsedShare float64              `json:"used_share"`
	MeanDBHz  maybe.Value[float64] `json:"mean_dbhz"`
	BestDBHz  maybe.Value[float64] `json:"best_dbhz"`
}

type cellJSON struct {
	FromDeg    float64              `json:"from_deg"`
	ToDeg      float64              `json:"to_deg"`
	LowDeg     float64              `json:"low_deg"`
	HighDeg    float64              `json:"high_deg"`
	Listed     int64                `json:"listed"`
	HeardShare float64              `json:"heard_share"`
	MeanDBHz   maybe.Value[float64] `json:"mean_dbhz"`
	LossDB     maybe.Value[float64] `json:"loss_db"`
}

type arcJSON struct {
	FromDeg float64 `json:"from_deg"`
	ToDeg   float64 `json:"to_deg"`
	LossDB  float64 `json:"loss_db"`
}

type antennaJSON struct {
	State   string   `json:"state"`
	Title   string   `json:"title"`
	Weight  float64  `json:"weight"`
	For     []string `json:"for"`
	Against []string `json:"against"`
	Remedy  string   `json:"remedy"`
}

// tidy rounds a figure to what is worth telling: a tenth of a millimetre.
func tidy(x fix.Figure) fix.Figure {
	out := fix.Figure{Value: rounded(x.Value, 4)}
	if r, ok := x.Range.Get(); ok {
		out.Range = maybe.Known(fix.Interval{Low: rounded(r.Low, 4), High: rounded(r.High, 4)})
	}
	return out
}

func tidyMaybe(v maybe.Value[float64]) maybe.Value[float64] {
	x, ok := v.Get()
	if !ok || math.IsNaN(x) || math.IsInf(x, 0) {
		return maybe.Value[float64]{}
	}
	return maybe.Known(rounded(x, 4))
}

func (a *study) json() fixJSON {
	f := &a.figures
	out := fixJSON{Version: 1, Input: a.name, Epochs: f.Epochs, Valid: f.Valid, Missed: f.Missed, Backwards: f.Backwards, SpanS: rounded(f.SpanS, 3), EveryS: rounded(f.EveryS, 3),
		Available: tidy(f.Available), Outages: f.Outages, LongestOutS: rounded(f.LongestOutageS, 3),
		Position: []positionJSON{}, Height: []heightJSON{}, Time: []hangJSON{}, Averaging: []averagedJSON{}, Wanted: []wantedJSON{}, Truth: []truthJSON{},
		FirstFixes: []startsJSON{}, Signals: []signalsJSON{}, Antenna: []antennaJSON{}, Assumed: append([]string{}, a.assumed...)}
	if a.ok {
		a.positionJSON(&out)
	}
	for _, s := range a.starts {
		out.FirstFixes = append(out.FirstFixes, startsJSON{s.Start, s.Count, s.Found, tidyBound(s.MedianS), tidyBound(s.P95S), append([]fix.Within{}, s.Within...)})
	}
	a.signalsJSON(&out)
	for _, w := range a.antenna {
		out.Antenna = append(out.Antenna, antennaJSON{w.State.Name, w.State.Title, rounded(w.Weight, 4), append([]string{}, w.For...), append([]string{}, w.Against...), w.State.Remedy})
	}
	return out
}

func tidyBound(b fix.Bound) fix.Bound {
	return fix.Bound{Value: tidyMaybe(b.Value), Low: tidyMaybe(b.Low), High: tidyMaybe(b.High)}
}

func (a *study) positionJSON(out *fixJSON) {
	f, e := &a.figures, &a.figures.Ellipse
	out.OwnGeoidM = tidyMaybe(maybe.Known(a.ownGeoid()))
	out.Position = append(out.Position, positionJSON{rounded(f.Mean.LatDeg, 9), rounded(f.Mean.LonDeg, 9), tidyMaybe(f.MeanWithinM), tidy(f.CEP50M), tidy(f.R68M), tidy(f.R95M), tidy(f.DRMSM), tidy(f.TwoDRMSM),
		rounded(f.LargestM, 4), rounded(f.EastM, 4), rounded(f.NorthM, 4), tidy(e.MajorM), tidy(e.MinorM), rounded(e.TurnDeg, 2), tidyMaybe(e.TurnWithinDeg), rounded(f.NormalCEP50M, 4), rounded(f.NormalR95M, 4), f.Stride, rounded(f.RepeatShare, 4)})
	if h, ok := f.Height.Get(); ok {
		out.Height = append(out.Height, heightJSON{tidy(h.MeanM), tidy(h.DeviationM), tidy(h.P95M), h.LowestM, h.HighestM, tidyMaybe(h.GeoidM)})
	}
	if h, ok := f.Hang.Get(); ok {
		x := hangJSON{rounded(h.IndependentEveryS, 3), rounded(h.Independent, 1), tidyMaybe(h.TimeS), h.Settled, []driftJSON{}}
		if d, ok := f.Drift.Get(); ok {
			x.Drift = append(x.Drift, driftJSON{tidy(d.EastMPerH), tidy(d.NorthMPerH), d.Real})
		}
		out.Time = append(out.Time, x)
	}
	for _, m := range f.Means {
		out.Averaging = append(out.Averaging, averagedJSON{rounded(m.OverS, 3), rounded(m.WithinM, 4), m.Blocks})
	}
	for _, within := range a.options.within {
		s, beyond, ok := f.TimeForMean(within)
		w := wantedJSON{WithinM: within, Extrapolated: beyond}
		if ok {
			w.AverageS = tidyMaybe(maybe.Known(s))
		}
		out.Wanted = append(out.Wanted, w)
	}
	if t, ok := f.Truth.Get(); ok {
		x := truthJSON{LatDeg: t.Point.LatDeg, LonDeg: t.Point.LonDeg, OffsetM: rounded(t.OffsetM, 4), OffsetDeg: rounded(t.OffsetDeg, 2), Real: t.Real,
			EastM: tidy(t.EastM), NorthM: tidy(t.NorthM), CEP50M: tidy(t.CEP50M), R95M: tidy(t.R95M), DRMSM: tidy(t.DRMSM)}
		if h, ok := t.HeightM.Get(); ok {
			x.HeightM = maybe.Known(tidy(h))
		}
		out.Truth = append(out.Truth, x)
	}
}

func (a *study) signalsJSON(out *fixJSON) {
	g := &a.signal
	if g.Reports == 0 {
		return
	}
	x := signalsJSON{Reports: g.Reports, MeanListed: rounded(g.MeanListed, 2), MeanHeard: rounded(g.MeanHeard, 2), MeanUsed: rounded(g.MeanUsed, 2), FourShare: rounded(g.FourShare, 4),
		BestDBHz: g.BestDBHz, FourthDBHz: g.FourthDBHz, MedianDBHz: g.MedianDBHz, RiseDB: tidyMaybe(g.RiseDB), UnevenDB: tidyMaybe(g.UnevenDB),
		Satellites: []heardJSON{}, Cells: []cellJSON{}, Blocked: []arcJSON{}}
	for _, s := range g.Satellites {
		x.Satellites = append(x.Satellites, heardJSON{s.System, s.ID, s.Listed, s.Heard, rounded(s.UsedShare, 4), tidyMaybe(s.MeanDBHz), s.TopDBHz})
	}
	for _, c := range g.Cells {
		x.Cells = append(x.Cells, cellJSON{c.FromDeg, c.ToDeg, c.LowDeg, c.HighDeg, c.Listed, rounded(c.HeardShare, 4), tidyMaybe(c.MeanDBHz), tidyMaybe(c.LossDB)})
	}
	for _, arc := range g.BlockedArcs {
		x.Blocked = append(x.Blocked, arcJSON{arc.FromDeg, arc.ToDeg, rounded(arc.LossDB, 2)})
	}
	out.Signals = append(out.Signals, x)
}
