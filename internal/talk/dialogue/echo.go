package dialogue

import (
	"strings"
)

// echo says whether a line is what the controller has sent.
func (a *Assembler) echo(l Line) bool {
	t := l.Text
	for i := range a.heard {
		if s := &a.heard[i]; !s.used && s.text != "" && s.text == t {
			a.echoed(i)
			return true
		}
	}
	// Command lines without an end come back as one line.
	rest, lastMatch := t, -1
	for i := range a.heard {
		s := &a.heard[i]
		if s.used || s.text == "" {
			continue
		}
		if !strings.HasPrefix(rest, s.text) || s.x != nil && s.x.Ending != "" && s.text != rest {
			break
		}
		rest, lastMatch = rest[len(s.text):], i
		if rest == "" {
			for j := range lastMatch + 1 {
				if x := a.heard[j].x; x != nil && x.Outcome == Open {
					x.Echoed = true
				}
			}
			a.echoed(lastMatch)
			return true
		}
	}
	return false
}

// echoed marks the i-th line heard as echoed. The module takes lines in order:
// one sent before, that did not come back though echo is on, never reached it.
func (a *Assembler) echoed(i int) {
	was := a.echoes
	a.echoes = true
	x := a.heard[i].x
	for j := range i + 1 {
		a.heard[j].used = true
	}
	if x == nil || x.Outcome != Open {
		return // what was reported does not change any more
	}
	x.Echoed = true
	if !was {
		return
	}
	for k := 0; k < len(a.open); {
		p := a.open[k]
		if p.x == x {
			break
		}
		if p.doubtful && !p.x.Echoed && len(p.x.Info) == 0 {
			a.giveUp(p, Overtaken)
			continue
		}
		k++
	}
}

// textEcho says whether a line is the text that the controller writes, or its end.
func (a *Assembler) textEcho(l Line) bool {
	for _, p := range a.open {
		text := p.x.Text.Text
		if a.writing == p || a.awaiting() == p {
			text = string(a.ctl.text)
		}
		if text == "" && p.x.TextEnd == 0 || len(p.x.Info) > 0 {
			continue
		}
		t := strings.TrimRight(l.Text, "\x1a\x1b")
		if t == "" {
			return true
		}
		if _, ok := a.result(t); ok && (!a.echoes || p.textEchoed) {
			continue
		}
		for line := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == '\r' || r == '\n' }) {
			if line == t {
				p.textEchoed = true
				return true
			}
		}
	}
	return false
}

// lostStart says whether a line is the echo of a command whose first bytes were lost.
func (a *Assembler) lostStart(l Line) bool {
	for _, p := range a.open {
		c := p.x.Command.Text
		if len(l.Text) >= 3 && len(c) > len(l.Text) && len(c)-len(l.Text) <= 2 && strings.HasSuffix(c, l.Text) {
			return true
		}
	}
	return false
}
