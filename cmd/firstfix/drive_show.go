package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/script/procedure"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// driveJSON is docs/formats/drive.schema.json.
type driveJSON struct {
	Version   int             `json:"version"`
	Procedure string          `json:"procedure"`
	Title     string          `json:"title,omitempty"`
	Line      string          `json:"line"`
	Simulated bool            `json:"simulated"`
	Satisfied bool            `json:"satisfied"`
	Outcome   string          `json:"outcome"`
	Why       string          `json:"why,omitempty"`
	TookS     float64         `json:"took_s"`
	Spent     int             `json:"spent"`
	Steps     []driveStepJSON `json:"steps"`
}

type driveStepJSON struct {
	Step     string            `json:"step"`
	Sent     string            `json:"sent,omitempty"`
	Outcome  string            `json:"outcome"`
	Why      string            `json:"why,omitempty"`
	Tries    int               `json:"tries"`
	BeganS   float64           `json:"began_s"`
	TookMS   float64           `json:"took_ms"`
	Answer   []string          `json:"answer"`
	Captured map[string]string `json:"captured,omitempty"`
}

// driveTeller tells the person how a run goes: as text while it goes on, as
// JSON at its end.
type driveTeller struct {
	out     io.Writer
	options driveOptions
	hide    hider
	count   int // steps told
	report  driveJSON
}

// maxAnswerLines is how many lines of one answer are shown; a list of all
// commands has hundreds.
const maxAnswerLines = 12

func newDriveTeller(s *streams, p *procedure.Procedure, o driveOptions) *driveTeller {
	return &driveTeller{out: s.Out, options: o, hide: hider{privacy: capture.NewPrivacy()},
		report: driveJSON{Version: 1, Procedure: p.Name, Title: p.Title, Steps: []driveStepJSON{}}}
}

func (t *driveTeller) begin(where string, simulated bool) {
	t.report.Line, t.report.Simulated = where, simulated
	note := ""
	if simulated {
		note = "   (simulated: no hardware was involved)"
	}
	t.printf("drive of %s on %s%s\n%s\n\n", t.report.Procedure, where, note, t.report.Title)
}

// printf writes text unless JSON is wanted.
func (t *driveTeller) printf(format string, args ...any) {
	if !t.options.json {
		fmt.Fprintf(t.out, format, args...)
	}
}

// step tells how a step went.
func (t *driveTeller) step(r procedure.Result) {
	j := driveStepJSON{Step: r.Step, Sent: r.Sent, Outcome: string(r.Outcome), Why: r.Why, Tries: r.Tries,
		BeganS: millis(r.BeganAt.Seconds()), TookMS: millis(r.TookMS()), Answer: t.answer(r.Info), Captured: t.values(r.Captured)}
	t.report.Steps = append(t.report.Steps, j)
	sent := j.Sent
	if sent == "" {
		sent = "–"
	}
	again := ""
	if r.Tries > 1 {
		again = fmt.Sprintf("   try %d", r.Tries)
	}
	t.printf("%9.3f s  %-24s %-24s %-10s %10.0f ms%s\n", j.BeganS, j.Step, sent, j.Outcome, j.TookMS, again)
	for i, l := range j.Answer {
		if i == maxAnswerLines {
			t.printf("%13s< … and %d more\n", "", len(j.Answer)-i)
			break
		}
		t.printf("%13s< %s\n", "", l)
	}
	if j.Why != "" {
		t.printf("%13s%s\n", "", j.Why)
	}
}

// answer returns the lines of an answer, fit to be shared. The line behind a
// header of a text is what somebody wrote.
func (t *driveTeller) answer(info []string) []string {
	shown := make([]string, len(info))
	body := false
	for i, l := range info {
		switch {
		case t.options.showPrivate:
			shown[i] = l
		case body:
			shown[i] = t.hide.body(l)
		default:
			shown[i] = t.hide.privacy.Hide(l)
		}
		a, ok := at.ParseAnswer(l)
		body = !body && ok && at.HasBody(a) || body && (!ok || !at.HasBody(a))
	}
	return shown
}

