package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
)

// maxDifferences are told: the first is the one that counts, and more than a page hides it.
const maxDifferences = 20

// Against compares the tale with one of a dialogue that worked. Call it when both are over.
func (t *Tale) Against(good *Tale) *verdict.Comparison {
	c := &verdict.Comparison{Differences: []verdict.Difference{}, Settings: []verdict.SettingDifference{}, Timing: []verdict.TimingDifference{}}
	var all []ordered
	all = append(all, t.common(good)...)
	all = append(all, t.missing(good)...)
	all = append(all, t.restarted(good)...)
	all = append(all, t.moved(good)...)
	all = append(all, t.stands(good, all)...)
	slices.SortStableFunc(all, func(a, b ordered) int { return cmp.Compare(a.at, b.at) })
	c.First = first(all)
	for i := range all {
		d := &all[i]
		if len(c.Differences) < maxDifferences {
			c.Differences = append(c.Differences, d.Difference)
		} else {
			c.More++
		}
	}
	c.Settings = append(c.Settings, t.settingsAgainst(good)...)
	c.Timing = append(c.Timing, t.pauses(good)...)
	return c
}

// first is the first divergence in meaning: the first thing that went another way, or,
// where all went the same way, the first that is missing or stands elsewhere. What is missing
// is often no fault by itself.
func first(all []ordered) *verdict.Difference {
	var best *ordered
	for i := range all {
		d := &all[i]
		loose := d.Kind == "missing" || d.Kind == "order" || d.Kind == "extra"
		if d.counts && (best == nil || !loose && (best.Kind == "missing" || best.Kind == "order" || best.Kind == "extra")) {
			best = d
		}
	}
	if best == nil {
		return nil
	}
	d := best.Difference
	return &d
}

// stands tells settings that stood otherwise at the end, where no command told it yet.
func (t *Tale) stands(good *Tale, told []ordered) []ordered {
	var all []ordered
	for _, s := range t.settings {
		i := slices.IndexFunc(good.settings, func(o setting) bool { return o.name == s.name })
		if i < 0 || good.settings[i].value == s.value || slices.ContainsFunc(told, func(d ordered) bool {
			return (d.Kind == "value" || d.Kind == "answer") && strings.HasPrefix(d.Says, "AT"+s.name)
		}) {
			continue
		}
		says := fmt.Sprintf("%s stands at %s; in the good one at %s", s.name, s.value, good.settings[i].value)
		all = append(all, ordered{difference("value", says, []finding.Evidence{s.seen}, []finding.Evidence{good.settings[i].seen}), float64(s.seen.Record), true})
	}
	return all
}

// ordered is a difference with its place in this dialogue.
type ordered struct {
	verdict.Difference
	at     float64 // record; a half for what should stand behind it
	counts bool    // it may be the first divergence in meaning
}

func difference(kind, says string, here, there []finding.Evidence) verdict.Difference {
	d := verdict.Difference{Kind: kind, Says: says, Here: here, There: there}
	if d.Here == nil {
		d.Here = []finding.Evidence{}
	}
	if d.There == nil {
		d.There = []finding.Evidence{}
	}
	return d
}

// common compares the commands that both dialogues have, and tells those that only this one has.
func (t *Tale) common(good *Tale) []ordered {
	var all []ordered
	for _, here := range t.keys {
		there := good.index[here.key]
		if there == nil {
			all = append(all, t.extra(here)...)
			continue
		}
		reaches := here.has(there.last)
		for _, w := range here.ways {
			switch {
			case there.has(w), w == t.ends:
				continue // the same; or the recording ends in it
			case reaches && !w.failed && w.params == there.last.params:
				continue // on the way to what the good one reached too
			}
			best := nearest(w, there)
			if kind, says := w.parts(best); kind != "" {
				all = append(all, ordered{difference(kind, says, w.evidence(), best.evidence()), float64(w.command.Record), true})
			}
		}
		if !reaches && !there.last.failed && slices.IndexFunc(here.ways, func(w *way) bool { return !there.has(w) }) < 0 {
			says := fmt.Sprintf("%s never says %q here; in the good one it comes to that", here.title(), there.last.says())
			all = append(all, ordered{difference("answer", says, here.last.evidence(), there.last.evidence()), float64(here.last.command.Record), true})
		}
	}
	return all
}

