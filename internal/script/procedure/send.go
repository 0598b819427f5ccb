package procedure

import (
	"fmt"
	"strings"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// begin starts a try: with the escape, if the step has one.
func (m *Machine) begin(now when.Instant, out []byte) []byte {
	switch m.stepNow().Escape {
	case EscapeText:
		m.phase, m.due = escaping, now.Add(ms(2*SettleMS))
		return append(out, "\x1b\r"...)
	case EscapeData:
		m.phase, m.due = guarding, now.Add(ms(GuardMS))
		return out
	}
	return m.send(now, out)
}

// send sends the step's command, or begins its wait when it has none.
func (m *Machine) send(now when.Instant, out []byte) []byte {
	s := m.stepNow()
	if m.try == 0 {
		m.current = Result{Step: m.procedure.stepName(m.step), Index: m.step}
	}
	m.try++
	m.current.Tries, m.current.BeganAt, m.current.Info, m.awaited = m.try, now, nil, false
	m.rx.clear()
	m.sentLine, m.sentText, m.echoes, m.body = "", "", false, false
	if s.Send == "" && s.Duty == "" {
		m.await(now)
		return out
	}
	line, wait, why := m.lineOf(s)
	if why == "" {
		var cost int
		if why, cost = m.refuses(line); why == "" {
			m.sentText, why = m.textOf(s)
		}
		if why == "" {
			m.spent += cost
		}
	}
	if why != "" {
		m.finish(now, Refused, why)
		return out
	}
	if c, ok := at.ParseLine(line).Find("+CPIN"); ok && c.Form == at.Set {
		m.pinSent = true
	}
	m.sentLine = line
	m.phase, m.due = answering, now.Add(wait)
	if s.Text != "" || s.Cancel {
		m.phase, m.due = prompting, now.Add(ms(PromptWaitMS))
	}
	return append(append(out, line...), m.lineEnd()...)
}

// lineOf returns the command line of a step and how long it may take, or why there is none.
func (m *Machine) lineOf(s *Step) (line string, wait time.Duration, why string) {
	m.current.Sent = s.Send
	if s.Duty != "" {
		if m.options.Sheet == nil {
			return "", 0, "duty " + s.Duty + " needs a sheet"
		}
		d, ok := m.options.Sheet.Duty(s.Duty)
		if !ok {
			return "", 0, fmt.Sprintf("sheet %s has no duty %s", m.options.Sheet.Name, s.Duty)
		}
		m.current.Sent = d.Send
		if own, known := d.MaxWaitMS.Get(); known {
			wait = ms(own)
		}
	}
	line, missing := m.fill(m.current.Sent)
	if missing != "" {
		return "", 0, "no value for {" + missing + "}"
	}
	if strings.ContainsFunc(line, func(r rune) bool { return r < ' ' || r > '~' }) {
		return "", 0, "a value put into the command holds what a command line cannot"
	}
	if s.MaxWaitMS > 0 {
		wait = ms(s.MaxWaitMS)
	}
	if wait == 0 {
		wait = m.waitFor(line)
	}
	return line, wait, ""
}

// waitFor is the longest any command of the line may take: the sheet's word, else the catalogue's.
func (m *Machine) waitFor(line string) time.Duration {
	longest := 0
	for _, c := range at.ParseLine(line).Commands {
		limit := 0
		if m.options.Sheet != nil {
			limit = m.options.Sheet.MaxWaitMS[c.Name]
		}
		if limit == 0 {
			limit, _ = at.WaitMS(c)
		}
		longest = max(longest, limit)
	}
	if longest == 0 { // a bare AT
		longest, _ = at.WaitMS(at.Command{})
	}
	return ms(longest)
}

func (m *Machine) lineEnd() string {
	if m.options.Sheet != nil {
		return m.options.Sheet.End()
	}
	return "\r" // V.250 5.2.1, S3
}

func (m *Machine) sendText(now when.Instant, out []byte) []byte {
	s := m.stepNow()
	m.phase, m.due = answering, now.Add(m.textWait())
	if s.Cancel {
		return append(out, 0x1b)
	}
	return append(append(out, m.sentText...), 0x1a)
}

// textOf returns the text of a step, or why there is none.
func (m *Machine) textOf(s *Step) (text, why string) {
	text, missing := m.fill(s.Text)
	switch {
	case missing != "":
		return "", "no value for {" + missing + "}"
	case strings.ContainsAny(text, "\x1a\x1b\x00"):
		return "", "a value put into the text holds Ctrl-Z, ESC or NUL"
	}
	return text, ""
}

// textWait is how long the network may take for a text: the step's own limit, else the command's.
func (m *Machine) textWait() time.Duration {
	if s := m.stepNow(); s.MaxWaitMS > 0 {
		return ms(s.MaxWaitMS)
	}
	return m.waitFor(m.sentLine)
}
