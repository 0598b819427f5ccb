package bringup

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"firstfix/internal/judge/compare"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/capture"
	"firstfix/internal/wire/sheet"
)

// Options are what a caller may choose about a review.
type Options struct {
	Rules     []*rulebook.Rule
	Sheet     *sheet.Sheet  // whose spellings the dialogue may hold; nil: those of all built-in sheets' stand-in, "demo"
	Places    int           // places kept for each rule; 0: [DefaultPlaces]
	Input     string        // what was judged, for the reader
	Simulated bool          // the module was made of software
	Saw       []Observation // what a person saw or measured
	Against   *Good         // a dialogue that worked; nil for none
}

// DefaultPlaces is how many places of one rule a report quotes: three show that it is no
// accident, more hide the other findings.
const DefaultPlaces = 3

// Review judges a recording. What could be read is judged even when reading fails in the
// middle: the verdict is then not nil and says so, and the error is that of the source.
func Review(src capture.Source, o Options) (*verdict.Verdict, error) {
	return review(src, nil, o)
}

// CheckVerdict judges what passed the line during a walk, together with what the walk
// asked and could not reach. src is the recording of the line, or [Walker.Source].
func CheckVerdict(src capture.Source, walked *Walked, o Options) (*verdict.Verdict, error) {
	return review(src, walked, o)
}

func review(src capture.Source, walked *Walked, o Options) (*verdict.Verdict, error) {
	return NewReviewer(src.Info(), walked, o).Read(src)
}

// Read feeds the reviewer a whole recording and ends.
func (r *Reviewer) Read(src capture.Source) (*verdict.Verdict, error) {
	for {
		record, err := src.Next()
		if errors.Is(err, io.EOF) {
			return r.End(src.Info()), nil
		}
		if err != nil {
			v := r.End(src.Info())
			v.Assumed = append(v.Assumed, fmt.Sprintf("reading stopped after record %d: %v", r.facts.Counts.Records, err))
			return v, fmt.Errorf("review %s: %w", r.options.Input, err)
		}
		r.Feed(record)
	}
}

// Reviewer judges a dialogue while it goes on. Feed it records in order, look at
// [Reviewer.Findings] at any time, then End. It holds a bounded amount.
type Reviewer struct {
	options Options
	judge   *rulebook.Judge
	facts   *Facts
	timings *timingTable
	pdus    *pduKeeper
	tale    *compare.Tale // nil without a good one to hold it against
	info    capture.Info
	told    []reportedOnce // what News has told and what still holds of it
	ended   bool
}

// NewReviewer prepares a review. walked is nil for anything but a live check.
func NewReviewer(info capture.Info, walked *Walked, o Options) *Reviewer {
	if o.Sheet == nil {
		o.Sheet, _ = sheet.Builtin("demo")
	}
	if o.Places == 0 {
		o.Places = DefaultPlaces
	}
	j := rulebook.NewJudge(o.Rules, info, rulebook.Options{PlacesPerRule: o.Places, Banners: readyBanners(o.Sheet)})
	r := &Reviewer{options: o, judge: j, info: info, facts: Gather(j, o.Sheet), timings: newTimingTable(j, o.Sheet), pdus: newPDUKeeper(j)}
	r.facts.Walk = walked
	if o.Against != nil {
		r.tale = compare.Watch(j)
	}
	return r
}

// Feed gives the reviewer the next record.
func (r *Reviewer) Feed(record capture.Record) {
	r.facts.Record(record)
	r.judge.Feed(record)
}

// Tick tells the reviewer that time has reached that of the record and nothing else happened.
func (r *Reviewer) Tick(record capture.Record) { r.judge.Tick(record) }

// Findings returns what was found so far.
func (r *Reviewer) Findings() []finding.Finding { return r.judge.Findings() }

// Chain says how the links stand so far.
func (r *Reviewer) Chain() []verdict.Link { return r.facts.Chain() }

// End tells the reviewer that the dialogue is over, and returns the verdict. info is what
// is known of the recording now that it was read to its end.
func (r *Reviewer) End(info capture.Info) *verdict.Verdict {
	r.judge.End()
	r.ended = true
	f := r.facts
	f.Findings = r.judge.Findings()
	if len(info.Mixed) > 0 {
		var says string
		f.Findings, says = f.unmix(r.options.Rules, f.Findings)
		info.Assumed = append(slices.Clip(info.Assumed), says)
	}
	v := &verdict.Verdict{
		Version: 1, Kind: "review", Input: r.options.Input, Simulated: r.options.Simulated,
		Began: info.Began, TimesKnown: r.info.TimesKnown, Assumed: append([]string{}, info.Assumed...),
		Counts: f.Counts, Chain: f.Chain(), Findings: f.Findings, Timings: r.timings.table(r.info.TimesKnown),
	}
	if f.Walk != nil {
		v.Kind = "check"
	}
	if v.Findings == nil {
		v.Findings = []finding.Finding{}
	}
	v.PDUs, v.MorePDUs = r.pdus.show(v.Findings)
	v.Against = r.compared(v)
	r.Again(v, r.options.Saw, nil)
	v.Cautions = f.cautions(v)
	return v
}

// Again weighs the causes anew with all that a person saw, and writes them into the
// verdict that End returned. skip names measurements that the person will not make.
func (r *Reviewer) Again(v *verdict.Verdict, saw []Observation, skip []string) {
	f := r.facts
	f.Saw = saw
	v.Observed = f.observations()
	v.Causes, v.Together, v.Next = []verdict.Cause{}, nil, nil
	if _, broken := v.FirstBroken(); broken || grave(v.Findings) > 0 || len(f.Saw) > 0 {
		v.Causes, v.Together, v.Next = f.causes(skip)
	}
	v.Headline = f.headline(v)
	if f.mixed {
		v.Headline = mixedHeadline + v.Headline
	}
}

// grave counts findings that matter more than a note.
func grave(list []finding.Finding) int {
	n := 0
	for i := range list {
		if list[i].Severity >= finding.Warning {
			n += 1 + list[i].More
		}
	}
	return n
}