func (t *Tale) extra(here *telling) []ordered {
	w := here.ways[0]
	says := fmt.Sprintf("%s is only said here", here.title())
	if w.failed {
		says += ": " + w.says()
	}
	return []ordered{{difference("extra", says, w.evidence(), nil), float64(w.command.Record), w.failed && w != t.ends}}
}

// parts says in what two ways of one command differ; kind is "" when in nothing that counts.
func (w *way) parts(there *way) (kind, says string) {
	title := w.of.title()
	switch {
	case w.outcome != there.outcome:
		return "outcome", fmt.Sprintf("%s ended with %s; in the good one with %s", title, w.outcome, there.outcome)
	case w.meaning != there.meaning:
		return "answer", fmt.Sprintf("%s: %s; in the good one: %s", title, orNothing(w.meaning), orNothing(there.meaning))
	case w.params != there.params:
		return "value", fmt.Sprintf("%s was given %s; in the good one %s", title, w.params, there.params)
	}
	return "", ""
}

// nearest is the way of the good dialogue to compare with: one with the same values, else its last.
func nearest(w *way, there *telling) *way {
	best := there.last
	for _, v := range there.ways {
		if v.params == w.params && (best.params != w.params || !v.failed && best.failed) {
			best = v
		}
	}
	return best
}

// missing tells what the good dialogue has and this one lacks, where it would stand.
func (t *Tale) missing(good *Tale) []ordered {
	var all []ordered
	after := 0.0
	for _, there := range good.keys {
		if here := t.index[there.key]; here != nil {
			after = max(after, float64(here.ways[0].command.Record))
			continue
		}
		says := fmt.Sprintf("%s is not said here; the good one says it", there.title())
		if v := there.last.params; v != "" {
			says = fmt.Sprintf("%s is not said here; the good one says it with %s", there.title(), v)
		}
		counts := there.matters() && !there.last.failed && !t.endsBefore(after)
		all = append(all, ordered{difference("missing", says, nil, there.last.evidence()), after + 0.5, counts})
	}
	return all
}

// endsBefore says that the recording is over at a record: what would come later cannot be missed.
func (t *Tale) endsBefore(record float64) bool {
	for _, k := range t.keys {
		for _, w := range k.ways {
			if float64(w.command.Record) > record {
				return false
			}
		}
	}
	return len(t.keys) > 0
}

func (t *Tale) restarted(good *Tale) []ordered {
	if t.restart == 0 || good.restart > 0 {
		return nil
	}
	says := "the module started anew by itself; in the good one it never did"
	if t.restart > 1 {
		says = fmt.Sprintf("the module started anew %d times by itself; in the good one never", t.restart)
	}
	return []ordered{{difference("restart", says, t.restarts[:1], nil), float64(t.restarts[0].Record), true}}
}

// moved tells commands that stand in another order: those outside the longest row of
// commands that both have in the same order.
func (t *Tale) moved(good *Tale) []ordered {
	var here []*telling
	var there []int
	for _, k := range t.keys {
		if i := slices.IndexFunc(good.keys, func(o *telling) bool { return o.key == k.key }); i >= 0 && k.matters() {
			here, there = append(here, k), append(there, i)
		}
	}
	keeps := longestRising(there)
	var all []ordered
	for i, k := range here {
		if keeps[i] {
			continue
		}
		says := fmt.Sprintf("%s stands at another place than in the good one", k.title())
		for j, other := range here {
			if keeps[j] && (j < i) != (there[j] < there[i]) {
				word := "after"
				if i < j {
					word = "before"
				}
				says = fmt.Sprintf("%s comes %s %s here; the other way round in the good one", k.title(), word, other.title())
				break
			}
		}
		all = append(all, ordered{difference("order", says, k.ways[0].evidence()[:1], good.keys[there[i]].ways[0].evidence()[:1]), float64(k.ways[0].command.Record), true})
	}
	return all
}

