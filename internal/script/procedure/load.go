package procedure

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"
	"firstfix/internal/yamlfile"
)

// MaxSteps bounds a procedure; a person writes some dozens.
const MaxSteps = 1000

// Load reads a procedure from YAML. The error holds a [*yamlfile.Problem] for each
// place that does not fit.
func Load(name string, src []byte) (*Procedure, error) {
	p := &Procedure{}
	f := yamlfile.Decode(name, src, p)
	if f.Err() == nil {
		p.check(f.Add)
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	return p, nil
}

// Check says what is wrong with a procedure that was made by code.
func (p *Procedure) Check() error {
	var problems yamlfile.Problems
	p.check(func(path, was, want, nearest string) {
		problems = append(problems, &yamlfile.Problem{File: p.Name, Key: path, Message: yamlfile.Misfit(was, want, nearest)})
	})
	if len(problems) == 0 {
		return nil
	}
	return problems
}

// report tells a problem of the value at path.
type report func(path, was, want, nearest string)

func (p *Procedure) check(add report) {
	if p.Name == "" || strings.ContainsFunc(p.Name, func(r rune) bool { return !isNameRune(r) && r != '-' }) {
		add("procedure", strconv.Quote(p.Name), "a name of small letters, digits and hyphens", "")
	}
	if p.Budget.MaxTotalMS < 0 || p.Budget.Texts < 0 {
		add("budget", "a number below 0", "0 or more", "")
	}
	if len(p.Steps) == 0 || len(p.Steps) > MaxSteps {
		add("steps", fmt.Sprintf("%d steps", len(p.Steps)), fmt.Sprintf("1 to %d", MaxSteps), "")
	}
	seen := map[string]bool{}
	for i := range p.Steps {
		if name := p.stepName(i); seen[name] {
			add(fmt.Sprintf("steps[%d].name", i), strconv.Quote(name)+" again", "each name once", "")
		} else {
			seen[name] = true
		}
	}
	for i := range p.Steps {
		p.checkStep(add, fmt.Sprintf("steps[%d]", i), &p.Steps[i])
	}
}

func (p *Procedure) checkStep(add report, path string, s *Step) {
	checkSend(add, path, s)
	for _, n := range []struct {
		key   string
		value int
	}{
		{"max_wait_ms", s.MaxWaitMS}, {"tries", s.Tries}, {"backoff_ms", s.BackoffMS},
		{"max_backoff_ms", s.MaxBackoffMS}, {"pause_ms", s.PauseMS},
	} {
		if n.value < 0 {
			add(path+"."+n.key, strconv.Itoa(n.value), "0 or more", "")
		}
	}
	if s.Await != nil {
		checkAwait(add, path+".await", s.Await)
	}
	if u := s.Until; u != nil {
		checkUntil(add, path+".until", s.Duty, u)
	}
	for j, c := range s.Capture {
		if c.Field != "" && (c.Answer != "" || c.Param != 0 || s.Duty == "") {
			add(fmt.Sprintf("%s.capture[%d]", path, j), "field with answer, with param, or without duty", "a field of the answer to the step's duty, alone", "")
		}
		if c.Field != "" && !slices.Contains(sheet.FieldNames(), c.Field) {
			add(fmt.Sprintf("%s.capture[%d].field", path, j), strconv.Quote(c.Field), "a field that a sheet knows", yamlfile.Nearest(c.Field, sheet.FieldNames()))
		}
		if c.Name == "" || strings.ContainsFunc(c.Name, func(r rune) bool { return !isNameRune(r) }) || c.Param < 0 || (c.Answer != "" && c.Param < 1) {
			add(fmt.Sprintf("%s.capture[%d]", path, j), fmt.Sprintf("name %q, answer %q, param %d", c.Name, c.Answer, c.Param), "a name of small letters, digits and _; with answer also param, from 1", "")
		}
	}
	for _, b := range []struct{ key, to string }{
		{"ok", s.On.OK}, {"failed", s.On.Failed}, {"no_answer", s.On.NoAnswer}, {"not_yet", s.On.NotYet}, {"refused", s.On.Refused},
	} {
		p.checkBranch(add, path+".on."+b.key, b.to)
	}
}

func checkSend(add report, path string, s *Step) {
	switch {
	case s.Send != "" && s.Duty != "":
		add(path, "send and duty", "one of the two", "")
	case s.Send == "" && s.Duty == "" && s.Await == nil && s.PauseMS == 0:
		add(path, "a step that does nothing", "send, duty, await or pause_ms", "")
	case s.Send == "" && s.Duty == "" && (s.Text != "" || s.Cancel || s.Until != nil || len(s.Capture) > 0):
		add(path, "text, cancel, until or capture without a command", "send or duty", "")
	case s.Escape != "" && s.Send == "" && s.Duty == "":
		add(path, "escape without a command", "send or duty", "")
	case s.Text != "" && s.Cancel:
		add(path, "text and cancel", "one of the two", "")
	}
	if strings.ContainsFunc(s.Send, func(r rune) bool { return r < ' ' || r > '~' }) {
		add(path+".send", strconv.Quote(s.Send), "printable ASCII without a line end", "")
	} else if s.Send != "" {
		l := at.ParseLine(s.Send)
		if l.Err != nil && !strings.Contains(s.Send, "{") { // a name may stand for what is missing
			add(path+".send", l.Err.Error(), "a command line", "")
		}
		if len(l.Commands) > 0 {
			wants := at.NeedsText(l.Commands[len(l.Commands)-1].Name)
			if (s.Text != "" || s.Cancel) && !wants {
				add(path, "text for "+strconv.Quote(s.Send), "a command that asks for text: +CMGS, +CMGW, +CMGC", "")
			}
			if at.WantsText(l.Commands[len(l.Commands)-1]) && s.Text == "" && !s.Cancel {
				add(path, strconv.Quote(s.Send)+" without text", "text: or cancel: true; else the module stays in text entry", "")
			}
		}
	}
	if s.Escape != "" && s.Escape != EscapeText && s.Escape != EscapeData {
		add(path+".escape", strconv.Quote(s.Escape), "text or data", "")
	}
	if strings.ContainsAny(s.Text, "\x1a\x1b\x00") {
		add(path+".text", "Ctrl-Z, ESC or NUL inside the text", "text without them; Ctrl-Z is added behind it", "")
	}
}

func checkUntil(add report, path, duty string, u *Until) {
	switch {
	case u.Fix && (u.Answer != "" || u.Param != 0 || len(u.OneOf) > 0 || duty != sheet.PositionRead):
		add(path, "fix with another value, or without duty position.read", "fix alone, for duty position.read", "")
	case !u.Fix && (u.Answer == "" || u.Param < 1 || len(u.OneOf) == 0):
		add(path, "an incomplete until", "answer, param (from 1) and one_of; or fix: true", "")
	}
}

func checkAwait(add report, path string, a *Await) {
	n := 0
	for _, given := range []bool{a.Line != "", a.Sentence != "", a.QuietMS != 0} {
		if given {
			n++
		}
	}
	if n != 1 || a.QuietMS < 0 || a.MaxWaitMS < 0 {
		add(path, fmt.Sprintf("%d things to await", n), "one of line, sentence, quiet_ms, and no number below 0", "")
	}
}

var branches = []string{"continue", "stop", "done"}

func (p *Procedure) checkBranch(add report, path, to string) {
	if to == "" || slices.Contains(branches, to) {
		return
	}
	var names []string
	for i := range p.Steps {
		names = append(names, p.stepName(i))
	}
	name, isGoto := strings.CutPrefix(to, "goto ")
	switch {
	case !isGoto:
		add(path, strconv.Quote(to), "continue, stop, done, or goto with a step's name", yamlfile.Nearest(to, branches))
	case p.find(name) < 0:
		add(path, fmt.Sprintf("no step %q", name), "the name of a step", yamlfile.Nearest(name, names))
	}
}

func isNameRune(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '_'
}

func itoa(n int) string { return strconv.Itoa(n) }
