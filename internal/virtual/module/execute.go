package module

import (
	"strconv"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// execution is the command line that is being run.
type execution struct {
	busy      bool
	line      at.Line
	at        int      // the command of the line that runs now
	row       *command // its row in the list
	phase     int      // how often the command came back for more
	abortable bool
	began     when.Instant // when the line ended
	deadline  when.Instant // when the running command gives up, where it has such a time
	after     func(*Module)
	send      outgoing
	manual    bool // +COPS=4: when the chosen operator refuses, another one will do
}

// A reply is what a command ends with, or that it has not ended.
type reply struct {
	kind replyKind
	code int // of cme and cms
}

type replyKind uint8

const (
	replyOK replyKind = iota
	replyError
	replyCME
	replyCMS
	replyLater     // timerExec is set; come back then
	replyText      // wants a text: the prompt
	replyNoCarrier // V.250 6.3.1
	replyRing      // V.250 table 1; belongs to no command
	replyBusy      // V.250 6.3.1
	replyNoAnswer  // V.250 6.3.1
	replyConnect   // data from here on; code is the context
)

var (
	ok     = reply{kind: replyOK}
	failed = reply{kind: replyError}
	later  = reply{kind: replyLater}
)

// cme and cms are the errors of 27.007 clause 9.2 and 27.005 clause 3.2.5.
func cme(code int) reply { return reply{kind: replyCME, code: code} }
func cms(code int) reply { return reply{kind: replyCMS, code: code} }

// runBody starts a command line, given without its AT.
func (m *Module) runBody(body string) {
	m.exec = execution{busy: true, line: at.ParseLine("AT" + body), began: m.now}
	if m.exec.line.Err != nil {
		m.exec.line.Commands = nil
		m.exec.phase = -1
	}
	if len(m.exec.line.Commands) == 0 {
		m.after(timerExec, m.jitter(takesQuick))
		return
	}
	m.beginCommand()
}

// beginCommand starts the command of the line that is next.
func (m *Module) beginCommand() {
	e := &m.exec
	e.phase, e.abortable, e.deadline, e.send = 0, false, 0, outgoing{}
	e.row = m.rows[e.line.Commands[e.at].Name]
	wait := takesQuick
	if e.row != nil {
		wait = max(wait, e.row.takes)
		e.abortable = e.row.abortable
	}
	m.after(timerExec, m.jitter(wait))
}

// step lets the running command do what is due.
func (m *Module) step() {
	e := &m.exec
	if !e.busy {
		return
	}
	if len(e.line.Commands) == 0 {
		if e.phase < 0 {
			m.finish(failed)
		} else {
			m.finish(ok)
		}
		return
	}
	c := &e.line.Commands[e.at]
	if e.row == nil {
		m.finish(failed) // nobody knows this command
		return
	}
	r := m.run(e.row, c)
	switch r.kind {
	case replyLater:
		e.phase++
	case replyText:
		e.phase++
		m.prompt()
	case replyConnect:
		m.connected(r.code)
	case replyOK:
		if e.at++; e.at < len(e.line.Commands) {
			m.beginCommand()
			return
		}
		m.finish(ok)
	default:
		m.finish(r) // the rest of the line is not run, V.250 5.6
	}
}

// finish ends the line with its one final result.
func (m *Module) finish(r reply) {
	after := m.exec.after
	m.cancel(timerExec)
	m.cancel(timerPrompt)
	m.exec = execution{}
	m.result(r)
	if len(m.breaking) > 0 {
		m.out = append(m.out, m.breaking...)
		m.breaking = m.breaking[:0]
	}
	if after != nil {
		after(m)
	}
	m.flush()
}

// abort ends the line because a byte came (V.250 5.6.1).
func (m *Module) abort() { m.finish(failed) }

// comeBack makes the running command be asked again after d.
func (m *Module) comeBack(d time.Duration) reply {
	m.after(timerExec, d)
	return later
}

// result writes a final result code, V.250 clause 5.7.1 and 6.2.6.
func (m *Module) result(r reply) {
	if m.settings.quiet {
		return
	}
	switch r.kind {
	case replyCME:
		switch m.settings.cmee {
		case 1:
			m.extendedResult("+CME ERROR: " + strconv.Itoa(r.code))
			return
		case 2:
			m.extendedResult("+CME ERROR: " + cmeWords(r.code))
			return
		}
		r = failed
	case replyCMS:
		m.extendedResult("+CMS ERROR: " + strconv.Itoa(r.code))
		return
	}
	code := resultCodes[r.kind]
	if m.settings.numeric {
		m.out = append(m.out, code.digit, byte(m.settings.s[3]))
		return
	}
	m.extendedResult(code.words)
}

// resultCodes: V.250 table 1.
var resultCodes = map[replyKind]struct {
	words string
	digit byte
}{
	replyOK:        {"OK", '0'},
	replyError:     {"ERROR", '4'},
	replyNoCarrier: {"NO CARRIER", '3'},
	replyRing:      {"RING", '2'},
	replyBusy:      {"BUSY", '7'},
	replyNoAnswer:  {"NO ANSWER", '8'},
	replyConnect:   {"CONNECT", '1'},
}

// extendedResult writes a result in words. The extended ones have no numeric
// form (V.250 5.7.2), so they are framed as in the long format always:
// otherwise an echoed text would run into them.
func (m *Module) extendedResult(words string) {
	m.out = framed(m.out, words, byte(m.settings.s[3]), byte(m.settings.s[4]))
}

func framed(dst []byte, text string, cr, lf byte) []byte {
	return append(append(append(dst, cr, lf), text...), cr, lf)
}

// info writes one line of information text. What breaks in comes in its middle.
func (m *Module) info(text string) {
	begun := len(m.out)
	m.out = m.appendInfo(m.out, text)
	if len(m.breaking) == 0 {
		return
	}
	middle := begun + (len(m.out)-begun)/2
	rest := append([]byte(nil), m.out[middle:]...)
	m.out = append(append(m.out[:middle], m.breaking...), rest...)
	m.breaking = m.breaking[:0]
}

// appendInfo frames text as V.250 6.2.6 says: in the long format a line end
// before and after, in the short one after only.
func (m *Module) appendInfo(dst []byte, text string) []byte {
	cr, lf := byte(m.settings.s[3]), byte(m.settings.s[4])
	if !m.settings.numeric {
		return framed(dst, text, cr, lf)
	}
	return append(append(dst, text...), cr, lf)
}

func (m *Module) cancel(t timer) { m.due[t] = when.Never }