func (t *driveTeller) values(captured map[string]string) map[string]string {
	if t.options.showPrivate || captured == nil {
		return captured
	}
	shown := map[string]string{}
	for name, v := range captured {
		shown[name] = t.hide.privacy.Hide(v)
	}
	return shown
}

// end tells how the run ended.
func (t *driveTeller) end(m *procedure.Machine, now when.Instant, err error) {
	t.report.Satisfied, t.report.Outcome, t.report.Spent, t.report.TookS = err == nil && m.Satisfied(), string(m.Outcome()), m.Spent(), millis(now.Seconds())
	if log := m.Log(); len(log) > 0 {
		t.report.Why = log[len(log)-1].Why
	}
	words := "it ended as it wanted"
	switch {
	case err != nil:
		t.report.Outcome, t.report.Why = string(procedure.Stopped), err.Error()
		words = "it was cut short"
	case !t.report.Satisfied && m.Outcome() == procedure.OK:
		words = "it gave up"
	case !t.report.Satisfied:
		words = "it gave up: " + t.report.Outcome
		if t.report.Why != "" {
			words += ", " + t.report.Why
		}
	}
	t.printf("\n%s, after %.1f s; %s left\n", words, t.report.TookS, texts(m.Spent()))
	if t.options.json {
		writeIndented(t.out, t.report)
	}
}

func texts(n int) string {
	switch n {
	case 0:
		return "no text, call or session"
	case 1:
		return "1 text, call or session"
	}
	return strconv.Itoa(n) + " texts, calls or sessions"
}

// millis rounds to three decimals: a timing has no more to say.
func millis(v float64) float64 {
	f, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'f', 3, 64), 64)
	return f
}

func writeIndented(out io.Writer, v any) {
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	_ = e.Encode(v) // text and numbers always fit; a closed pipe is nobody's error
}

// listProcedures prints the ready procedures.
func listProcedures(s *streams, asJSON bool) error {
	type entry struct {
		Procedure string `json:"procedure"`
		Title     string `json:"title"`
		Texts     int    `json:"texts"`
		Steps     int    `json:"steps"`
	}
	var list []entry
	for _, name := range procedure.Library() {
		p, _ := procedure.Ready(name)
		list = append(list, entry{name, p.Title, p.Budget.Texts, len(p.Steps)})
	}
	if asJSON {
		writeIndented(s.Out, map[string]any{"version": 1, "procedures": list})
		return nil
	}
	for _, e := range list {
		cost := ""
		if e.Texts > 0 {
			cost = fmt.Sprintf("   (--spend %d)", e.Texts)
		}
		fmt.Fprintf(s.Out, "%-26s %s%s\n", e.Procedure, e.Title, cost)
	}
	fmt.Fprintln(s.Out, "\nfirstfix drive NAME --show prints one as a file to start your own from")
	return nil
}

// planJSON is the dry run of docs/formats/drive.schema.json.
type planJSON struct {
	Version   int            `json:"version"`
	Procedure string         `json:"procedure"`
	DryRun    bool           `json:"dry_run"`
	Refused   int            `json:"refused"`
	Steps     []planStepJSON `json:"steps"`
}

type planStepJSON struct {
	Step    string  `json:"step"`
	Sends   string  `json:"sends,omitempty"`
	Text    string  `json:"text,omitempty"`
	WaitS   float64 `json:"wait_s"`
	Tries   int     `json:"tries"`
	Wants   string  `json:"wants,omitempty"`
	Then    string  `json:"then,omitempty"`
	Costs   int     `json:"costs"`
	Refused string  `json:"refused,omitempty"`
}

