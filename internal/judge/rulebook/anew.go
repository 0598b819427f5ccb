package rulebook

import (
	"strings"

	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Anew is a controller that begins its set-up from the top.
type Anew struct {
	Line  dialogue.Line      // the first command of the new set-up, or the note that says so
	Cut   *dialogue.Exchange // what it was in the middle of; nil when nothing was open
	Noted bool               // somebody noted it: the commands do not show it yet
}

const (
	// setupLines is how many commands make a set-up known again. Fewer are a
	// habit of many programs (ATE0, AT+CMGF=1); our estimate.
	setupLines = 4

	// setupSettings is how many of them must set something: questions in the
	// same order are a poll.
	setupSettings = 2

	// maxFirst bounds how late in the dialogue its first set-up may be over.
	maxFirst = 16
)

// OnAnew is called when the controller runs through the beginning of its first
// set-up again, command by command: then it started anew, or was made to run its
// set-up again, whatever the module did.
func (p *Pass) OnAnew(f func(a Anew)) {
	var setup []string // the first commands of the dialogue
	settings, heard, at := 0, 0, 0
	var first dialogue.Line
	var cut *dialogue.Exchange
	learnt := func() bool { return len(setup) == setupLines }
	p.OnAsked(func(x *dialogue.Exchange) {
		text := x.Command.Text
		if len(x.Parsed.Commands) == 0 { // AT alone: where a set-up begins, or nothing
			if at == 0 && learnt() && first.IsZero() {
				first, cut = x.Command, lastOpen(p)
			}
			return
		}
		if !learnt() {
			if heard++; heard > maxFirst {
				return
			}
			if len(setup) > 0 && setup[len(setup)-1] == text {
				return
			}
			setup = append(setup, text)
			if setsSomething(x) {
				settings++
			}
			if learnt() && settings < setupSettings {
				setup, settings = append(setup[:0], setup[1:]...), countSettings(setup[1:])
			}
			return
		}
		switch {
		case text == setup[at]:
		case text == setup[0]:
			at, first = 0, dialogue.Line{}
		default:
			at, first, cut = 0, dialogue.Line{}, nil
			return
		}
		if at == 0 && first.IsZero() {
			first, cut = x.Command, lastOpen(p)
		}
		if at++; at < len(setup) {
			return
		}
		f(Anew{Line: first, Cut: cut})
		at, first, cut = 0, dialogue.Line{}, nil
	})
	p.OnNoted(func(line dialogue.Line, note string) {
		n := strings.ToLower(note)
		if strings.Contains(n, "controller") && (strings.Contains(n, "boot") || strings.Contains(n, "started") || strings.Contains(n, "restart")) {
			f(Anew{Line: line, Cut: lastOpen(p), Noted: true})
		}
	})
}

func lastOpen(p *Pass) *dialogue.Exchange {
	if open := p.Open(); len(open) > 0 {
		return open[len(open)-1]
	}
	return nil
}

func setsSomething(x *dialogue.Exchange) bool {
	for i := range x.Parsed.Commands {
		if c := &x.Parsed.Commands[i]; c.Form == at.Set || c.Name == "E" {
			return true
		}
	}
	return false
}

func countSettings(lines []string) (n int) {
	for _, l := range lines {
		for _, c := range at.ParseLine(l).Commands {
			if c.Form == at.Set || c.Name == "E" {
				n++
				break
			}
		}
	}
	return n
}
