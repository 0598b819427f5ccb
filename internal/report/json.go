package report

import (
	"encoding/json"
	"io"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
)

// The JSON shapes are spelled out here, apart from the Go types, so that a
// renamed field in the code cannot rename one in a file that others read.

type evidenceJSON struct {
	Record int      `json:"record"`
	T      *float64 `json:"t"`    // seconds since the capture began; null when its times are not known
	From   string   `json:"from"` // "controller", "module", "unknown"
	Line   *int     `json:"line"` // line of the input file; null when it came from a wire
	Text   string   `json:"text"`
	Note   string   `json:"note"`
}

type findingJSON struct {
	Rule     string         `json:"rule"`
	Severity string         `json:"severity"`
	Title    string         `json:"title"`
	Message  string         `json:"message"`
	Cites    []string       `json:"cites"`
	Remedy   string         `json:"remedy"`
	Evidence []evidenceJSON `json:"evidence"`
	More     int            `json:"more"`
}

type linkJSON struct {
	Link     string         `json:"link"`
	Title    string         `json:"title"`
	State    string         `json:"state"`
	Says     string         `json:"says"`
	Evidence []evidenceJSON `json:"evidence"`
}

type verdictJSON struct {
	Version    int                   `json:"version"`
	Kind       string                `json:"kind"`
	Input      string                `json:"input"`
	Simulated  bool                  `json:"simulated"`
	Began      *string               `json:"began"`
	TimesKnown bool                  `json:"timesKnown"`
	Headline   string                `json:"headline"`
	Assumed    []string              `json:"assumed"`
	Exchanges  exchangesJSON         `json:"exchanges"`
	Chain      []linkJSON            `json:"chain"`
	Findings   []findingJSON         `json:"findings"`
	Causes     []verdict.Cause       `json:"causes"`
	Together   *verdict.Together     `json:"together"`
	Observed   []verdict.Observation `json:"observed"`
	Next       *verdict.Measurement  `json:"next"`
	Cautions   []string              `json:"cautions"`
	PDUs       []pduJSON             `json:"pdus"`
	MorePDUs   int                   `json:"morePDUs"`
	Against    *againstJSON          `json:"against"`
}

type againstJSON struct {
	Good        string           `json:"good"`
	Says        string           `json:"says"`
	First       *differenceJSON  `json:"first"`
	Differences []differenceJSON `json:"differences"`
	More        int              `json:"more"`
	Settings    []settingJSON    `json:"settings"`
	Timing      []apartJSON      `json:"timing"`
}

type differenceJSON struct {
	Kind  string         `json:"kind"`
	Says  string         `json:"says"`
	Here  []evidenceJSON `json:"here"`
	There []evidenceJSON `json:"there"` // lines of the good one
}

type settingJSON struct {
	Name     string         `json:"setting"`
	Here     *string        `json:"here"` // null when it was neither set nor read
	There    string         `json:"there"`
	Evidence []evidenceJSON `json:"evidence"`
}

type apartJSON struct {
	What    string  `json:"what"`
	HereMS  float64 `json:"hereMS"`
	ThereMS float64 `json:"thereMS"`
}

func against(c *verdict.Comparison, timesKnown bool) *againstJSON {
	if c == nil {
		return nil
	}
	one := func(d *verdict.Difference) differenceJSON {
		return differenceJSON{d.Kind, d.Says, evidence(d.Here, timesKnown), evidence(d.There, c.TimesKnown)}
	}
	out := &againstJSON{Good: c.Good, Says: c.Says, Differences: []differenceJSON{}, More: c.More, Settings: []settingJSON{}, Timing: []apartJSON{}}
	if c.First != nil {
		first := one(c.First)
		out.First = &first
	}
	for i := range c.Differences {
		out.Differences = append(out.Differences, one(&c.Differences[i]))
	}
	for _, s := range c.Settings {
		j := settingJSON{Name: s.Name, There: s.There, Evidence: evidence(s.Evidence, timesKnown)}
		if s.Here != "" {
			j.Here = &s.Here
		}
		out.Settings = append(out.Settings, j)
	}
	for _, t := range c.Timing {
		out.Timing = append(out.Timing, apartJSON(t))
	}
	return out
}

