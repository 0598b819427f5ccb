package bringup

import (
	"errors"
	"fmt"
	"io"

	"firstfix/internal/judge/compare"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/capture"
)

// Good is a dialogue that worked, to hold others against.
type Good struct {
	input   string
	tale    *compare.Tale
	timings []verdict.Timing
	timed   bool
}

// ReadGood reads a dialogue that worked. Of the options only sheet and input count.
func ReadGood(src capture.Source, o Options) (*Good, error) {
	o.Rules, o.Against = nil, nil
	r := NewReviewer(src.Info(), nil, o)
	tale := compare.Watch(r.judge)
	for {
		record, err := src.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("read the good one %s: %w", o.Input, err)
		}
		r.Feed(record)
	}
	r.judge.End()
	return &Good{input: o.Input, tale: tale, timings: r.timings.table(r.info.TimesKnown), timed: r.info.TimesKnown}, nil
}

// compared holds the dialogue against the good one that was given.
func (r *Reviewer) compared(v *verdict.Verdict) *verdict.Comparison {
	good := r.options.Against
	if good == nil {
		return nil
	}
	c := r.tale.Against(good.tale)
	c.Good, c.TimesKnown = good.input, good.timed
	c.Timing = append(c.Timing, compare.Timings(v.Timings, good.timings)...)
	c.Says = compare.Sentence(c)
	return c
}