// showPlan is the dry run: the dialogue as it would be held, nothing sent.
func showPlan(s *streams, p *procedure.Procedure, o procedure.Options, flags driveOptions) error {
	plan, err := procedure.Preview(p, o)
	if err != nil {
		return &stop{Status: statusCannot, Err: err}
	}
	j := planJSON{Version: 1, Procedure: p.Name, DryRun: true, Steps: []planStepJSON{}}
	hide := capture.NewPrivacy()
	for i, step := range plan {
		file := &p.Steps[i]
		e := planStepJSON{Step: step.Step, Sends: step.Sends, Text: step.Text, WaitS: millis(step.Wait.Seconds()),
			Tries: max(file.Tries, 1), Wants: wants(file), Then: branchesOf(file.On), Costs: step.Costs, Refused: step.Refused}
		if !flags.showPrivate {
			e.Sends, e.Text = hide.Hide(e.Sends), hide.Hide(e.Text)
		}
		if e.Refused != "" {
			j.Refused++
		}
		j.Steps = append(j.Steps, e)
	}
	if flags.json {
		writeIndented(s.Out, j)
		return nil
	}
	fmt.Fprintf(s.Out, "%s: %s\nnothing was sent; this is what would be said\n\n", p.Name, p.Title)
	for i, e := range j.Steps {
		printPlanned(s.Out, e, &p.Steps[i])
	}
	if j.Refused > 0 {
		fmt.Fprintf(s.Out, "\n%d of %d steps would be refused as things stand\n", j.Refused, len(j.Steps))
	}
	return nil
}

func printPlanned(out io.Writer, e planStepJSON, file *procedure.Step) {
	fmt.Fprintf(out, "%s\n", e.Step)
	switch file.Escape {
	case procedure.EscapeText:
		fmt.Fprintln(out, "    > ESC CR")
	case procedure.EscapeData:
		fmt.Fprintln(out, "    > (silence) +++ (silence)")
	}
	if e.Sends != "" {
		fmt.Fprintf(out, "    > %s   (waits %s; tries %d)\n", e.Sends, seconds(e.WaitS), e.Tries)
	}
	if e.Text != "" {
		fmt.Fprintf(out, "    < \"> \"\n    > %s Ctrl-Z\n", e.Text)
	}
	if file.Cancel {
		fmt.Fprint(out, "    < \"> \"\n    > ESC\n")
	}
	if e.Wants != "" {
		fmt.Fprintf(out, "    < %s\n", e.Wants)
	}
	if file.PauseMS > 0 {
		fmt.Fprintf(out, "    pauses %s\n", seconds(float64(file.PauseMS)/1000))
	}
	if e.Then != "" {
		fmt.Fprintf(out, "    then: %s\n", e.Then)
	}
	if e.Refused != "" {
		fmt.Fprintf(out, "    refused: %s\n", e.Refused)
	}
}

func seconds(s float64) string { return (time.Duration(s*1000) * time.Millisecond).String() }

// wants says in words what a step waits for beyond its final result.
func wants(s *procedure.Step) string {
	var w []string
	if s.Send != "" || s.Duty != "" {
		w = append(w, "OK")
	}
	if u := s.Until; u != nil && u.Fix {
		w = append(w, "a valid position")
	} else if u != nil {
		w = append(w, fmt.Sprintf("%s value %d is %s", u.Answer, u.Param, strings.Join(u.OneOf, " or ")))
	}
	if a := s.Await; a != nil {
		switch {
		case a.Line != "":
			w = append(w, "unasked "+a.Line)
		case a.Sentence != "":
			w = append(w, "a sentence "+a.Sentence)
		default:
			w = append(w, fmt.Sprintf("silence for %d ms", a.QuietMS))
		}
	}
	return strings.Join(w, ", and ")
}

func branchesOf(on procedure.On) string {
	var b []string
	for _, x := range []struct{ when, to string }{
		{"ok", on.OK}, {"failed", on.Failed}, {"no answer", on.NoAnswer}, {"not yet", on.NotYet}, {"refused", on.Refused},
	} {
		if x.to != "" {
			b = append(b, x.when+": "+x.to)
		}
	}
	return strings.Join(slices.Clip(b), "; ")
}
