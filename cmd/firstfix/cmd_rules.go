package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules"

	"github.com/spf13/cobra"
)

// rulesCommand shows the rulebook: `firstfix rules list`, `show NAME` and `explain NAME`.
func rulesCommand(s *streams) *cobra.Command {
	return group("rules", "show the rulebook", "The rules that review and check apply, each with its reason and its source.",
		rulesListCommand(s), rulesShowCommand(s), rulesExplainCommand(s))
}

func rulesListCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "list",
		Short: "list every rule, one line each",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if asJSON {
				return writeRulesJSON(s.Out, rules.All)
			}
			for _, r := range rules.All {
				fmt.Fprintf(s.Out, "%-18s %-8s %s\n", r.Name, r.Severity, r.Title)
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return c
}

func rulesShowCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "show NAME...",
		Short:   "show a rule: what should hold, why, and when it stays silent",
		Long:    exits("Show a rule: what should hold, why, what to do, and when it stays silent on purpose.", exit{statusCannot, "there is no such rule"}),
		Example: "  firstfix rules show smsprompt",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, names []string) error {
			chosen, err := chooseRules(names)
			if err != nil {
				return err
			}
			if asJSON {
				return writeRulesJSON(s.Out, chosen)
			}
			for i, r := range chosen {
				if i > 0 {
					fmt.Fprintln(s.Out)
				}
				showRule(s.Out, r)
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return ruleNames(), cobra.ShellCompDirectiveNoFileComp
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return c
}

// chooseRules finds rules by name; an unknown name is an error that names the nearest.
func chooseRules(names []string) ([]*rulebook.Rule, error) {
	var chosen []*rulebook.Rule
	for _, name := range names {
		r := findRule(name)
		if r == nil {
			return nil, &stop{Status: statusCannot, Err: fmt.Errorf("there is no rule %q", name),
				Hints: nearHints(name, ruleNames(), "firstfix rules list names them all")}
		}
		chosen = append(chosen, r)
	}
	return chosen, nil
}

func findRule(name string) *rulebook.Rule {
	for _, r := range rules.All {
		if r.Name == name {
			return r
		}
	}
	return nil
}

func ruleNames() []string {
	var names []string
	for _, r := range rules.All {
		names = append(names, r.Name)
	}
	return names
}

func showRule(w io.Writer, r *rulebook.Rule) {
	fmt.Fprintf(w, "%s: %s (%s)\n\n", r.Name, r.Title, r.Severity)
	fmt.Fprintf(w, "%s\n\n", strings.TrimSpace(r.Doc))
	fmt.Fprintf(w, "Remedy: %s\n\n", strings.TrimSpace(r.Remedy))
	fmt.Fprintf(w, "Silent on purpose: %s\n\n", strings.TrimSpace(r.Silent))
	fmt.Fprintf(w, "Source: %s\n", strings.Join(r.Cites, "; "))
}

// ruleJSON is a rule in docs/formats/rules.schema.json.
type ruleJSON struct {
	Name     string   `json:"rule"`
	Title    string   `json:"title"`
	Severity string   `json:"severity"`
	Doc      string   `json:"doc"`
	Silent   string   `json:"silent"`
	Remedy   string   `json:"remedy"`
	Cites    []string `json:"cites"`
}

func newRuleJSON(r *rulebook.Rule) ruleJSON {
	return ruleJSON{r.Name, r.Title, r.Severity.String(), strings.TrimSpace(r.Doc), strings.TrimSpace(r.Silent), strings.TrimSpace(r.Remedy), r.Cites}
}

func writeRulesJSON(w io.Writer, list []*rulebook.Rule) error {
	out := make([]ruleJSON, 0, len(list))
	for _, r := range list {
		out = append(out, newRuleJSON(r))
	}
	return writeJSON(w, out)
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
