// Package compare says where a dialogue parts from one that worked.
//
// # What it promises
//
// Two dialogues are compared by what they mean: which commands were said, how each
// ended, what its answer says, which settings stand, in which order and how fast. Values that
// change from day to day (times, levels, references, positions, names) make no
// difference. How often something is repeated makes none either: a poll of three is a
// poll of five. A [Tale] holds a bounded amount, whatever the length of its dialogue.
//
// # What it leaves to others
//
// Whether a difference matters: what is wrong by itself is found by judge/rules, what could
// be behind it by judge/bringup.
//
// # Where to start
//
// Read [Watch] and [Tale.Against], then meaning.go: what counts as the same answer.
package compare

import (
	"slices"
	"sort"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Limits of a tale.
const (
	maxKeys = 500  // different commands; a controller has some dozens
	maxWays = 16   // different ways in which one command ended
	maxGaps = 1000 // pauses that are kept for their median
)

// Tale is what is kept of one dialogue.
type Tale struct {
	keys     []*telling // in the order in which they were first said
	index    map[string]*telling
	settings []setting
	restarts []finding.Evidence // that nobody asked for; the first few
	restart  int
	pass     *rulebook.Pass

	afterResult, afterPrompt, afterReady []time.Duration // how long the controller waited
	readyAt                              dialogue.Line
	ends                                 *way // how its last exchange ended, when the recording ends in it
}

// telling is one command in one form, with all the ways in which it went.
type telling struct {
	key  string
	name string
	form at.Form
	ways []*way
	last *way
}

// way is one way in which a command went.
type way struct {
	of      *telling
	params  string // as far as they mean something
	outcome string // in words
	failed  bool
	meaning string // of the answer; "" when it says nothing that counts
	command finding.Evidence
	final   finding.Evidence
	count   int
}

func (w *way) same(o *way) bool {
	return w.params == o.params && w.outcome == o.outcome && w.meaning == o.meaning
}

// setting is a setting as it stood at the end.
type setting struct {
	name, value string
	set         bool // somebody set it; else it was only read
	seen        finding.Evidence
}

// Watch begins to keep a tale of a judge's dialogue.
func Watch(j *rulebook.Judge) *Tale {
	t := &Tale{index: map[string]*telling{}}
	j.Listen(t.watch)
	return t
}

func (t *Tale) watch(p *rulebook.Pass) {
	t.pass = p
	p.OnAsked(func(x *dialogue.Exchange) { t.gaps(x) })
	p.OnTexted(func(x *dialogue.Exchange) {
		if !x.Prompt.IsZero() && !x.TextEarly {
			t.afterPrompt = keepGap(t.afterPrompt, x.Text.Began.Sub(x.Prompt.At))
		}
	})
	p.OnAnswered(t.answered)
	p.OnRestart(func(r witness.Restart) {
		t.readyAt = r.Line
		if r.Asked {
			return
		}
		if t.restart++; len(t.restarts) < maxWays {
			t.restarts = append(t.restarts, p.See(r.Line, "started anew: "+r.Why))
		}
	})
	p.OnEnd(func() {
		for _, name := range witness.Names() {
			if s, ok := p.Known().Setting(name); ok && !s.Lost {
				t.settings = append(t.settings, setting{name, settingValue(name, s), !s.ReadBack, p.See(s.Line, "as it stands")})
			}
		}
	})
}

// gaps measures how long the controller waited before a command.
func (t *Tale) gaps(x *dialogue.Exchange) {
	if !t.readyAt.IsZero() {
		t.afterReady = keepGap(t.afterReady, x.Command.Began.Sub(t.readyAt.At))
		t.readyAt = dialogue.Line{}
	}
	if before := x.Previous; before != nil && before.Outcome == dialogue.Finished && before.DoneAt <= x.Command.Began {
		t.afterResult = keepGap(t.afterResult, x.Command.Began.Sub(before.DoneAt))
	}
}

func keepGap(gaps []time.Duration, d time.Duration) []time.Duration {
	if d < 0 || len(gaps) >= maxGaps {
		return gaps
	}
	return append(gaps, d)
}

// answered takes in an exchange that is over. Of a line with several commands each counts;
// the answer's lines go to the command whose name they bear.
func (t *Tale) answered(x *dialogue.Exchange) {
	commands := x.Parsed.Commands
	if len(commands) == 0 {
		commands = []at.Command{{Name: "", Form: at.Execute}}
	}
	for i := range commands {
		t.take(x, &commands[i])
	}
}

func (t *Tale) take(x *dialogue.Exchange, c *at.Command) {
	key := c.Name + formMark(c.Form)
	one := t.index[key]
	if one == nil {
		if len(t.keys) >= maxKeys {
			return
		}
		one = &telling{key: key, name: c.Name, form: c.Form}
		t.keys, t.index[key] = append(t.keys, one), one
	}
	w := &way{of: one, params: params(c), meaning: meaningOf(x, c)}
	w.outcome, w.failed = outcome(x)
	t.ends = nil
	for _, known := range one.ways {
		if known.same(w) {
			known.count++
			one.last = known
			t.end(x, known)
			return
		}
	}
	one.last = w
	t.end(x, w)
	if len(one.ways) >= maxWays {
		return
	}
	w.count = 1
	w.command = t.pass.See(x.Command, "the command")
	if !x.Final.IsZero() {
		w.final = t.pass.See(x.Final, "how it ended")
		if line, ok := telltale(x, c); ok {
			w.final = t.pass.See(line, "what it says")
		}
	}
	one.ways = append(one.ways, w)
}

// end notes that the recording may end in this exchange.
func (t *Tale) end(x *dialogue.Exchange, w *way) {
	if x.Outcome == dialogue.Unanswered {
		t.ends = w
	}
}

// evidence shows a way: its command and how it ended.
func (w *way) evidence() []finding.Evidence {
	if w.final.Record == 0 {
		return []finding.Evidence{w.command}
	}
	return []finding.Evidence{w.command, w.final}
}

// has returns the way of a telling that went the same.
func (o *telling) has(w *way) bool {
	return slices.ContainsFunc(o.ways, func(v *way) bool { return v.same(w) })
}

// median of some pauses; false for fewer than three.
func median(gaps []time.Duration) (time.Duration, bool) {
	const few = 3
	if len(gaps) < few {
		return 0, false
	}
	sorted := slices.Clone(gaps)
	sort.Slice(sorted, func(i, j int) bool { return sorted[i] < sorted[j] })
	return sorted[len(sorted)/2], true
}

func formMark(f at.Form) string {
	switch f {
	case at.Read:
		return "?"
	case at.Test:
		return "=?"
	case at.Set:
		return "="
	}
	return ""
}
