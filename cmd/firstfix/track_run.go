package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"firstfix/internal/earth/track"
	"firstfix/internal/earth/trackmap"
	"firstfix/internal/positions"
	"firstfix/internal/talk/intake"
)

// trackRun is one run: sightings go through a sieve and a pacer, and from there to all that
// counts, watches, draws and writes.
type trackRun struct {
	o       trackOptions
	s       *streams
	title   string
	opening positions.Options
	zone    *time.Location
	rounds  int

	sieve   *track.Sieve
	pacer   *track.Pacer
	meter   *track.Meter
	guard   *track.Guard
	simple  *track.Simplifier
	clocks  track.ClockWatch
	picture *trackmap.Map // nil: none is wanted
	fenced  []track.Fence
	writers []*trackOutput
	apart   *trackOutput
	toPage  bool // the figures go to standard output: nothing else does

	out, thin []track.Judged
	last      track.Moment
	inputs    []track.About
	figures   *track.Figures
	fences    []track.FenceFigures
	clock     []track.Proposal
	stopped   bool
}

func newTrackRun(s *streams, o trackOptions, files []string) (*trackRun, error) {
	r := &trackRun{o: o, s: s, title: o.title, toPage: true}
	if o.svg != "" || o.report != "" {
		r.picture = trackmap.New()
	}
	if r.title == "" {
		if r.title = filepath.Base(files[0]); len(files) > 1 {
			r.title += fmt.Sprintf(" and %d more", len(files)-1)
		}
		if files[0] == "-" {
			r.title = "track"
		}
	}
	limits, err := o.limits()
	if err != nil {
		return nil, err
	}
	if r.rounds, err = o.rounds(); err != nil {
		return nil, err
	}
	if r.zone, err = loadZone("zone", o.zone); err != nil {
		return nil, err
	}
	if r.opening.Zone, err = loadZone("input-zone", o.inputZone); err != nil {
		return nil, err
	}
	if o.kind != "" && !slices.Contains(positions.Kinds, o.kind) {
		return nil, cannot(fmt.Errorf("--kind %q is no kind of file", o.kind), nearHints(o.kind, positions.Kinds, "kinds are "+strings.Join(positions.Kinds, ", "))...)
	}
	r.opening.Kind = o.kind
	if o.sheet != "" {
		if r.opening.Sheet, err = chooseSheet(o.sheet, false); err != nil {
			return nil, err
		}
	}
	if r.clocks.Heard, err = o.heardDay(); err != nil {
		return nil, err
	}
	if r.fenced, err = o.readFences(); err != nil {
		return nil, err
	}
	if r.guard, err = track.NewGuard(r.fenced, track.Hysteresis{MarginM: o.marginM, Count: o.count}); err != nil {
		return nil, cannot(err)
	}
	if o.simplifyM != 0 {
		if r.simple, err = track.NewSimplifier(o.simplifyM); err != nil {
			return nil, cannot(err)
		}
	}
	r.sieve, r.pacer = track.NewSieve(limits), track.NewPacer(o.gap)
	r.meter = track.NewMeter(track.Scale{StopRadiusM: o.stopM, StopLeast: o.stop})
	return r, r.openFiles()
}

// read takes all sightings of all files.
func (r *trackRun) read(ctx context.Context, files []string) error {
	// A stream leaves much behind it and holds little: with a heap four times as roomy (some
	// 30 MB) a fifth of the time is saved.
	defer debug.SetGCPercent(debug.SetGCPercent(roomyHeap))
	var all []track.Sighting
	progress := newProgress(r.s)
	defer progress.end()
	for _, name := range files {
		err := r.readFile(ctx, name, progress, func(s *track.Sighting) error {
			s.AddRounds(r.rounds)
			if !r.o.sort {
				return r.add(s)
			}
			if len(all) >= maxSorted {
				return cannot(fmt.Errorf("--sort holds at most %d sightings", maxSorted), "cut the file, or leave out --sort")
			}
			all = append(all, *s)
			return nil
		})
		if err != nil {
			if r.o.sort {
				err = errors.Join(err, r.addSorted(all))
			}
			return err
		}
		if r.stopped {
			break
		}
	}
	return r.addSorted(all)
}

