package main

import (
	"bufio"
	"fmt"
	"os"
	"strconv"
	"strings"

	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/verdict"

	"github.com/spf13/pflag"
)

// observeOptions are the flags by which a person tells what he or she saw; check and
// review share them.
type observeOptions struct {
	saw  []string
	file string
	ask  bool
}

func (o *observeOptions) flags(f *pflag.FlagSet) {
	f.StringArrayVar(&o.saw, "saw", nil, "what you saw or measured, as MEASUREMENT=ANSWER, such as lamp=fast (firstfix causes measurements); may stand more than once")
	f.StringVar(&o.file, "observations", "", "a file with what you saw (docs/formats/observations.md)")
	f.BoolVar(&o.ask, "ask", false, "ask for one measurement after the other, and weigh the causes anew after each answer")
}

// read returns what the flags and the file say.
func (o *observeOptions) read() ([]bringup.Observation, error) {
	var all []bringup.Observation
	if o.file != "" {
		src, err := os.ReadFile(o.file)
		if err != nil {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("read the observations: %w", err)}
		}
		if all, err = bringup.ReadObservations(o.file, src); err != nil {
			return nil, &stop{Status: statusCannot, Err: err, Hints: []string{"docs/formats/observations.md says what such a file may hold"}}
		}
	}
	for _, one := range o.saw {
		name, answer, ok := strings.Cut(one, "=")
		if !ok {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--saw %q: want MEASUREMENT=ANSWER", one),
				Hints: []string{"firstfix causes measurements names them all, with their answers"}}
		}
		saw, err := bringup.Observe(name, answer)
		if err != nil {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("--saw: %w", err),
				Hints: []string{"firstfix causes measurements names them all, with their answers"}}
		}
		all = append(all, saw)
	}
	return all, nil
}

// settled is the probability at which no further question is worth a person's time.
const settled = 0.97

// interview asks for measurements until the causes are settled, no question is left or the
// person has had enough. Questions go to the error stream: standard output is the report's.
func (s *streams) interview(r *bringup.Reviewer, v *verdict.Verdict, saw []bringup.Observation) {
	in := bufio.NewScanner(s.In)
	var skip []string
	for answered := len(saw) > 0; v.Next != nil && (!answered || v.Causes[0].Probability < settled); {
		s.question(v)
		answer, ok := s.answer(in, v.Next)
		switch {
		case !ok:
			return
		case answer == "":
			skip = append(skip, v.Next.Name)
		default:
			o, err := bringup.Observe(v.Next.Name, answer)
			if err != nil {
				fmt.Fprintf(s.Err, "  %v\n", err)
				continue
			}
			saw, answered = append(saw, o), true
		}
		r.Again(v, saw, skip)
	}
}

// question shows where the ranking stands, and what to look at next.
func (s *streams) question(v *verdict.Verdict) {
	fmt.Fprintln(s.Err)
	for i, c := range v.Causes {
		if i < 3 {
			fmt.Fprintf(s.Err, "  %3.0f %%  %s\n", min(c.Probability*100, 99), c.Title)
		}
	}
	fmt.Fprintf(s.Err, "\n%s\n(about %d min; %s)\n", v.Next.Do, max(v.Next.Minutes, 1), v.Next.Tools)
	if v.Next.Caution != "" {
		fmt.Fprintf(s.Err, "Caution: %s\n", v.Next.Caution)
	}
	for i, a := range v.Next.Answers {
		fmt.Fprintf(s.Err, "  %d  %-14s %s\n", i+1, a.Name, a.Means)
	}
	hint := "number or word"
	if v.Next.Unit != "" {
		hint += ", or a figure in " + v.Next.Unit
	}
	fmt.Fprintf(s.Err, "%s; Enter skips it, q ends: ", hint)
}

// answer reads one answer: "" to skip; false to end.
func (s *streams) answer(in *bufio.Scanner, m *verdict.Measurement) (string, bool) {
	if !in.Scan() {
		fmt.Fprintln(s.Err)
		return "", false
	}
	text := strings.TrimSpace(in.Text())
	if text == "q" || text == "quit" {
		return "", false
	}
	if n, err := strconv.Atoi(text); err == nil && m.Unit == "" && n >= 1 && n <= len(m.Answers) {
		return m.Answers[n-1].Name, true
	}
	return text, true
}
