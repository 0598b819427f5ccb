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
	size    int    // bytes held
	last    when.Instant
	line    []byte // the module's line so far, a copy of the end of buf
	long    bool   // that line is longer than any result
	typed   []byte // the controller's line so far
	escaped bool   // the last thing the controller sent was +++
	command string // the last line of the controller, when it looks like a command
	ending  string
	at      Line
}

func newDataState() *dataState { return &dataState{} }

// dataPiece keeps data of one side.
func (a *Assembler) dataPiece(r *capture.Record, from capture.Direction, s string) {
	d := a.data
	if d.size > 0 && d.buf.from != from {
		a.flushData()
	}
	d.buf.from = from
	for s != "" {
		n := min(len(s), dataLimit-d.size)
		d.buf.add(r, s[:n])
		d.size += n
		s = s[n:]
		if d.size >= dataLimit {
			a.flushData()
		}
	}
	d.last = r.At
}

// flushData reports the data held.
func (a *Assembler) flushData() {
	d := a.data
	if d == nil || d.size == 0 {
		return
	}
	d.size = 0
	a.emit(Event{Kind: Data, At: a.now, Line: d.buf.line(nil, "")})
}

// dataFromController takes data of the controller. A command line in it is data
// too, until the module answers it.
func (a *Assembler) dataFromController(r *capture.Record, s string) string {
	d := a.data
	i := lineEnd(s)
	n := len(s)
	if i >= 0 {
		n = i + 1
	}
	if r.At >= d.last.Add(dataSilence) || d.buf.from != capture.Controller {
		d.typed = d.typed[:0]
	}
	a.dataPiece(r, capture.Controller, s[:n])
	if len(d.typed)+n <= lineLimit {
		d.typed = append(d.typed, s[:n]...)
	}
	t := string(d.typed)
	d.escaped = t == "+++"
	if i >= 0 {
		d.typed = d.typed[:0]
		t = strings.TrimPrefix(strings.TrimRight(t, "\r\n"), "+++")
		switch {
		case isCommand(t):
			d.command, d.ending = t, s[i:n]
			d.at = Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: capture.Controller, Text: t}
		case t != "":
			d.command = ""
		case d.command != "" && s[i] == '\n' && d.ending == "\r":
			d.ending = "\r\n"
		}
	}
	return s[n:]
}

// dataFromModule takes data of the module up to the end of a line and returns
// how many bytes it took. A result that can only be one ends data state.
func (a *Assembler) dataFromModule(r *capture.Record, s string) int {
	d := a.data
	i := lineEnd(s)
	n := len(s)
	if i >= 0 {
		n = i + 1
	}
	if d.buf.from != capture.Module {
		a.flushData()
	}
	a.dataPiece(r, capture.Module, s[:n])
	if a.data.long = a.data.long || len(d.line)+n > dataLineLimit; !d.long {
		d.line = append(d.line, s[:n]...)
	}
	if i < 0 {
		return n
	}
	t := strings.Trim(string(d.line), "\r\n \x00")
	long := d.long
	d.line, d.long = d.line[:0], false
	if t == "" || long {
		return n
	}
	res, ok := at.ParseResult(t)
	ok = ok && (!res.Numeric || a.numeric)
	switch {
	case ok && res.Kind == at.NoCarrier, ok && res.Kind == at.OK && d.escaped:
		a.leaveData(r, t)
	case d.command != "" && (ok && res.Kind != at.Connect && res.Kind != at.Ring || t == d.command):
		a.leaveData(r, t)
	}
	return n
}

// leaveData returns to command state: the module's last line t was no data.
func (a *Assembler) leaveData(r *capture.Record, t string) {
	d := a.data
	// The line, its end and empty lines before it are no data.
	if d.size > 0 && d.buf.from == capture.Module {
		keep := strings.TrimRight(string(d.buf.text), "\r\n \x00")
		keep = strings.TrimRight(strings.TrimSuffix(keep, t), "\r\n")
		if keep != "" {
			d.size = 0
			l := d.buf.cut(len(keep))
			d.buf.reset()
			a.emit(Event{Kind: Data, At: a.now, Line: l})
		}
	}
	a.data = nil
	a.mod.reset()
	a.mod.cr = true
	if d.command != "" {
		a.asked(d.at, d.ending)
	}
	a.moduleLine(Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: capture.Module, Text: t}, true)
}