const roomyHeap = 400

// maxSorted bounds what --sort holds: a gigabyte.
const maxSorted = 2_000_000

func (r *trackRun) addSorted(all []track.Sighting) error {
	slices.SortStableFunc(all, func(a, b track.Sighting) int {
		x, ok1 := a.UTC.Get()
		y, ok2 := b.UTC.Get()
		if !ok1 || !ok2 {
			return 0
		}
		return x.Compare(y)
	})
	for i := range all {
		if err := r.add(&all[i]); err != nil {
			return err
		}
	}
	return nil
}

func (r *trackRun) readFile(ctx context.Context, name string, progress *progress, take func(*track.Sighting) error) error {
	var in io.Reader = r.s.In
	if name != "-" {
		f, err := openFile(name)
		if err != nil {
			return cannot(err)
		}
		defer f.Close()
		in = f
	} else {
		name = "standard input"
	}
	src, err := positions.Open(progress.count(in), filepath.Base(name), r.opening)
	if err != nil {
		var unreadable *intake.Unreadable
		if errors.As(err, &unreadable) {
			return cannot(err, hintsOf(unreadable.Hint)...)
		}
		return cannot(err)
	}
	var s track.Sighting
	for n := 0; err == nil; n++ {
		if err = src.Next(&s); err != nil {
			break
		}
		if err = take(&s); err != nil {
			return err
		}
		if n%4096 == 0 {
			progress.show()
			if ctx.Err() != nil {
				r.stopped = true
				break
			}
		}
	}
	r.inputs = append(r.inputs, src.About())
	if err != nil && err != io.EOF {
		return cannot(err)
	}
	return nil
}

// add sends one sighting through.
func (r *trackRun) add(s *track.Sighting) error {
	before := r.sieve.Rounds()
	r.out = r.sieve.Add(s, r.out[:0])
	if n := r.sieve.Rounds() - before; n != 0 {
		r.clocks.Changed(n, s.From)
	}
	return r.pass(r.pacer.Add(r.out))
}

func (r *trackRun) pass(list []track.Judged) error {
	for i := range list {
		j := &list[i]
		r.meter.Add(j)
		r.clocks.Add(j)
		r.guard.Add(j, nil)
		if r.picture != nil {
			r.picture.Add(j)
		}
		if !j.Kept() {
			if r.apart != nil {
				if err := r.apart.write(j); err != nil {
					return err
				}
			}
			continue
		}
		if j.Moment.Known {
			r.last = j.Moment
		}
		if len(r.writers) == 0 {
			continue
		}
		if r.simple == nil {
			if err := r.write(j); err != nil {
				return err
			}
			continue
		}
		r.thin = r.simple.Add(j, r.thin[:0])
		if err := r.writeAll(r.thin); err != nil {
			return err
		}
	}
	return nil
}

func (r *trackRun) writeAll(list []track.Judged) error {
	for i := range list {
		if err := r.write(&list[i]); err != nil {
			return err
		}
	}
	return nil
}

func (r *trackRun) write(j *track.Judged) error {
	for _, t := range r.writers {
		if err := t.write(j); err != nil {
			return err
		}
	}
	return nil
}

// finish ends all machines and files.
func (r *trackRun) finish() error {
	if err := r.pass(r.pacer.Add(r.sieve.End(r.out[:0]))); err != nil {
		return err
	}
	if err := r.pass(r.pacer.End()); err != nil {
		return err
	}
	if r.simple != nil {
		if err := r.writeAll(r.simple.End(r.thin[:0])); err != nil {
			return err
		}
	}
	r.figures = r.meter.End()
	r.figures.Every.LimitS = r.pacer.LimitS()
	r.fences = r.guard.End(r.last)
	r.clock = r.clocks.Proposals()
	for _, t := range append(r.writers[:len(r.writers):len(r.writers)], r.apart) {
		if t == nil {
			continue
		}
		if err := t.w.Close(); err != nil {
			return cannot(fmt.Errorf("write %s: %w", t.name, err))
		}
		if err := t.done(); err != nil {
			return cannot(fmt.Errorf("write %s: %w", t.name, err))
		}
	}
	return nil
}
