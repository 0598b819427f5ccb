package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"firstfix/internal/edge/pump"
	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/sheet"
)

// score is what the developers' command counts.
type score struct {
	cases  []scored
	clean  int      // cases in which nothing is wrong
	alarms []string // and what was said all the same
}

// scored is one case with a known answer.
type scored struct {
	group   string
	name    string
	want    []string
	rank    int // of the first wanted cause that is listed, from 1; 0 for none
	inThree bool
	said    float64 // probability of the leading cause
	got     string
}

// add compares a verdict with what was planted: one cause that must lead, or two that
// must both be among the first three.
func (r *score) add(group, name string, want []string, v *verdict.Verdict) {
	c := scored{group: group, name: name, want: want}
	var got []string
	both := 0
	for i, cause := range v.Causes {
		if i == 0 {
			c.said = cause.Probability
		}
		if i < 4 {
			got = append(got, fmt.Sprintf("%s %.2f", cause.Name, cause.Probability))
		}
		if slices.Contains(want, cause.Name) {
			if c.rank == 0 {
				c.rank = i + 1
			}
			if i < 3 {
				both++
			}
		}
	}
	c.inThree = both == len(want) || group == "b hidden" && both > 0
	c.got = strings.Join(got, ", ")
	if c.got == "" {
		c.got = "nothing: " + v.Headline
	}
	r.cases = append(r.cases, c)
}

func (r *score) count(group string) (n int) {
	for _, c := range r.cases {
		if c.group == group {
			n++
		}
	}
	return n
}

// share is the share of a group's cases whose wanted cause leads (1), or that have all
// wanted ones among the first three (3).
func (r *score) share(group string, within int) float64 {
	n, good := 0, 0
	for _, c := range r.cases {
		if c.group != group {
			continue
		}
		n++
		if within == 1 && c.rank == 1 || within == 3 && c.inThree {
			good++
		}
	}
	if n == 0 {
		return 0
	}
	return float64(good) / float64(n)
}

// walkWorld lets check walk a world.
func walkWorld(ctx context.Context, w *world.World, seed uint64) (*verdict.Verdict, error) {
	demo, _ := sheet.Builtin("demo")
	const baud = 9600
	walk := bringup.WalkOptions{Sheet: demo, Baud: baud, Free: true}
	m, wire := standIn(w, seed, baud)
	info := capture.Info{Kind: "check", Baud: baud, TimesKnown: true, DirectionsKnown: true}
	j := newWalkJudge(walk, info, bringup.Options{Input: w.Name, Simulated: true}, func(capture.Info, capture.Record) error { return nil })
	if _, err := pump.Simulate(ctx, pump.Limits{Until: when.Instant(bringup.MaxWalk)}, j.walker, m, wire, j.tap); err != nil {
		return nil, err
	}
	return j.end()
}

// seedApart keeps the seeds of two runs of one world apart.
const seedApart = 1000

func (r *score) worlds(ctx context.Context, seeds int) error {
	for _, w := range scoredWorlds() {
		for seed := range seeds {
			v, err := walkWorld(ctx, w, w.Seed+uint64(seed)*seedApart)
			if err != nil {
				return err
			}
			r.add("a", fmt.Sprintf("%s, seed %d", w.Name, seed), []string{w.Truth}, v)
		}
	}
	return nil
}

// linkOfTruth says at which link a planted fault shows.
var linkOfTruth = map[string]string{
	"supply-sags": bringup.Supply, "wrong-speed": bringup.Line,
	"no-card": bringup.Card, "pin-wanted": bringup.Card, "card-contact": bringup.Card,
	"weak-signal": bringup.Network, "never-registers": bringup.Network, "registration-denied": bringup.Network, "registration-flaps": bringup.Network,
	"no-service-centre": bringup.Messages, "blank-text-parameters": bringup.Messages, "store-full": bringup.Messages,
	"antennas-swapped": bringup.Sky, "no-sky": bringup.Sky, "engine-off": bringup.Sky,
	"supply-wrong": bringup.Supply, "level-mismatch": bringup.Line, "module-hangs": bringup.Module, "locked-device": bringup.Card, "radio-off": bringup.Network,
	"subscription-inactive": bringup.Messages, "data-only": bringup.Messages, "network-trouble": bringup.Messages, "gnss-antenna-missing": bringup.Sky,
}

