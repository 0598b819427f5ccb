package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"

	"github.com/spf13/cobra"
)

// rulesExplainCommand is the learner's page of a rule: `firstfix rules explain NAME`.
func rulesExplainCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "explain NAME...",
		Short: "teach a rule: the reason, a dialogue before and after, what to change",
		Long: exits("Teach a rule: what should hold and why, a small dialogue in which it does not, with what firstfix says about it,\nanother one in which all is well, and what to change. The dialogues are the ones that prove the rule.",
			exit{statusCannot, "there is no such rule"}),
		Example: "  firstfix rules explain smsprompt",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, names []string) error {
			chosen, err := chooseRules(names)
			if err != nil {
				return err
			}
			if asJSON {
				return writeLessonsJSON(s.Out, chosen)
			}
			for i, r := range chosen {
				if i > 0 {
					fmt.Fprintln(s.Out)
				}
				explainRule(s.Out, r)
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

// sceneRow is one line of a dialogue as a learner sees it.
type sceneRow struct {
	T       string `json:"t,omitempty"` // seconds; "" where times mean nothing, and for what goes on from the row above
	From    string `json:"from"`        // "controller", "module", "unknown", "event"; "" where rows are left out
	Text    string `json:"text"`
	Note    string `json:"note,omitempty"`    // what this line shows
	Finding string `json:"finding,omitempty"` // what the rule says here
}

// scene is a dialogue for a learner.
type scene struct {
	Why  string     `json:"why"`
	Rows []sceneRow `json:"rows"`
}

// Bounds of a scene: more than fits beside its explanation on a screen teaches less.
const (
	sceneRows  = 18
	rowBytes   = 96
	rowsAround = 1 // rows kept on each side of one that shows something
)

// newScene plays a fixture to its rule and keeps the rows that matter.
func newScene(r *rulebook.Rule, text string) (scene, error) {
	talk, err := intake.ParseTalk(strings.NewReader(text))
	if err != nil {
		return scene{}, fmt.Errorf("the dialogue of rule %s: %w", r.Name, err)
	}
	j := rulebook.NewJudge([]*rulebook.Rule{r}, talk.Info, rulebook.Options{})
	for _, record := range talk.Records {
		j.Feed(record)
	}
	j.End()
	found := j.Findings()
	s := scene{Why: strings.Join(strings.Fields(talk.Intro), " ")}
	var matters []bool
	for _, record := range talk.Records {
		rows, matter := recordRows(record, talk.Info.TimesKnown, found)
		for range rows {
			matters = append(matters, matter)
		}
		s.Rows = append(s.Rows, rows...)
	}
	s.Rows = shorten(s.Rows, matters)
	return s, nil
}

// recordRows shows one record, with what was found in it.
func recordRows(r capture.Record, timed bool, found []finding.Finding) (rows []sceneRow, matters bool) {
	row := sceneRow{From: r.From.String()}
	if timed {
		row.T = fmt.Sprintf("%.3f", r.At.Seconds())
	}
	lines := []string{r.Event}
	if r.Event != "" {
		row.From = "event"
	} else {
		lines = readable(r)
	}
	note, noted := "", 0 // the note, and the line it stands beside
	for i, f := range found {
		for k, e := range f.Evidence {
			if e.Record != r.Number {
				continue
			}
			matters = true
			if k == 0 && row.Finding == "" {
				row.Finding = f.Message
			}
			if i == 0 && note == "" {
				note, noted = e.Note, max(0, slices.IndexFunc(lines, func(l string) bool { return e.Text != "" && strings.HasPrefix(l, clipRow(named(e.Text))) }))
			}
		}
	}
	for i, l := range lines {
		next := row
		next.Text = l
		if i > 0 {
			next.T = ""
		}
		if i == noted {
			next.Note = note
		}
		if i < len(lines)-1 {
			next.Finding = ""
		}
		rows = append(rows, next)
	}
	return rows, matters
}

// readable makes lines of bytes: a plain line end is left out, all that is odd is named.
func readable(r capture.Record) []string {
	s := capture.Mask(r.Bytes)
	if r.From == capture.Controller {
		s = strings.TrimSuffix(s, "\r") // as a command should end
		return []string{clipRow(named(s))}
	}
	var lines []string
	for _, l := range strings.FieldsFunc(s, func(c rune) bool { return c == '\r' || c == '\n' }) {
		lines = append(lines, clipRow(named(l)))
	}
	if len(lines) == 0 {
		lines = []string{"(an empty line)"}
	}
	return lines
}

func named(s string) string {
	var b strings.Builder
	for _, c := range []byte(strings.ToValidUTF8(s, "\x00")) {
		switch {
		case c == '\r':
			b.WriteString("<CR>")
		case c == '\n':
			b.WriteString("<LF>")
		case c == 0x1a:
			b.WriteString("<Ctrl-Z>")
		case c == 0x1b:
			b.WriteString("<ESC>")
		case c < ' ' || c == 0x7f:
			fmt.Fprintf(&b, "<%02X>", c)
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

func clipRow(s string) string {
	if len(s) <= rowBytes {
		return s
	}
	cut := rowBytes
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}

// shorten leaves out rows of a long dialogue that show nothing.
func shorten(rows []sceneRow, matters []bool) []sceneRow {
	if len(rows) <= sceneRows {
		return rows
	}
	some := false
	for _, m := range matters {
		some = some || m
	}
	var out []sceneRow
	gap := false
	for i, r := range rows {
		keep := i < 2 || !some && i < sceneRows-1
		for k := max(0, i-rowsAround); k <= min(len(rows)-1, i+rowsAround); k++ {
			keep = keep || matters[k]
		}
		if !keep {
			gap = true
			continue
		}
		if gap {
			out, gap = append(out, sceneRow{Text: "…"}), false
		}
		out = append(out, r)
	}
	if gap {
		out = append(out, sceneRow{Text: "…"})
	}
	return out
}

var sceneMarks = map[string]string{"controller": ">", "module": "<", "unknown": "?", "event": "="}

func (s *scene) write(w io.Writer) {
	for _, r := range s.Rows {
		mark := sceneMarks[r.From]
		if mark == "" {
			mark = " "
		}
		line := fmt.Sprintf("  %10s %s %s", r.T, mark, r.Text)
		if r.Note != "" {
			line += "   (" + r.Note + ")"
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
		if r.Finding != "" {
			fmt.Fprintf(w, "  %10s ^ %s\n", "", r.Finding)
		}
	}
}

// lessonOf makes both scenes of a rule. Its fixtures are part of the program: one
// that cannot be read is our mistake.
func lessonOf(r *rulebook.Rule) (before, after scene) {
	before, err1 := newScene(r, rules.Fires(r))
	after, err2 := newScene(r, rules.Silent(r))
	if err1 != nil || err2 != nil {
		panic(fmt.Sprint("a fixture that the tests have read does not read: ", err1, err2))
	}
	return before, after
}

func explainRule(w io.Writer, r *rulebook.Rule) {
	before, after := lessonOf(r)
	fmt.Fprintf(w, "%s: %s (%s)\n\n%s\n\n", r.Name, r.Title, r.Severity, strings.TrimSpace(r.Doc))
	fmt.Fprintf(w, "Before: %s\n\n", before.Why)
	before.write(w)
	fmt.Fprintf(w, "\nAfter: %s\n\n", after.Why)
	after.write(w)
	fmt.Fprintf(w, "\nDo: %s\n\n", strings.TrimSpace(r.Remedy))
	fmt.Fprintf(w, "Silent on purpose: %s\n\n", strings.TrimSpace(r.Silent))
	fmt.Fprintf(w, "Source: %s\n\n", strings.Join(r.Cites, "; "))
	fmt.Fprintln(w, "> controller  < module  = event  ^ what firstfix says; <CR>, <LF> and <Ctrl-Z> where they matter")
}

func writeLessonsJSON(w io.Writer, list []*rulebook.Rule) error {
	type lesson struct {
		ruleJSON
		Before scene `json:"before"`
		After  scene `json:"after"`
	}
	out := make([]lesson, 0, len(list))
	for _, r := range list {
		before, after := lessonOf(r)
		out = append(out, lesson{newRuleJSON(r), before, after})
	}
	return writeJSON(w, out)
}
