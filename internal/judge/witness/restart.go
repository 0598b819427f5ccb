package witness

import (
	"strings"
	"time"

	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// strength says how surely a line shows that the module started.
type strength uint8

const (
	weak   strength = iota // what a start explains best: a setting gone, echo back
	second                 // a line that follows a start, but also a PIN or the radio being switched on
	strong                 // the module says that it is ready
)

// Times and counts of this file are working values: common practice, no source.
const (
	sameStart     = 30 * time.Second // different ready lines within it belong to one start
	sameStartTalk = 10               // the same, in exchanges, when times are not known
	sameLine      = 2 * time.Second  // one line printed twice within it is one line
	askedFor      = 60 * time.Second // a start that was asked for has shown itself by then
	wokenUp       = 60 * time.Second // lines that follow a PIN or the radio being switched on
	maxSigns      = 8                // ready lines of one start: more are not told apart
	maxBanner     = 40               // a ready line is short; longer ones are texts
)

// startSigns is what is remembered to tell one start from the next.
type startSigns struct {
	lines    []string // the ready lines of the last start
	at       when.Instant
	exchange int // number of exchanges asked at that time
	seen     bool

	asked     int          // exchanges asked so far
	finished  bool         // an exchange had a final result: the module was up before
	resetAt   when.Instant // when the controller asked for a start
	reset     bool
	wokenAt   when.Instant // when a PIN was given or the radio switched on
	woken     bool
	last      *dialogue.Exchange // the last command
	lostSend  *dialogue.Exchange // the last command that transmits and never got its final result
	noSignal  when.Instant       // when +CSQ said 99 after a known level
	lostLevel bool
	echoOff   int // record of the OK that ended the echo
}

// restarted keeps evidence of a start, unless it belongs to one that is known already.
func (w *Witness) restarted(x *dialogue.Exchange, line dialogue.Line, why string, how strength) {
	s := &w.start
	banner := ""
	if how != weak {
		banner = line.Text
	}
	if s.seen && how != weak && w.sameStart(banner, line.Began) {
		if len(s.lines) < maxSigns {
			s.lines = append(s.lines, banner)
		}
		return
	}
	if x == nil {
		x = s.last
	}
	r := Restart{Line: line, Why: why, At: line.Began, After: x}
	r.Asked = !s.finished && !s.seen || s.reset && (!w.TimesKnown || line.Began.Sub(s.resetAt) <= askedFor)
	w.remember(r)
	if banner != "" {
		s.lines = append(s.lines, banner)
	}
}

// remember keeps a restart: what was set before is only what used to be.
func (w *Witness) remember(r Restart) {
	s := &w.start
	s.seen, s.at, s.exchange, s.lines = true, r.At, s.asked, s.lines[:0]
	s.reset, s.lostLevel, s.lostSend = false, false, nil
	if len(w.restarts) == maxRestarts {
		copy(w.restarts, w.restarts[1:])
		w.restarts = w.restarts[:maxRestarts-1]
	}
	w.restarts = append(w.restarts, r)
	if !r.Asked {
		w.restartCount++
	}
	for _, k := range kept {
		if v, ok := w.settings[k.name]; ok && !v.Lost {
			v.Lost = true
			w.settings[k.name] = v
		}
	}
	for _, name := range registrationNames {
		if reg := w.registration[name]; reg != nil {
			reg.Words, reg.Since = 0, r.At
		}
	}
	w.seen.Restarts = append(w.seen.Restarts, r)
}

// sameStart says whether a ready line belongs to the start that is known already.
func (w *Witness) sameStart(text string, at when.Instant) bool {
	s := &w.start
	near := s.asked-s.exchange <= sameStartTalk
	if w.TimesKnown {
		near = at.Sub(s.at) <= sameStart
	}
	for _, l := range s.lines {
		if l == text {
			return w.TimesKnown && at.Sub(s.at) <= sameLine
		}
	}
	return near
}

// readyStrength says whether a line is one that modules print when they start.
//
// The words are makers' own and no standard has them; what they share is that a
// short line of plain words ends in READY or RDY, or that the state of the card
// is said unasked (common practice, no source). The module's sheet names more.
func (w *Witness) readyStrength(text string) (strength, bool) {
	text = strings.TrimSpace(text)
	if text == "" || len(text) > maxBanner {
		return 0, false
	}
	for _, b := range w.Banners {
		if strings.EqualFold(b, text) {
			return strong, true
		}
	}
	name, rest := at.AnswerName(text)
	switch {
	case name == "+CPIN" && strings.TrimSpace(text[rest:]) == "READY":
		return second, true
	case name != "":
		return 0, false
	}
	words := strings.Fields(text)
	last := words[len(words)-1]
	if last != "RDY" && !strings.EqualFold(last, "READY") || len(words) > 3 {
		return 0, false
	}
	for i := range len(text) {
		if b := text[i]; b != ' ' && b != '-' && (b < '0' || b > '9') && (b|0x20 < 'a' || b|0x20 > 'z') {
			return 0, false
		}
	}
	how := strong
	for _, word := range words[:len(words)-1] {
		switch strings.ToUpper(word) {
		case "NOT":
			return 0, false
		case "SIM", "SMS", "CALL", "PB", "CARD", "MESSAGE", "PHONEBOOK":
			how = second
		}
	}
	return how, true
}

// ready takes in a line that may be a ready report.
func (w *Witness) ready(x *dialogue.Exchange, line dialogue.Line) bool {
	how, ok := w.readyStrength(line.Text)
	if !ok {
		return false
	}
	s := &w.start
	if how == second && s.woken && (!w.TimesKnown || line.Began.Sub(s.wokenAt) <= wokenUp) {
		return false
	}
	w.restarted(x, line, "ready report", how)
	return true
}

// asked takes in a command: does it ask for a start, does it show one?
func (w *Witness) asked(x *dialogue.Exchange) {
	s := &w.start
	s.asked++
	s.last = x
	for i := range x.Parsed.Commands {
		c := &x.Parsed.Commands[i]
		if c.Form != at.Set {
			continue
		}
		switch {
		case c.Name == "+CFUN" && len(c.Params) > 1 && c.Params[1].Text == "1": // 27.007 8.2, <rst>
			s.reset, s.resetAt = true, x.AskedAt
		case c.Name == "+CFUN", c.Name == "+CPIN":
			s.woken, s.wokenAt = true, x.AskedAt
		}
	}
}

// answeredStart takes in an exchange that is over.
func (w *Witness) answeredStart(x *dialogue.Exchange) {
	s := &w.start
	if x.Echoed && s.echoOff > 0 && x.Command.Record > s.echoOff {
		if e, ok := w.settings["E"]; ok && !e.Lost && e.Value == "0" {
			w.restarted(x.Previous, x.Command, "echo came back", weak)
		}
	}
	if x.Outcome == dialogue.Finished {
		s.finished = true
		if s.reset && x.Result.Kind == at.OK && x.Is("+CFUN") {
			w.remember(Restart{Line: x.Command, Why: "the controller asked for it", At: x.AskedAt, After: x, Asked: true})
		}
	}
	lost := x.Outcome != dialogue.Finished
	if lost && transmits(x) {
		s.lostSend = x
	}
	// A ready report that came in the middle of an exchange stands among its answers.
	if lost || onlyNamedAnswers(x) {
		for _, line := range x.Info {
			if w.ready(x, line) {
				break
			}
		}
	}
}

// onlyNamedAnswers says that every command of the line answers with lines that
// begin with its own name, so that other words in the answer are not its own.
func onlyNamedAnswers(x *dialogue.Exchange) bool {
	if len(x.Parsed.Commands) == 0 {
		return true
	}
	for i := range x.Parsed.Commands {
		c := &x.Parsed.Commands[i]
		switch c.Name {
		case "+CMGS", "+CMGF", "+CNMI", "+CSCS", "+CSMP", "+CMEE", "+COPS", "+CREG", "+CGREG", "+CEREG", "+CSQ", "+CGATT", "+CGACT", "+CFUN", "+CMGD", "+CPMS", "+CSCA", "E":
		default:
			return false
		}
	}
	return true
}

func transmits(x *dialogue.Exchange) bool {
	for i := range x.Parsed.Commands {
		switch x.Parsed.Commands[i].Name {
		case "+CMGS", "+CMSS", "+COPS", "+CGATT", "+CGACT", "D":
			return x.Parsed.Commands[i].Form == at.Set || x.Parsed.Commands[i].Name == "D"
		}
	}
	return false
}

// level takes in an answer of +CSQ.
func (w *Witness) level(line dialogue.Line, rssi int) {
	if w.signalKnown && rssi == 99 && w.signal.RSSI <= 31 {
		w.start.lostLevel, w.start.noSignal = true, line.Began
	} else if rssi != 99 {
		w.start.lostLevel = false
	}
	w.signal, w.signalKnown = Signal{RSSI: rssi, Line: line}, true
}

// lostAtOnce: a lost network alone is a tunnel. Lost level and registration
// from the beginning, right after a sending command that never got its final
// result, is a module that started anew.
func (w *Witness) lostAtOnce(line dialogue.Line, before, stat int) {
	s := &w.start
	if !w.TimesKnown || !s.lostLevel || s.lostSend == nil || !IsRegistered(before) || stat != 0 && stat != 2 {
		return
	}
	if line.Began.Sub(s.noSignal) <= sameStart && line.Began.Sub(s.lostSend.DoneAt) <= sameStart {
		w.restarted(s.lostSend, line, "level and registration gone after a sending command that was never answered", weak)
	}
}