type pduJSON struct {
	Record int         `json:"record"`
	T      *float64    `json:"t"`
	From   string      `json:"from"`
	Line   *int        `json:"line"`
	Kind   string      `json:"kind"`
	Rules  []string    `json:"rules"`
	Fault  string      `json:"fault"`
	Fields []fieldJSON `json:"fields"`
}

type fieldJSON struct {
	Label   string `json:"label"`
	At      int    `json:"at"`
	Length  int    `json:"length"`
	Octets  string `json:"octets"`
	Name    string `json:"name"`
	Value   string `json:"value"`
	Meaning string `json:"meaning"`
	Clause  string `json:"clause"`
}

type exchangesJSON struct {
	Counts  verdict.Counts   `json:"counts"`
	Timings []verdict.Timing `json:"timings"`
}

// JSON writes the verdict as docs/formats/review.schema.json has it.
func JSON(w io.Writer, v *verdict.Verdict) error {
	out := verdictJSON{
		Version: v.Version, Kind: v.Kind, Input: v.Input, Simulated: v.Simulated, TimesKnown: v.TimesKnown,
		Headline: v.Headline, Assumed: orEmpty(v.Assumed),
		Exchanges: exchangesJSON{v.Counts, orEmpty(v.Timings)},
		Causes:    orEmpty(v.Causes), Together: v.Together, Observed: orEmpty(v.Observed), Next: v.Next, Cautions: orEmpty(v.Cautions),
		Chain: []linkJSON{}, Findings: []findingJSON{}, PDUs: pdus(v), MorePDUs: v.MorePDUs,
		Against: against(v.Against, v.TimesKnown),
	}
	if v.Began != "" {
		out.Began = &v.Began
	}
	for i := range out.Causes {
		out.Causes[i].Because = orEmpty(out.Causes[i].Because)
		out.Causes[i].Against = orEmpty(out.Causes[i].Against)
	}
	for _, l := range v.Chain {
		out.Chain = append(out.Chain, linkJSON{l.Name, l.Title, string(l.State), l.Says, evidence(l.Evidence, v.TimesKnown)})
	}
	for _, f := range v.Findings {
		out.Findings = append(out.Findings, findingJSON{
			Rule: f.Rule, Severity: f.Severity.String(), Title: f.Title, Message: f.Message,
			Cites: orEmpty(f.Cites), Remedy: f.Remedy, Evidence: evidence(f.Evidence, v.TimesKnown), More: f.More,
		})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

func pdus(v *verdict.Verdict) []pduJSON {
	out := []pduJSON{}
	for _, p := range v.PDUs {
		at := evidence([]finding.Evidence{{Record: p.Record, SourceLine: p.SourceLine, At: p.At, From: p.From}}, v.TimesKnown)[0]
		j := pduJSON{Record: at.Record, T: at.T, From: at.From, Line: at.Line, Kind: p.Kind, Rules: orEmpty(p.Rules), Fault: p.Fault, Fields: []fieldJSON{}}
		for _, l := range Legends(p.Fields) {
			f := l.Field
			j.Fields = append(j.Fields, fieldJSON{l.Label, f.At, f.Length, f.Octets, f.Name, f.Value, f.Meaning, f.Clause})
		}
		out = append(out, j)
	}
	return out
}

func evidence(list []finding.Evidence, timesKnown bool) []evidenceJSON {
	out := []evidenceJSON{}
	for _, e := range list {
		j := evidenceJSON{Record: e.Record, From: e.From, Text: e.Text, Note: e.Note}
		if timesKnown {
			t := e.At.Seconds()
			j.T = &t
		}
		if e.SourceLine > 0 {
			line := e.SourceLine
			j.Line = &line
		}
		out = append(out, j)
	}
	return out
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