// notTold are worlds whose planted fault the walk of check does not tell from another
// yet: a voltage that sinks slowly from one that gives way, a contract that has ended from a network
// that refuses, a contract without texts from a card for data, a module that goes off by itself from one
// whose key is pressed, a search that is forbidden from one that finds nothing, a network that is switched
// off from an antenna that is missing.
var notTold = []string{"supply-drift", "supply-high", "subscription-ended", "no-texts", "deregistered", "network-switched-off"}

// scoredWorlds are the worlds with a fault whose link is known here. The others plant what
// check has no cause for yet, or what its walk does not ask for (worlds_beyond_test.go).
func scoredWorlds() (worlds []*world.World) {
	for _, e := range world.Builtin() {
		if w := e.World(); linkOfTruth[w.Truth] != "" && !slices.Contains(notTold, w.Name) {
			worlds = append(worlds, w)
		}
	}
	return worlds
}

// hides says that one of two faults keeps the other from being seen: they are at one
// link, or the one's link is needed before the other's is tried. A wrong speed hides nothing.
func hides(a, b *world.World) bool {
	x, y := linkOfTruth[a.Truth], linkOfTruth[b.Truth]
	if a.Truth == "wrong-speed" || b.Truth == "wrong-speed" {
		return a.Truth == b.Truth
	}
	return x == y || needsLink(x, y) || needsLink(y, x)
}

// needsLink says that a link is not tried before another holds.
func needsLink(link, other string) bool {
	for _, c := range bringup.Checks {
		if c.Link != link {
			continue
		}
		for _, n := range c.Needs {
			if n == other || needsLink(n, other) {
				return true
			}
		}
	}
	return false
}

// pairs plants two faults at once. Worlds of one truth are told apart by name only, so
// each truth is taken once.
func (r *score) pairs(ctx context.Context) error {
	var worlds []*world.World
	for _, w := range scoredWorlds() {
		if !slices.ContainsFunc(worlds, func(o *world.World) bool { return o.Truth == w.Truth }) {
			worlds = append(worlds, w)
		}
	}
	for i, a := range worlds {
		for _, b := range worlds[:i] {
			both := *b
			both.Name = b.Name + " + " + a.Name
			both.Faults = append(slices.Clone(b.Faults), a.Faults...)
			v, err := walkWorld(ctx, &both, a.Seed+b.Seed)
			if err != nil {
				return err
			}
			group := "b"
			if hides(a, b) {
				group = "b hidden"
			}
			r.add(group, both.Name, []string{b.Truth, a.Truth}, v)
		}
	}
	return nil
}

// healthy walks the worlds in which nothing is wrong, and lets good firmware run in them
// for hours.
func (r *score) healthy(ctx context.Context, seeds, hours int) error {
	for _, e := range world.Builtin() {
		w := e.World()
		if w.Truth != "none" {
			continue
		}
		for seed := range seeds {
			v, err := walkWorld(ctx, w, w.Seed+uint64(seed)*seedApart)
			if err != nil {
				return err
			}
			r.quiet(fmt.Sprintf("%s, seed %d", w.Name, seed), v)
		}
		if hours > 0 {
			v, err := soakWorld(ctx, w, hours)
			if err != nil {
				return err
			}
			r.quiet(fmt.Sprintf("%s, %d hours", w.Name, hours), v)
		}
	}
	return nil
}

// quiet notes whatever is said where nothing is wrong.
func (r *score) quiet(name string, v *verdict.Verdict) {
	r.clean++
	for _, f := range v.Findings {
		if f.Severity >= finding.Warning {
			r.alarms = append(r.alarms, fmt.Sprintf("%s: %s: %s", name, f.Rule, f.Message))
		}
	}
	for _, l := range v.Chain {
		if l.State == verdict.Broken || l.State == verdict.Weak {
			r.alarms = append(r.alarms, fmt.Sprintf("%s: %s is %s: %s", name, l.Name, l.State, l.Says))
		}
	}
	if len(v.Causes) > 0 {
		r.alarms = append(r.alarms, fmt.Sprintf("%s: the cause %s", name, v.Causes[0].Name))
	}
}

