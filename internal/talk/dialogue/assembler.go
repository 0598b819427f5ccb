package dialogue

import (
	"strings"
	"time"

	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// The limits of an assembler, each with its reason.
const (
	// lineLimit is the longest line held in one piece. No command, answer or
	// message comes near it; what is longer comes out as Garbled pieces.
	lineLimit = 64 << 10

	// exchangeLimit: the slowest answer that standards and manuals speak of is
	// a network search of three minutes; five are past it.
	exchangeLimit = 5 * time.Minute

	// pendingLimit bounds the exchanges open at once in a capture without times,
	// where nothing can be called late.
	pendingLimit = 16

	// infoLimit bounds the lines of one answer; a full message store of 255
	// messages of 3 lines, or a phone book of 1000 entries, is within it.
	// What is more comes out as Unsolicited.
	infoLimit = 4096

	// chainLimit is how many exchanges hang together by Previous, so that a long
	// capture does not hold all it has seen. More than are open at once.
	chainLimit = 2 * pendingLimit

	// endingGrace is how long after CR an LF still belongs to the command's end:
	// twice the time of a byte at 300 bit/s.
	endingGrace = 60 * time.Millisecond

	// commandSilence ends a command line that has no end: V.250 5.5 lets a
	// module give up after 30 s of idle line.
	commandSilence = 30 * time.Second

	// lineGap is the silence after which "AT" begins a new command line although
	// the last one has no end. Our estimate: programs that forget the end poll
	// every half second or slower, and write a line in one piece.
	lineGap = 400 * time.Millisecond

	// moduleSilence lets go of a module line that has no end. Longer than flow
	// control holds a line back in practice (our estimate).
	moduleSilence = 10 * time.Second

	// noiseSilence separates bursts of noise: a burst comes with one cause, and
	// 100 ms are a hundred bytes at 9600 bit/s (our estimate).
	noiseSilence = 100 * time.Millisecond

	// noiseSample is how much of an unfinished line is looked at to call it noise.
	noiseSample = 256

	// heldLimit is how long a line that looks like a final result is held where
	// it could also be the text of a message. The rest of an answer follows in
	// milliseconds (our estimate: a second is past any pause inside one).
	heldLimit = time.Second

	// dataSilence cuts the bytes of data state into pieces; the escape guard of
	// common practice is one second.
	dataSilence = time.Second
)

// Assembler turns records into events.
type Assembler struct {
	out []Event // what the call under way has to say; nil between calls
	now when.Instant
	due when.Instant // when Tick next has something to do

	ctl, mod, unk stream
	unkSide       capture.Direction // whose the last line of unknown direction was

	open      []*pending            // not yet over, oldest first
	count     int                   // exchanges so far
	last      *Exchange             // the newest exchange
	repeats   at.Line               // the last command line that was no A/
	recent    [chainLimit]*Exchange // whose Previous still stands
	heard     [8]said               // what the controller sent last, for echoes
	ended     *ending               // a command line whose CR has passed and whose LF may follow
	lateLF    *Exchange             // its LF may still follow, though it was reported
	writing   *pending              // whose text the controller is writing
	body      *bodyState            // whose answer holds message text
	held      *heldFinal            // a line that is a final result or message text
	coming    *coming               // +CMT and its like, and its text
	quoted    *Line                 // an answer whose quoted text goes on in the next line
	tail      bool                  // the line before was the text of an unsolicited message, and this may be more of it
	tailEnd   when.Instant          // but not from here on
	blanks    int                   // how many empty lines stood before the module's line
	data      *dataState            // after CONNECT
	alive     int                   // module lines since the last sentence outside message text
	echoes    bool                  // the module has echoed
	numeric   bool                  // V0 is in force
	verbose   bool                  // a result in words was seen
	lastHeard when.Instant
}

// aliveLines is how many lines without a sentence end a stream of sentences.
const aliveLines = 16

// New returns an assembler at the start of a dialogue.
func New() *Assembler {
	a := &Assembler{due: when.Never, alive: aliveLines, lastHeard: when.Never}
	a.ctl.from, a.mod.from, a.unk.from = capture.Controller, capture.Module, capture.Unknown
	return a
}

// Feed gives the assembler the next record. It appends what follows to out and
// returns the longer slice. What fell due by r.At comes first.
func (a *Assembler) Feed(r capture.Record, out []Event) []Event {
	if l, ok := a.Sentence(&r); ok {
		return append(out, Event{Kind: Sentence, At: a.now, Line: l})
	}
	a.out = out
	a.tick(r.At)
	a.now = max(a.now, r.At)
	a.feed(&r)
	a.plan()
	out, a.out = a.out, nil
	return out
}

// Sentence takes a record that is one GNSS sentence and nothing else, when nothing is
// under way that it could be part of: Feed would return one event of the kind Sentence,
// with this line. False: nothing was taken, and the record is for Feed. Long streams
// are mostly such records, and this way is shorter.
func (a *Assembler) Sentence(r *capture.Record) (l Line, ok bool) {
	if r.From != capture.Module || a.due <= r.At || !a.plain() {
		return l, false
	}
	if l, ok = sentenceRecord(r); ok {
		a.now = max(a.now, r.At)
		a.alive, a.lastHeard = 0, a.now
		a.mod.cr, a.mod.blank, a.tail = false, 0, false
	}
	return l, ok
}

func (a *Assembler) feed(r *capture.Record) {
	if r.Event != "" {
		a.note(r)
		return
	}
	if r.Bytes == "" {
		return
	}
	switch r.From {
	case capture.Controller:
		a.fromController(r, r.Bytes)
	case capture.Module:
		a.settleEnding()
		a.fromModule(r, r.Bytes)
	default:
		a.fromUnknown(r)
	}
}

// Tick tells the assembler that time has reached now and nothing else happened.
func (a *Assembler) Tick(now when.Instant, out []Event) []Event {
	if now < a.due {
		a.now = max(a.now, now)
		return out
	}
	a.out = out
	a.tick(now)
	a.now = max(a.now, now)
	a.plan()
	out, a.out = a.out, nil
	return out
}

// Deadline says when Tick is next wanted, and why. [when.Never] asks for nothing.
func (a *Assembler) Deadline() (at when.Instant, why string) {
	at, _, why = a.next()
	return at, why
}

// End tells the assembler that nothing more will come.
func (a *Assembler) End(out []Event) []Event {
	a.out = out
	a.flush()
	for len(a.open) > 0 {
		a.giveUp(a.open[0], Unanswered)
	}
	a.plan()
	out, a.out = a.out, nil
	return out
}

// flush takes all that is half said as said.
func (a *Assembler) flush() {
	a.flushUnknown()
	a.settleEnding()
	a.endControllerLine()
	a.endModuleLine()
	a.flushData()
	a.dropCommand()
	a.settleComing()
	a.settleQuoted()
	a.settleHeld()
}

// note is an event of the capture. A line that was lost loses what was open, and so does
// one that is heard at another speed from here on: whoever changes it has given up.
func (a *Assembler) note(r *capture.Record) {
	lost := r.Event == "line-lost"
	switch {
	case lost:
		a.flush()
	case strings.HasPrefix(r.Event, "speed "):
		a.flush()
		a.giveUpAll()
	default:
		a.settleEnding()
	}
	l := Line{Record: r.Number, SourceLine: r.SourceLine, Began: r.At, At: r.At, From: r.From}
	a.emit(Event{Kind: Noted, At: a.now, Line: l, Note: r.Event})
	if lost {
		a.giveUpAll()
	}
}

// giveUpAll ends what is open: no answer to it can come any more.
func (a *Assembler) giveUpAll() {
	for len(a.open) > 0 {
		a.giveUp(a.open[0], Unanswered)
	}
	a.data, a.body = nil, nil
}

func (a *Assembler) emit(e Event) { a.out = append(a.out, e) }

// next returns the first reason to be woken: when, what to do then, and why. Of
// those due at the same instant the first is done first.
func (a *Assembler) next() (at when.Instant, do func(*Assembler), why string) {
	at = when.Never
	ask := func(t when.Instant, f func(*Assembler), reason string) {
		if t < at {
			at, do, why = t, f, reason
		}
	}
	if a.ended != nil {
		ask(a.ended.line.At.Add(endingGrace), (*Assembler).settleEnding, "a command line ended in CR; an LF may follow")
	}
	if len(a.ctl.text) > 0 && a.writing == nil {
		ask(a.ctl.last.Add(commandSilence), (*Assembler).endControllerLine, "the controller began a line and did not end it")
	}
	if len(a.mod.text) > 0 && a.data == nil {
		wait := moduleSilence
		if noisy(a.mod.text[:min(len(a.mod.text), noiseSample)]) {
			wait = noiseSilence
		}
		ask(a.mod.last.Add(wait), (*Assembler).endModuleLine, "the module began a line and did not end it")
	}
	if len(a.unk.text) > 0 {
		ask(a.unk.last.Add(moduleSilence), (*Assembler).flushUnknown, "a line began and did not end")
	}
	if a.held != nil {
		ask(a.held.line.At.Add(heldLimit), (*Assembler).settleHeld, "a line is a final result or the text of a message")
	}
	if c := a.coming; c != nil && c.text.IsZero() {
		ask(c.head.At.Add(moduleSilence), (*Assembler).settleComing, "the text of an unsolicited message has not come")
	} else if c != nil {
		ask(c.text.At.Add(heldLimit), (*Assembler).settleComing, "the text of an unsolicited message may have another line")
	}
	if a.quoted != nil {
		ask(a.quoted.At.Add(moduleSilence), (*Assembler).settleQuoted, "the text of an answer has not come to its closing quote")
	}
	if a.data != nil && len(a.data.buf.text) > 0 {
		ask(a.data.last.Add(dataSilence), (*Assembler).flushData, "data may be over")
	}
	for _, p := range a.open {
		ask(p.last.Add(exchangeLimit), (*Assembler).expire, "a command has no final result")
	}
	return at, do, why
}

// tick does what fell due by now, in order of time.
func (a *Assembler) tick(now when.Instant) {
	for a.due <= now {
		at, do, _ := a.next()
		if at > now || do == nil {
			a.due = at
			return
		}
		a.now = max(a.now, at)
		do(a)
		a.plan()
	}
}

// plan notes when something falls due next.
func (a *Assembler) plan() { a.due, _, _ = a.next() }

// expire ends the exchanges whose limit has passed.
func (a *Assembler) expire() {
	for i := 0; i < len(a.open); {
		p := a.open[i]
		if p.last.Add(exchangeLimit) > a.now {
			i++
			continue
		}
		if p.x == a.last {
			a.giveUp(p, Unanswered)
		} else {
			a.giveUp(p, Overtaken)
		}
	}
}
