package dialogue

import (
	"strings"

	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// dataLimit is the longest Data event; longer data comes in pieces.
const dataLimit = 4096

// dataLineLimit: a line longer than this is neither a result nor an echo that matters.
const dataLineLimit = 128

// dataState is the time between CONNECT and the return to command state.
type dataState struct {
	buf     stream // data of one side, not yet reported
	last    when.Instant
	skipLF  bool   // the LF that ends CONNECT may follow
	line    []byte // the module's line so far, a copy of the end of buf
	long    bool   // that line is longer than any result
	typed   []byte // the controller's line so far
	escaped bool   // the last thing the controller sent was +++

	// The last line of the controller, when it looks like a command: data, unless
	// the module answers it.
	command *Line
	ending  string
}

// dataPiece keeps data of one side.
func (a *Assembler) dataPiece(r *capture.Record, from capture.Direction, s string) {
	d := a.data
	if d.buf.from != from {
		a.flushData()
	}
	d.buf.from = from
	for s != "" {
		n := min(len(s), dataLimit-len(d.buf.text))
		d.buf.add(r, s[:n])
		s = s[n:]
		if len(d.buf.text) >= dataLimit {
			a.flushData()
		}
	}
	d.last = r.At
}

// flushData reports the data held.
func (a *Assembler) flushData() {
	if d := a.data; d != nil && len(d.buf.text) > 0 {
		a.emit(Event{Kind: Data, At: a.now, Line: d.buf.line(nil, "")})
	}
}

// dropCommand takes a line that looked like a command as data after all.
func (a *Assembler) dropCommand() {
	d := a.data
	if d == nil || d.command == nil {
		return
	}
	l := *d.command
	l.Text += d.ending
	d.command = nil
	a.emit(Event{Kind: Data, At: a.now, Line: l})
}

// dataFromController takes data of the controller up to the end of a line and
// returns the rest. A command line in it is data too, unless the module answers it.
func (a *Assembler) dataFromController(r *capture.Record, s string) string {
	d := a.data
	if d.command != nil && s[0] == '\n' && d.ending == "\r" {
		d.ending = "\r\n"
		return s[1:]
	}
	a.dropCommand()
	if d.buf.from != capture.Controller || len(d.buf.text) == 0 {
		a.flushData()
		d.typed = d.typed[:0]
	}
	i := lineEnd(s)
	n := len(s)
	if i >= 0 {
		n = i + 1
	}
	if len(d.typed)+n <= dataLineLimit {
		d.typed = append(d.typed, s[:n]...)
	}
	a.dataPiece(r, capture.Controller, s[:n])
	t := string(d.typed)
	d.escaped = t == "+++"
	if i < 0 {
		return ""
	}
	d.typed = d.typed[:0]
	body := strings.TrimPrefix(t[:len(t)-1], "+++")
	if held := len(d.buf.text); at.IsCommandLine(body) && held >= len(body)+1 {
		if rest := held - len(body) - 1; rest > 0 {
			a.emit(Event{Kind: Data, At: a.now, Line: d.buf.cut(rest)})
		}
		l := d.buf.line(nil, "")
		l.Text = body
		d.command, d.ending = &l, s[i:n]
	}
	return s[n:]
}

// dataFromModule takes data of the module up to the end of a line and returns
// how many bytes it took. What can only be an answer ends data state.
func (a *Assembler) dataFromModule(r *capture.Record, s string) int {
	d := a.data
	if d.skipLF {
		d.skipLF = false
		if s[0] == '\n' {
			return 1
		}
	}
	i := lineEnd(s)
	n := len(s)
	if i >= 0 {
		n = i + 1
	}
	a.dataPiece(r, capture.Module, s[:n])
	d.long = d.long || len(d.line)+n > dataLineLimit
	if !d.long {
		d.line = append(d.line, s[:n]...)
	}
	if i < 0 {
		return n
	}
	t := strings.Trim(string(d.line), "\r\n \x00")
	long := d.long
	d.line, d.long = d.line[:0], false
	switch {
	case t == "" && !long:
	case !long && a.endsData(t):
		a.leaveData(r, t, s[i] == '\r')
	case d.command != nil:
		a.dropCommand()
	}
	return n
}

// endsData says whether a line of the module can only have been said in command state.
func (a *Assembler) endsData(t string) bool {
	d := a.data
	res, ok := at.ParseResult(t)
	ok = ok && (!res.Numeric || a.numeric)
	if ok && (res.Kind == at.NoCarrier || res.Kind == at.OK && d.escaped) {
		return true
	}
	if d.command == nil {
		return false
	}
	if name, _ := at.AnswerName(t); name != "" {
		_, own := at.ParseLine(d.command.Text).Find(name)
		return own
	}
	return ok && isFinal(res) || t == d.command.Text
}

// leaveData returns to command state: the module's last line t was no data.
func (a *Assembler) leaveData(r *capture.Record, t string, cr bool) {
	d := a.data
	// The line, its end and empty lines before it are no data.
	l := Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: capture.Module, Text: t}
	if held := string(d.buf.text); d.buf.from == capture.Module && held != "" {
		start := max(0, strings.LastIndex(held, t))
		if keep := len(strings.TrimRight(held[:start], "\r\n")); keep > 0 {
			a.emit(Event{Kind: Data, At: a.now, Line: d.buf.cut(keep)})
			start -= keep
		}
		if start > 0 {
			d.buf.cut(start)
		}
		at := l.At
		l = d.buf.line(nil, "")
		l.At, l.Text = at, t
	}
	a.data = nil
	a.mod.reset()
	a.mod.cr = cr
	if d.command != nil {
		a.asked(*d.command, d.ending)
	}
	a.moduleLine(l, 1)
}