// threads reviews the dialogues that people might paste.
func (r *score) threads(folder string) error {
	list, err := os.ReadFile(filepath.Join(folder, "expected.tsv"))
	if err != nil {
		return &stop{Status: statusCannot, Err: fmt.Errorf("read the corpus: %w", err), Hints: []string{"run it at the top of the repository, or name the folder with --corpus"}}
	}
	for _, line := range strings.Split(strings.TrimSpace(string(list)), "\n") {
		cols := strings.Split(line, "\t")
		if len(cols) != 4 {
			return &stop{Status: statusCannot, Err: fmt.Errorf("%s/expected.tsv: %q: want file, half, cause and kind, parted by tabs", folder, line)}
		}
		v, err := reviewThread(filepath.Join(folder, cols[0]))
		if err != nil {
			return err
		}
		r.add("d "+cols[1], cols[0], []string{cols[2]}, v)
	}
	return nil
}

func reviewThread(name string) (*verdict.Verdict, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: err}
	}
	defer f.Close()
	src, err := intake.Open(f, name, intake.Options{})
	if err != nil {
		return &verdict.Verdict{Headline: err.Error()}, nil // what cannot be read has no verdict, and counts as missed
	}
	return bringup.Review(src, bringup.Options{Rules: rules.All, Input: name})
}

// soaker is firmware that does it right: it wakes the module, waits for the network, and
// then reports and tidies the store, again and again, with pauses.
type soaker struct {
	*procedure.Machine
	next  int
	until when.Instant
	rest  when.Instant // a pause ends
	over  bool
	sheet *sheet.Sheet
}

// soakRounds are the procedures of a soak, from the library: the first two once.
var soakRounds = []string{"wake", "card-and-network", "report-loop", "store-housekeeping"}

// soakPause lies between two rounds: a tracker that reports three times an hour.
const soakPause = 50 * 60 * when.Second

func newSoaker(until when.Instant) *soaker {
	s := &soaker{until: until}
	s.sheet, _ = sheet.Builtin("demo")
	s.begin()
	return s
}

func (s *soaker) begin() {
	p, ok := procedure.Ready(soakRounds[s.next])
	if !ok {
		panic("score: there is no procedure " + soakRounds[s.next])
	}
	m, err := procedure.New(p, procedure.Options{Sheet: s.sheet, Free: true, Values: map[string]string{"number": "+447700900123", "label": "trailer 07"}})
	if err != nil {
		panic(err)
	}
	s.Machine = m
}

// Feed and Tick pass on to the procedure under way, and begin the next when it is over.
func (s *soaker) Feed(now when.Instant, b []byte, out []byte) []byte {
	if now < s.rest {
		return out
	}
	return s.goOn(now, s.Machine.Feed(now, b, out))
}

func (s *soaker) Tick(now when.Instant, out []byte) []byte {
	if now < s.rest {
		return out
	}
	return s.goOn(now, s.Machine.Tick(now, out))
}

func (s *soaker) goOn(now when.Instant, out []byte) []byte {
	for s.Machine.Done() && !s.over {
		if now >= s.until {
			s.over = true
			break
		}
		if s.next++; s.next == len(soakRounds) {
			s.next = 2
			s.rest = now + soakPause
		}
		s.begin()
		if s.rest > now {
			break
		}
		out = s.Machine.Tick(now, out)
	}
	return out
}

func (s *soaker) Deadline() (at when.Instant, why string) {
	at, why = s.Machine.Deadline()
	if at < s.rest {
		return s.rest, "the pause between two rounds is over"
	}
	return at, why
}

func (s *soaker) Done() bool { return s.over }

// soakWorld lets good firmware run in a world, and reviews what passed the line.
func soakWorld(ctx context.Context, w *world.World, hours int) (*verdict.Verdict, error) {
	const baud = 9600
	until := when.Instant(hours) * 3600 * when.Second
	m, wire := standIn(w, w.Seed, baud)
	info := capture.Info{Kind: "check", Baud: baud, TimesKnown: true, DirectionsKnown: true}
	demo, _ := sheet.Builtin("demo")
	r := bringup.NewReviewer(info, nil, bringup.Options{Rules: rules.All, Sheet: demo, Input: w.Name, Simulated: true})
	count := 0
	tap := func(from pump.Side, at when.Instant, bytes []byte, event string) {
		count++
		r.Feed(capture.Record{Number: count, At: at, From: from, Bytes: string(bytes), Event: event})
	}
	if _, err := pump.Simulate(ctx, pump.Limits{Until: until + 2*3600*when.Second}, newSoaker(until), m, wire, tap); err != nil {
		return nil, err
	}
	return r.End(info), nil
}