// longestRising marks the members of a longest rising subsequence.
func longestRising(v []int) []bool {
	length, before := make([]int, len(v)), make([]int, len(v))
	best := -1
	for i := range v {
		length[i], before[i] = 1, -1
		for j := range i {
			if v[j] < v[i] && length[j]+1 > length[i] {
				length[i], before[i] = length[j]+1, j
			}
		}
		if best < 0 || length[i] > length[best] {
			best = i
		}
	}
	in := make([]bool, len(v))
	for ; best >= 0; best = before[best] {
		in[best] = true
	}
	return in
}

// settingsAgainst compares the settings as they stood at the end.
func (t *Tale) settingsAgainst(good *Tale) []verdict.SettingDifference {
	var all []verdict.SettingDifference
	for _, s := range t.settings {
		i := slices.IndexFunc(good.settings, func(o setting) bool { return o.name == s.name })
		if i >= 0 && good.settings[i].value != s.value {
			all = append(all, verdict.SettingDifference{Name: s.name, Here: s.value, There: good.settings[i].value,
				Evidence: []finding.Evidence{s.seen}})
		}
	}
	for _, s := range good.settings {
		if s.set && !slices.ContainsFunc(t.settings, func(o setting) bool { return o.name == s.name }) {
			all = append(all, verdict.SettingDifference{Name: s.name, There: s.value, Evidence: []finding.Evidence{}})
		}
	}
	return all
}

// A pause is told when it differs by this factor and by this time at least (our estimate).
const (
	pauseTimes = 3
	pauseApart = 100 * time.Millisecond
)

// pauses compares how long the two controllers wait.
func (t *Tale) pauses(good *Tale) []verdict.TimingDifference {
	var all []verdict.TimingDifference
	for _, row := range []struct {
		what        string
		here, there []time.Duration
	}{
		{"from a result to the next command", t.afterResult, good.afterResult},
		{"from the prompt to the text", t.afterPrompt, good.afterPrompt},
		{"from the module's start to the first command", t.afterReady, good.afterReady},
	} {
		here, ok := median(row.here)
		there, ok2 := median(row.there)
		if ok && ok2 && t.pass.TimesKnown() && good.pass.TimesKnown() && apart(here, there) {
			all = append(all, verdict.TimingDifference{What: row.what, HereMS: inMS(here), ThereMS: inMS(there)})
		}
	}
	return all
}

func apart(a, b time.Duration) bool {
	return (a-b).Abs() >= pauseApart && (a >= pauseTimes*b || b >= pauseTimes*a)
}

func inMS(d time.Duration) float64 { return math.Round(d.Seconds()*10_000) / 10 }

// Timings compares how long the modules took, command by command.
func Timings(here, there []verdict.Timing) []verdict.TimingDifference {
	var all []verdict.TimingDifference
	for _, h := range here {
		i := slices.IndexFunc(there, func(o verdict.Timing) bool { return o.Command == h.Command })
		if i < 0 {
			continue
		}
		a, ok := h.MedianMS.Get()
		b, ok2 := there[i].MedianMS.Get()
		if ok && ok2 && apart(time.Duration(a*1e6), time.Duration(b*1e6)) {
			all = append(all, verdict.TimingDifference{What: "the answer to " + h.Command, HereMS: a, ThereMS: b})
		}
	}
	return all
}

// title is a command as a sentence names it.
func (o *telling) title() string { return "AT" + o.key }

// says puts a way into words.
func (w *way) says() string {
	if w.meaning != "" && !w.failed {
		return w.meaning
	}
	return w.outcome
}

func orNothing(s string) string {
	if s == "" {
		return "nothing that counts"
	}
	return s
}

// Sentence sums a comparison up.
func Sentence(c *verdict.Comparison) string {
	if c.First == nil {
		return fmt.Sprintf("In meaning it goes as in %s.", c.Good)
	}
	where := ""
	if len(c.First.Here) > 0 {
		where = fmt.Sprintf(" at record %d", c.First.Here[0].Record)
		if line := c.First.Here[0].SourceLine; line > 0 {
			where = fmt.Sprintf(" at line %d", line)
		}
	}
	return strings.TrimSuffix(fmt.Sprintf("It parts from %s%s: %s", c.Good, where, c.First.Says), ".") + "."
}
