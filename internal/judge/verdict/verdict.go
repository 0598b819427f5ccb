// Package verdict is the outcome of a check or a review, as data: what the
// report prints, what the page shows and what --json writes.
//
// # What it promises
//
// It is complete: whoever renders a [Verdict] needs nothing else. It knows no
// rule and no cause; it only carries what they found.
//
// # Where to start
//
// Read [Verdict]; docs/formats/review.schema.json is its JSON.
package verdict

import (
	"firstfix/internal/judge/finding"
	"firstfix/internal/maybe"
)

// State says how one link of the chain stands.
type State string

// The states of a link.
const (
	Holds      State = "holds"       // shown to work
	Weak       State = "weak"        // works, but will bite
	Broken     State = "broken"      // shown not to work
	NotReached State = "not reached" // a link before it is broken, so it was not tried
	NotShown   State = "not shown"   // this dialogue says nothing about it
)

// Link is one thing that must work before the next can.
type Link struct {
	Name     string             `json:"link"`  // "supply", "line", "module", "card", "network", "messages", "sky", "fix", "report"
	Title    string             `json:"title"` // "Supply"
	State    State              `json:"state"`
	Says     string             `json:"says"` // one sentence, with the figures
	Evidence []finding.Evidence `json:"evidence"`
	Quotes   []string           `json:"-"` // texts that Says quotes with strconv.Quote: hidden in reports unless asked for
}

// Measurement is something to do next, and what its outcome tells.
type Measurement struct {
	Name    string   `json:"measurement,omitempty"` // by which its outcome is told: --saw NAME=ANSWER
	Do      string   `json:"do"`
	Tells   string   `json:"tells"`
	Minutes int      `json:"minutes"`
	Tools   string   `json:"tools"`
	Caution string   `json:"caution,omitempty"`
	Answers []Answer `json:"answers,omitempty"` // its outcomes
	Unit    string   `json:"unit,omitempty"`    // where a figure will do as an answer
}

// Answer is one outcome of a measurement.
type Answer struct {
	Name  string `json:"answer"`
	Means string `json:"means"` // as part of a sentence
}

// Observation is an outcome that a person told.
type Observation struct {
	Name   string `json:"measurement"`
	Answer string `json:"answer"`
	Means  string `json:"means"`
}

// Together is two causes that explain what was found better than any one.
type Together struct {
	Causes      []string `json:"causes"` // their names
	Probability float64  `json:"probability"`
}

// Cause is something that could explain what was found.
type Cause struct {
	Name        string       `json:"cause"`
	Title       string       `json:"title"`
	Probability float64      `json:"probability"`
	Because     []string     `json:"because"` // what speaks for it
	Against     []string     `json:"against"` // what speaks against it
	Remedy      string       `json:"remedy"`
	Next        *Measurement `json:"next,omitempty"`
}

// Difference is one place where this dialogue parts from one that worked.
type Difference struct {
	Kind  string             // "outcome", "answer", "value", "missing", "extra", "order", "restart"
	Says  string             // one sentence without a full stop
	Here  []finding.Evidence // lines of this dialogue; empty for what it lacks
	There []finding.Evidence // lines of the good one
}

// SettingDifference is a setting that stood otherwise at the end.
type SettingDifference struct {
	Name     string
	Here     string // "" when it was neither set nor read
	There    string
	Evidence []finding.Evidence
}

// TimingDifference is a time that differs by much.
type TimingDifference struct {
	What            string  // "the answer to +CMGS", "from a result to the next command"
	HereMS, ThereMS float64 // medians
}

// Comparison is this dialogue held against one that worked.
type Comparison struct {
	Good        string      // what it was compared with
	TimesKnown  bool        // of the good one
	Says        string      // the outcome in one sentence
	First       *Difference // the first divergence in meaning; nil for none
	Differences []Difference
	More        int // how many further ones are not listed
	Settings    []SettingDifference
	Timing      []TimingDifference
}

// Timing is how long one command took.
type Timing struct {
	Command         string               `json:"command"` // "+CMGS", "+COPS=?"
	Count           int                  `json:"count"`
	Unanswered      int                  `json:"unanswered"`
	MinMS           maybe.Value[float64] `json:"minMS"`
	MedianMS        maybe.Value[float64] `json:"medianMS"`
	P95MS           maybe.Value[float64] `json:"p95MS"`
	MaxMS           maybe.Value[float64] `json:"maxMS"`
	GaveUp          int                  `json:"gaveUp"`            // how often the controller went on without a result
	GaveUpMinMS     maybe.Value[float64] `json:"gaveUpMinMS"`       // after how long, at the least
	GaveUpMaxMS     maybe.Value[float64] `json:"gaveUpMaxMS"`       // and at the most: its own limit, as far as can be seen
	RecommendedWait maybe.Value[float64] `json:"recommendedWaitMS"` // how long a controller should be ready to wait
	TooShort        bool                 `json:"tooShort"`          // it gave up earlier than that
	Reason          string               `json:"reason"`            // where that figure comes from
}

// Counts says how much was understood.
type Counts struct {
	Records     int   `json:"records"`
	Bytes       int64 `json:"bytes"`
	Exchanges   int   `json:"exchanges"`
	Finished    int   `json:"finished"`
	Failed      int   `json:"failed"` // finished with an error
	Overtaken   int   `json:"overtaken"`
	Unanswered  int   `json:"unanswered"`
	Unsolicited int   `json:"unsolicited"`
	Sentences   int   `json:"sentences"`
	Epochs      int   `json:"epochs"`
	ValidFixes  int   `json:"validFixes"`
	Messages    int   `json:"messages"`
	Garbled     int   `json:"garbled"` // stretches of bytes that fit nothing
	Stray       int   `json:"stray"`
}

// Verdict is the outcome of a check or a review.
type Verdict struct {
	Version    int
	Kind       string // "check" or "review"
	Input      string // file name, device, or "the stand-in, world antennas-swapped, seed 1"
	Simulated  bool   // the module was made of software
	Began      string // RFC 3339; "" when not known
	TimesKnown bool
	Assumed    []string // in sentences
	Headline   string   // the whole outcome in one sentence
	Counts     Counts
	Chain      []Link
	Findings   []finding.Finding
	Causes     []Cause   // most probable first
	Together   *Together // two causes at once, when that is the best explanation; else nil
	Observed   []Observation
	Next       *Measurement // the next best measurement over all causes; nil when nothing is wrong
	Timings    []Timing
	Against    *Comparison // with a dialogue that worked; nil when none was given
	Cautions   []string
	PDUs       []PDU // some messages of the dialogue, those that findings point at first
	MorePDUs   int   // that are not among them
}

// FirstBroken returns the first link of the chain that is broken, or, if none is, the first weak one.
func (v *Verdict) FirstBroken() (Link, bool) {
	for _, want := range []State{Broken, Weak} {
		for _, l := range v.Chain {
			if l.State == want {
				return l, true
			}
		}
	}
	return Link{}, false
}
