package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
)

const scoreHelp = `
For the developers of firstfix: review what has a known answer, and say how often the
right cause ranked first, what was missed, how often nothing was found wrong where
nothing is, and how far the probabilities can be believed.

Four kinds: (a) every world with a fault, several seeds; (b) pairs of such faults at once;
(c) healthy worlds and a long clean soak; (d) the dialogues of corpus/threads, of which
the test half is never tuned to.`

// scoreOptions are the flags of score.
type scoreOptions struct {
	corpus string
	seeds  int
	hours  int
	misses bool
}

// scoreCommand is for developers and not in the list of commands: `firstfix score`.
func scoreCommand(s *streams) *cobra.Command {
	var o scoreOptions
	c := &cobra.Command{
		Use:    "score",
		Short:  "say how often the right cause ranks first",
		Long:   exits(scoreHelp, exit{statusFound, "an aim was missed"}, exit{statusCannot, "the corpus cannot be read"}),
		Args:   cobra.NoArgs,
		Hidden: true,
		RunE: func(c *cobra.Command, _ []string) error {
			r, err := runScore(c.Context(), o)
			if err != nil {
				return err
			}
			r.write(s.Out, o.misses)
			if !r.reached() {
				return &stop{Status: statusFound}
			}
			return nil
		},
	}
	c.Flags().StringVar(&o.corpus, "corpus", "corpus/threads", "folder with the dialogues and expected.tsv; empty leaves them out")
	c.Flags().IntVar(&o.seeds, "seeds", 5, "seeds for each world")
	c.Flags().IntVar(&o.hours, "hours", 24, "length of the clean soak, in simulated hours")
	c.Flags().BoolVar(&o.misses, "misses", true, "list what was missed in all groups but the test half")
	return c
}

// Aims of the score, from the plan of the rulebook.
const (
	aimWorlds  = 0.95 // (a) the right cause first
	aimThreads = 0.85 // (d), both halves
)

func runScore(ctx context.Context, o scoreOptions) (*score, error) {
	r := &score{}
	if err := r.worlds(ctx, o.seeds); err != nil {
		return nil, err
	}
	if err := r.pairs(ctx); err != nil {
		return nil, err
	}
	if err := r.healthy(ctx, o.seeds, o.hours); err != nil {
		return nil, err
	}
	if o.corpus != "" {
		if err := r.threads(o.corpus); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// reached says whether every aim was reached.
func (r *score) reached() bool {
	_, test := r.share("d test", 1), r.share("d test", 1)
	return r.share("a", 1) >= aimWorlds && (test >= aimThreads || r.count("d test") == 0) && len(r.alarms) == 0
}

// write prints the table.
func (r *score) write(w io.Writer, misses bool) {
	fmt.Fprintf(w, "%-34s %6s %8s %8s\n", "", "cases", "first", "in three")
	for _, g := range []struct{ key, title string }{
		{"a", "(a) worlds with one fault"}, {"b", "(b) two faults, both can be seen"}, {"b hidden", "    two faults, one hides the other"},
		{"d tune", "(d) threads, looked at"}, {"d test", "    threads, never tuned to"},
	} {
		if n := r.count(g.key); n > 0 {
			fmt.Fprintf(w, "%-34s %6d %7.1f%% %7.1f%%\n", g.title, n, 100*r.share(g.key, 1), 100*r.share(g.key, 3))
		}
	}
	fmt.Fprintf(w, "%-34s %6d  false alarms: %d\n", "(c) healthy worlds and soak", r.clean, len(r.alarms))
	for _, a := range r.alarms {
		fmt.Fprintf(w, "    %s\n", a)
	}
	fmt.Fprintln(w, "\n(b): first means that a planted cause leads, in three that both are among the first three;\nwhere one hides the other, that the one that can be seen is among the first three.")
	r.writeReliability(w)
	if !misses {
		return
	}
	fmt.Fprintln(w, "\nMissed:")
	for _, c := range r.cases {
		if c.rank == 1 && c.inThree || c.group == "d test" {
			continue
		}
		fmt.Fprintf(w, "  %-9s %-44s want %v, got %s\n", c.group, c.name, c.want, c.got)
	}
}

// writeReliability prints how often the leading cause was right, by the probability it was given.
func (r *score) writeReliability(w io.Writer) {
	fmt.Fprintln(w, "\nHow far the leading cause's probability can be believed (a, b, d):")
	fmt.Fprintf(w, "  %-12s %6s %10s %8s\n", "said", "cases", "mean said", "right")
	for i, from := range reliabilityFrom {
		to := 1.01
		if i+1 < len(reliabilityFrom) {
			to = reliabilityFrom[i+1]
		}
		n, right, sum := 0, 0, 0.0
		for _, c := range r.cases {
			if c.group == "b hidden" || c.said < from || c.said >= to {
				continue
			}
			n++
			sum += c.said
			if c.rank == 1 {
				right++
			}
		}
		if n > 0 {
			fmt.Fprintf(w, "  %3.0f to %3.0f %% %6d %9.1f%% %7.1f%%\n", from*100, min(to, 1)*100, n, 100*sum/float64(n), 100*float64(right)/float64(n))
		}
	}
}

// reliabilityFrom are the lower borders of the table's rows.
var reliabilityFrom = []float64{0, 0.25, 0.5, 0.75, 0.9, 0.97}
