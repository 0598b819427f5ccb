package procedure

import (
	"slices"
	"strings"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// heard takes in a line from the module.
func (m *Machine) heard(now when.Instant, line string) {
	s := m.stepNow()
	if m.body {
		m.body = false
		m.keep(line)
		if m.phase == awaiting && m.awaited {
			m.finish(now, OK, "")
		}
		return
	}
	if m.isEcho(line) {
		return
	}
	if a := s.Await; a != nil && a.matches(line) && m.phase != ready && m.phase != resting {
		m.awaited = true
		m.keep(line)
		if said, ok := at.ParseAnswer(line); ok && at.HasBody(said) {
			m.body = true
		} else if m.phase == awaiting {
			m.finish(now, OK, "")
		}
		return
	}
	if r, ok := at.ParseResult(line); ok && !(r.Numeric && m.sawVerbal) {
		m.sawVerbal = m.sawVerbal || !r.Numeric
		if r.Kind == at.Ring {
			return
		}
		if m.phase == answering || m.phase == prompting {
			m.result(now, r)
		}
		return // a result nobody waits for is one that came after its limit
	}
	if m.phase == answering || m.phase == prompting {
		m.keep(line)
		if a, ok := at.ParseAnswer(line); ok && at.HasBody(a) {
			m.body = true
		}
	}
}

// isEcho says that the module sent back what we sent: the command, or the text
// behind its prompt. A text comes back once, and only from a module that echoes
// commands: a text may well read OK.
func (m *Machine) isEcho(line string) bool {
	if m.sentLine != "" && line == m.sentLine {
		m.echoes = true
		return true
	}
	if m.sentText == "" || !m.echoes || m.phase != answering {
		return false
	}
	bare := strings.TrimSuffix(strings.TrimPrefix(line, "> "), "\x1a")
	if bare != m.sentText && bare != lastLine(m.sentText) {
		return false
	}
	m.sentText = ""
	return true
}

func lastLine(text string) string { return text[strings.LastIndexAny(text, "\r\n")+1:] }

func (m *Machine) keep(line string) {
	if len(m.current.Info) < MaxInfo {
		m.current.Info = append(m.current.Info, line)
	}
}

// result takes in the final result of the step's command.
func (m *Machine) result(now when.Instant, r at.Result) {
	m.current.Final = r
	s := m.stepNow()
	if r.Failed() {
		m.finish(now, Failed, strings.TrimSpace(describe(r)))
		return
	}
	if m.phase == prompting {
		m.finish(now, Failed, "the module did not ask for the text")
		return
	}
	m.capture(s)
	if s.Until != nil && !m.reached(s.Until) {
		m.finish(now, NotYet, s.Until.missed())
		return
	}
	m.await(now)
}

// await begins the wait for what comes unasked, if the step has one.
func (m *Machine) await(now when.Instant) {
	a := m.stepNow().Await
	if a == nil || m.awaited {
		m.finish(now, OK, "")
		return
	}
	limit := a.MaxWaitMS
	if limit == 0 {
		limit = max(DefaultAwaitMS, 2*a.QuietMS)
	}
	m.phase, m.limit = awaiting, now.Add(ms(limit))
	m.due = m.limit
	if a.QuietMS > 0 {
		m.quietFrom = max(m.quietFrom, m.current.BeganAt)
		m.due = min(m.quietFrom.Add(ms(a.QuietMS)), m.limit)
		m.due = max(m.due, now)
	}
}

// matches says whether a line is the one awaited.
func (a *Await) matches(line string) bool {
	switch {
	case a.Line != "":
		name, _ := at.AnswerName(line)
		return line == a.Line || name == a.Line
	case a.Sentence != "":
		if len(line) < 6 || (line[0] != '$' && line[0] != '!') {
			return false
		}
		address, _, _ := strings.Cut(line[1:], ",")
		return a.Sentence == "any" || strings.HasSuffix(address, a.Sentence)
	}
	return false
}

func (m *Machine) reached(u *Until) bool {
	if u.Fix {
		return m.hasFix()
	}
	value, ok := m.value(u.Answer, u.Param)
	return ok && slices.Contains(u.OneOf, value)
}

// value finds parameter n of the last line of the answer with that name.
func (m *Machine) value(name string, n int) (string, bool) {
	for _, line := range slices.Backward(m.current.Info) {
		a, ok := at.ParseAnswer(line)
		if ok && a.Name == name && n <= len(a.Params) {
			return a.Params[n-1].Text, true
		}
	}
	return "", false
}

func (m *Machine) capture(s *Step) {
	for _, c := range s.Capture {
		value, ok := "", false
		if c.Field != "" {
			value, ok = m.field(s.Duty, c.Field)
		} else if c.Answer != "" {
			value, ok = m.value(c.Answer, c.Param)
		} else if len(m.current.Info) > 0 {
			value, ok = m.current.Info[0], true
		}
		if !ok {
			continue
		}
		if m.current.Captured == nil {
			m.current.Captured = map[string]string{}
		}
		m.current.Captured[c.Name], m.captured[c.Name] = value, value
	}
}

func describe(r at.Result) string {
	switch r.Kind {
	case at.CMEError:
		return "+CME ERROR: " + codeOr(r)
	case at.CMSError:
		return "+CMS ERROR: " + codeOr(r)
	case at.Error:
		return "ERROR"
	case at.NoCarrier:
		return "NO CARRIER"
	case at.NoDialtone:
		return "NO DIALTONE"
	case at.Busy:
		return "BUSY"
	case at.NoAnswer:
		return "NO ANSWER"
	}
	return "an error"
}

func codeOr(r at.Result) string {
	if r.Code >= 0 {
		return itoa(r.Code)
	}
	return r.Text
}

// receiver cuts the module's bytes into lines.
type receiver struct{ buf []byte }

// push takes in a byte and returns a line that it completes. Both CR and LF end
// lines, so CR LF gives an empty line more; NUL is dropped (idle lines and
// start-up noise hold it).
func (r *receiver) push(c byte) (string, bool) {
	switch {
	case c == 0:
		return "", false
	case c == '\r' || c == '\n':
		line := strings.TrimRight(string(r.buf), " ")
		r.buf = r.buf[:0]
		return line, line != ""
	case len(r.buf) >= MaxLine:
		r.buf = r.buf[:0] // no line of a module is that long: noise
	}
	r.buf = append(r.buf, c)
	return "", false
}

// prompt says that what has come of this line is the prompt for text: TS 27.005 3.5.1.
func (r *receiver) prompt() bool { return string(r.buf) == "> " }

func (r *receiver) half() bool { return string(r.buf) == ">" }

func (r *receiver) clear() { r.buf = r.buf[:0] }
