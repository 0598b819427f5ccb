package main

import (
	"math"
	"time"

	"firstfix/internal/earth/geoid"
	"firstfix/internal/earth/sky"
	"firstfix/internal/maybe"
)

// skyJSON is docs/formats/sky.schema.json.
type skyJSON struct {
	Version       int               `json:"version"`
	LatDeg        float64           `json:"lat_deg"`
	LonDeg        float64           `json:"lon_deg"`
	At            string            `json:"at"`
	SpanS         float64           `json:"span_s"`
	MaskDeg       float64           `json:"mask_deg"`
	Blocked       []blockedJSON     `json:"blocked"`
	Constellation constellationJSON `json:"constellation"`
	GeoidM        float64           `json:"geoid_m"`
	GeoidModel    string            `json:"geoid_model"`
	Satellites    []satelliteJSON   `json:"satellites"`
	Now           momentJSON        `json:"now"`
	Ahead         aheadJSON         `json:"ahead"`
	Passes        []passJSON        `json:"passes"`
	FirstFix      []firstFixJSON    `json:"first_fix"`
	Assumed       []string          `json:"assumed"`
	Problems      []string          `json:"problems"`
}

type blockedJSON struct {
	FromDeg float64 `json:"from_deg"`
	ToDeg   float64 `json:"to_deg"`
	UpToDeg float64 `json:"up_to_deg"`
}

type constellationJSON struct {
	Name       string `json:"name"`
	Source     string `json:"source"`
	Applies    string `json:"applies"`
	Satellites int    `json:"satellites"`
	Real       bool   `json:"real"`
}

type satelliteJSON struct {
	Name         string  `json:"name"`
	Number       int     `json:"number"`
	ElevationDeg float64 `json:"elevation_deg"`
	AzimuthDeg   float64 `json:"azimuth_deg"`
	Healthy      bool    `json:"healthy"`
}

type momentJSON struct {
	Visible int                  `json:"visible"`
	PDOP    maybe.Value[float64] `json:"pdop"`
	HDOP    maybe.Value[float64] `json:"hdop"`
	VDOP    maybe.Value[float64] `json:"vdop"`
}

type aheadJSON struct {
	Fewest     int                  `json:"fewest"`
	Most       int                  `json:"most"`
	Mean       float64              `json:"mean"`
	GoodShare  float64              `json:"good_share"`
	NoFixShare float64              `json:"no_fix_share"`
	MedianPDOP maybe.Value[float64] `json:"median_pdop"`
	WorstPDOP  maybe.Value[float64] `json:"worst_pdop"`
	Best       []windowJSON         `json:"best_hours"`
	Worst      []windowJSON         `json:"worst_hour"`
}

type windowJSON struct {
	From   string  `json:"from"`
	To     string  `json:"to"`
	PDOP   float64 `json:"pdop"`
	Fewest int     `json:"fewest"`
}

type passJSON struct {
	Name       string  `json:"name"`
	Number     int     `json:"number"`
	Rise       string  `json:"rise"`
	Highest    string  `json:"highest"`
	HighestDeg float64 `json:"highest_deg"`
	Set        string  `json:"set"`
}

type firstFixJSON struct {
	View     string               `json:"view"`
	Start    string               `json:"start"`
	Possible bool                 `json:"possible"`
	Strong   int                  `json:"strong"`
	FloorS   float64              `json:"floor_s"`
	MedianS  maybe.Value[float64] `json:"median_s"`
	P95S     maybe.Value[float64] `json:"p95_s"`
	Share    float64              `json:"possible_share_ahead"`
}

// rounded keeps so many decimals: what lies below is not known.
func rounded(v float64, decimals int) float64 {
	f := math.Pow10(decimals)
	return math.Round(v*f)/f + 0
}

func knownIf(ok bool, v float64) maybe.Value[float64] {
	if !ok || math.IsInf(v, 0) || math.IsNaN(v) {
		return maybe.Value[float64]{}
	}
	return maybe.Known(rounded(v, 2))
}

func (a *skyAnswer) json() skyJSON {
	stamp := func(t time.Time) string { return t.UTC().Format(time.RFC3339) }
	out := skyJSON{
		Version: 1, LatDeg: a.place.LatDeg, LonDeg: a.place.LonDeg, At: stamp(a.at), SpanS: a.span.Seconds(), MaskDeg: a.mask.ElevationDeg,
		Blocked: []blockedJSON{}, GeoidM: rounded(a.geoidM, 2), GeoidModel: geoid.Model,
		Constellation: constellationJSON{a.constellation.Name, a.constellation.Source, stamp(a.constellation.Applies), len(a.constellation.Satellites), !a.nominal()},
		Satellites:    []satelliteJSON{}, Passes: []passJSON{}, FirstFix: []firstFixJSON{},
		Assumed: append([]string{}, a.assumed...), Problems: append([]string{}, a.problems...),
	}
	for _, b := range a.mask.Obstacles {
		out.Blocked = append(out.Blocked, blockedJSON{b.FromDeg, b.ToDeg, b.UpToDeg})
	}
	for _, s := range a.byElevation() {
		out.Satellites = append(out.Satellites, satelliteJSON{s.Name, s.PRN, rounded(s.ElevationDeg, 2), rounded(s.AzimuthDeg, 2), s.Healthy})
	}
	d := a.now.DOP
	out.Now = momentJSON{a.now.Visible, knownIf(a.now.Valid, d.P), knownIf(a.now.Valid, d.H), knownIf(a.now.Valid, d.V)}
	s := &a.summary
	some := s.NoFixShare < 1
	out.Ahead = aheadJSON{Fewest: s.FewestVisible, Most: s.MostVisible, Mean: rounded(s.MeanVisible, 2), GoodShare: rounded(s.GoodShare, 4),
		NoFixShare: rounded(s.NoFixShare, 4), MedianPDOP: knownIf(some, s.MedianPDOP), WorstPDOP: knownIf(some, s.WorstPDOP), Best: []windowJSON{}, Worst: []windowJSON{}}
	window := func(w sky.Window) windowJSON {
		return windowJSON{stamp(w.From), stamp(w.To), rounded(w.MeanPDOP, 2), w.Fewest}
	}
	if a.windows {
		for _, b := range a.best {
			out.Ahead.Best = append(out.Ahead.Best, window(b))
		}
		out.Ahead.Worst = append(out.Ahead.Worst, window(a.worst))
	}
	for _, p := range a.passes {
		out.Passes = append(out.Passes, passJSON{p.Name, p.PRN, stamp(p.Rise), stamp(p.Highest), rounded(p.HighestDeg, 1), stamp(p.Set)})
	}
	for _, f := range a.fixes {
		for i, e := range f.starts {
			out.FirstFix = append(out.FirstFix, firstFixJSON{f.view.Name, sky.Starts[i].Name, e.Possible, e.Strong, e.FloorS,
				knownIf(e.Possible, e.MedianS), knownIf(e.Possible, e.P95S), rounded(f.dayShare, 4)})
		}
	}
	return out
}
