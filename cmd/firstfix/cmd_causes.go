package main

import (
	"fmt"
	"io"
	"strings"

	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/verdict"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"
)

// causesCommand shows what could be the matter: `firstfix causes list`, `show`, `measurements`.
func causesCommand(s *streams) *cobra.Command {
	return group("causes", "show the causes that are weighed, and how",
		"The causes that check and review weigh: what speaks for each, how strongly, and what to\nmeasure. All figures are our estimates; they rank, they do not prove.",
		causesListCommand(s), causesShowCommand(s), causesMeasurementsCommand(s))
}

func causesListCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "list",
		Short: "list every cause, one line each",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if asJSON {
				return writeCausesJSON(s.Out, bringup.Causes)
			}
			for _, c := range bringup.Causes {
				fmt.Fprintf(s.Out, "%-26s %s\n", c.Name, c.Title)
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON (docs/formats/causes.schema.json)")
	return c
}

func causesShowCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "show NAME...",
		Short: "explain a cause: what speaks for it and against it, the remedy, what to measure",
		Long: exits("Explain a cause: what speaks for it and against it, the remedy, and the measurements that\ntell it from its look-alikes.",
			exit{statusCannot, "there is no such cause"}),
		Example: "  firstfix causes show supply-sags",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, names []string) error {
			var chosen []*bringup.Cause
			for _, name := range names {
				c := findCause(name)
				if c == nil {
					return &stop{Status: statusCannot, Err: fmt.Errorf("there is no cause %q", name),
						Hints: nearHints(name, causeNames(), "firstfix causes list names them all")}
				}
				chosen = append(chosen, c)
			}
			if asJSON {
				return writeCausesJSON(s.Out, chosen)
			}
			for i, c := range chosen {
				if i > 0 {
					fmt.Fprintln(s.Out)
				}
				showCause(s.Out, c)
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return causeNames(), cobra.ShellCompDirectiveNoFileComp
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON (docs/formats/causes.schema.json)")
	return c
}

func causesMeasurementsCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "measurements",
		Short: "list what a person can look at or measure, with the answers that --saw takes",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			all := bringup.Measurements()
			if asJSON {
				return writeJSON(s.Out, all)
			}
			for i, m := range all {
				if i > 0 {
					fmt.Fprintln(s.Out)
				}
				showMeasurement(s.Out, &m)
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON (docs/formats/measurements.schema.json)")
	return c
}

func findCause(name string) *bringup.Cause {
	for _, c := range bringup.Causes {
		if c.Name == name {
			return c
		}
	}
	return nil
}

func causeNames() []string {
	var names []string
	for _, c := range bringup.Causes {
		names = append(names, c.Name)
	}
	return names
}

const showWidth = 92

func showCause(w io.Writer, c *bringup.Cause) {
	e := c.Explain()
	fmt.Fprintf(w, "%s: %s\n\n", c.Name, c.Title)
	fmt.Fprintf(w, "Starting weight %.3g, compared with the others (our estimate).\n\n", e.Prior)
	for _, part := range []struct {
		title string
		signs []bringup.SignText
	}{{"Speaks for it when it shows", e.For}, {"Also shows with it", e.Besides}, {"Speaks against it when it shows", e.Against}} {
		if len(part.signs) == 0 {
			continue
		}
		fmt.Fprintf(w, "%s (how often with this cause, how often otherwise):\n", part.title)
		for _, s := range part.signs {
			fmt.Fprintf(w, "  %3.0f %%  %4.1f %%  %s\n", s.With*100, s.Otherwise*100, s.Says)
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "%s\n", ansi.Wordwrap("Remedy: "+c.Remedy, showWidth, ""))
	if len(e.LookAlikes) > 0 {
		fmt.Fprintf(w, "\nLooks alike: %s\n", strings.Join(e.LookAlikes, ", "))
	}
	fmt.Fprintln(w, "\nTo tell it from others:")
	for _, t := range e.Tests {
		fmt.Fprintf(w, "  %s (%d min; %s)\n", t.Name, t.Minutes, t.Tools)
		for i, a := range t.Answers {
			fmt.Fprintf(w, "    %3.0f %%  %-14s %s\n", t.With[i]*100, a.Name, a.Means)
		}
	}
}

func showMeasurement(w io.Writer, m *verdict.Measurement) {
	fmt.Fprintf(w, "%s (%d min; %s)\n", m.Name, m.Minutes, m.Tools)
	fmt.Fprintf(w, "%s\n", indented(m.Do))
	if m.Caution != "" {
		fmt.Fprintf(w, "%s\n", indented("Caution: "+m.Caution))
	}
	for _, a := range m.Answers {
		fmt.Fprintf(w, "    %-14s %s\n", a.Name, a.Means)
	}
	if m.Unit != "" {
		fmt.Fprintf(w, "    or a figure in %s\n", m.Unit)
	}
}

// indented wraps a paragraph and sets it in.
func indented(text string) string {
	out := ""
	for i, line := range strings.Split(ansi.Wordwrap(text, showWidth, ""), "\n") {
		if i > 0 {
			out += "\n"
		}
		out += "  " + line
	}
	return out
}

// causeJSON is docs/formats/causes.schema.json.
type causeJSON struct {
	Name       string     `json:"cause"`
	Title      string     `json:"title"`
	Prior      float64    `json:"prior"`
	For        []signJSON `json:"for"`
	Besides    []signJSON `json:"besides"`
	Against    []signJSON `json:"against"`
	Rules      []string   `json:"rules"`
	LookAlikes []string   `json:"lookAlikes"`
	Remedy     string     `json:"remedy"`
	Tests      []testJSON `json:"measurements"`
}

type signJSON struct {
	Says      string  `json:"says"`
	With      float64 `json:"with"`
	Otherwise float64 `json:"otherwise"`
}

type testJSON struct {
	verdict.Measurement
	With []float64 `json:"with"`
}

func writeCausesJSON(w io.Writer, list []*bringup.Cause) error {
	signs := func(in []bringup.SignText) []signJSON {
		out := []signJSON{}
		for _, s := range in {
			out = append(out, signJSON(s))
		}
		return out
	}
	out := []causeJSON{}
	for _, c := range list {
		e := c.Explain()
		j := causeJSON{Name: c.Name, Title: c.Title, Prior: e.Prior, For: signs(e.For), Besides: signs(e.Besides), Against: signs(e.Against),
			Rules: []string{}, LookAlikes: append([]string{}, e.LookAlikes...), Remedy: c.Remedy, Tests: []testJSON{}}
		for _, r := range c.Rules() {
			j.Rules = append(j.Rules, r.Name)
		}
		for _, t := range e.Tests {
			j.Tests = append(j.Tests, testJSON{t.Measurement, t.With})
		}
		out = append(out, j)
	}
	return writeJSON(w, out)
}
