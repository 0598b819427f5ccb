package intake

import (
	"strings"

	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// A speaker turns lines of a recording back into what passed the wire: it says
// who sent a line, when the recording does not, and gives it the line end that a
// recording loses.
type speaker struct {
	queue   []capture.Record
	records int
	last    when.Instant

	literal  bool // lines show their own ends: nothing is added
	pictures bool // control bytes are shown as pictures
	all      bool // \r and \n too
	seesSub  bool // the recording shows the byte that ends a text
	doubled  bool // commands stand twice: as typed and as echoed

	awaiting bool   // a command asked for text, its prompt has not come
	writing  bool   // the prompt has come
	wrote    bool   // some of the text is written
	over     bool   // an empty line has ended the text
	answered bool   // a final result has come since the last command
	body     bool   // the next line is the text of a message
	blank    bool   // an empty line stood before this one
	framed   bool   // one stood before the header of the message: an empty line also ends its text
	more     bool   // the text of such a message may go on
	command  string // the last command, until it was echoed

	inferred, undecided, subs, ends bool // what was assumed on the way

	room strings.Builder // where lines get their ends: many in one piece of memory
}

// say hands on bytes as they are.
func (s *speaker) say(from capture.Direction, bytes string, at when.Instant, number int) {
	if bytes == "" {
		return
	}
	s.records++
	s.last = max(s.last, at)
	s.queue = append(s.queue, capture.Record{Number: s.records, SourceLine: number, At: s.last, From: from, Bytes: bytes})
}

// note hands on the logger's own words.
func (s *speaker) note(text string, at when.Instant, number int) {
	s.records++
	s.last = max(s.last, at)
	s.queue = append(s.queue, capture.Record{Number: s.records, SourceLine: number, At: s.last, Event: "note: " + text})
}

// line takes one line of the recording. from may be Unknown; raw is the line
// with an end that can stand for the module's, or "".
func (s *speaker) line(from capture.Direction, text, raw string, at when.Instant, number int) {
	if from != capture.Controller && s.plainSentence(text) {
		s.sentence(from, text, raw, at, number)
		return
	}
	if s.pictures {
		text, raw = undoPictures(text, s.all), ""
	}
	if s.literal && from != capture.Unknown {
		s.say(from, text, at, number)
		return
	}
	if s.literal {
		text = strings.Trim(text, "\r\n")
	}
	bare := strings.Trim(text, "\x00")
	if strings.TrimSpace(bare) == "" {
		s.over = s.writing && s.wrote
		s.blank, s.more = true, false
		if from != capture.Controller && !s.writing {
			s.say(capture.Module, "\r\n", at, number)
		} else if bare != text {
			s.say(from, text, at, number)
		}
		return
	}
	if from == capture.Unknown {
		from = s.who(bare)
		s.inferred = true
	}
	defer func() { s.blank = false }()
	switch from {
	case capture.Controller:
		s.controller(text, bare, at, number)
	case capture.Module:
		s.module(text, bare, raw, at, number)
	default:
		s.undecided = true
		s.say(capture.Unknown, text+"\r\n", at, number)
	}
}

// plainSentence says that a line is a GNSS sentence that needs no closer look:
// most lines of a long recording are.
func (s *speaker) plainSentence(text string) bool {
	return !s.literal && !s.pictures && isSentence(text) && text[len(text)-1] > ' '
}

// sentence takes a sentence of the module.
func (s *speaker) sentence(from capture.Direction, text, raw string, at when.Instant, number int) {
	s.inferred = s.inferred || from == capture.Unknown
	s.body, s.more, s.blank, s.ends = false, false, false, true
	if len(raw) != len(text)+2 || raw[len(text):] != "\r\n" {
		raw = s.ended(text)
	}
	s.say(capture.Module, raw, at, number)
}

// roomSize is how much memory lines share. Whoever keeps one line keeps all of
// it alive, so it is small.
const roomSize = 8 << 10

// ended returns a line with CR LF behind it.
func (s *speaker) ended(text string) string {
	if len(text) > roomSize/8 {
		return text + "\r\n"
	}
	if s.room.Cap()-s.room.Len() < len(text)+2 {
		s.room = strings.Builder{}
		s.room.Grow(roomSize)
	}
	start := s.room.Len()
	s.room.WriteString(text)
	s.room.WriteString("\r\n")
	return s.room.String()[start:]
}

// who says who sent a line, by its grammar and by what was said before.
func (s *speaker) who(t string) capture.Direction {
	switch {
	case s.body:
		return capture.Module
	case s.isPrompt(t):
		return capture.Module
	case isCommand(t):
		if s.doubled && t == s.command {
			return capture.Module
		}
		return capture.Controller
	case isResult(t), isAnswer(t), isSentence(t):
		return capture.Module
	case s.awaiting, s.writing && !s.over:
		return capture.Controller
	case t[0] == 0x1A || t[0] == 0x1B:
		return capture.Controller
	case s.more, s.command != "" && !s.answered, isBanner(t), foreignShare(t) > 30:
		return capture.Module
	}
	return capture.Unknown
}

// isPrompt says whether a line is or begins with a prompt, when one may come.
func (s *speaker) isPrompt(t string) bool {
	return (s.awaiting || s.writing) && t[0] == '>'
}

// controller takes a line of the controller.
func (s *speaker) controller(text, bare string, at when.Instant, number int) {
	if s.awaiting || s.writing {
		text = undoTextEnd(text)
	}
	if strings.Trim(text, "\x1a\x1b+") == "" { // keys, not a line
		s.seesSub = s.seesSub || strings.IndexByte(text, 0x1A) >= 0
		s.writing, s.awaiting, s.wrote = false, false, false
		s.say(capture.Controller, text, at, number)
		return
	}
	s.more = false
	if isCommand(bare) && !s.writing || isCommand(bare) && s.wrote {
		if s.writing && !s.seesSub {
			s.writing = false // the text was left; nothing shows how
		}
		s.ends = true
		s.say(capture.Controller, text+"\r", at, number)
		s.command, s.answered, s.body = bare, false, false
		if !s.writing {
			s.awaiting, s.wrote = wantsText(bare), false
		}
		return
	}
	if s.awaiting || s.writing {
		s.text(text, at, number)
		return
	}
	s.ends = true
	s.say(capture.Controller, text+"\r\n", at, number)
}

// text takes a line of text for a message.
func (s *speaker) text(t string, at when.Instant, number int) {
	t = undoTextEnd(t)
	s.over = false
	if s.wrote {
		t = "\r" + t
	}
	s.wrote = true
	if end := t[len(t)-1]; end == 0x1A || end == 0x1B {
		s.seesSub = true
		s.writing, s.awaiting, s.wrote = false, false, false
	} else if s.awaiting && !s.seesSub {
		// Before the prompt there is one line; where its end is cannot be seen.
		t += "\x1a"
		s.subs = true
		s.wrote = false
	}
	s.say(capture.Controller, t, at, number)
}

// module takes a line of the module.
func (s *speaker) module(text, bare, raw string, at when.Instant, number int) {
	if s.isPrompt(bare) {
		s.prompt(bare, at, number)
		return
	}
	final := isFinal(bare) && !s.body
	if (s.awaiting || s.writing) && (final || strings.HasPrefix(bare, "+CMG") || strings.HasPrefix(bare, "+CNMA")) && !s.body {
		if s.writing && s.wrote && !s.seesSub {
			s.subs = true
			s.say(capture.Controller, "\x1a", at, number)
		}
		s.writing, s.awaiting, s.wrote = false, false, false
	}
	if bare == s.command { // the echo
		s.command = ""
		s.say(capture.Module, text+"\r\r\n", at, number)
		return
	}
	if s.body {
		s.more = s.framed
	} else if isResult(bare) || isAnswer(bare) {
		s.more = false
	}
	s.body = !s.body && announcesText(bare)
	if s.body {
		s.framed, s.more = s.blank, false
	}
	if final {
		s.answered = true
	}
	s.ends = true
	if raw != "" && strings.HasSuffix(raw, "\r\n") && len(raw) == len(text)+2 {
		s.say(capture.Module, raw, at, number)
		return
	}
	s.say(capture.Module, s.ended(text), at, number)
}

// prompt takes a line that begins with a prompt; what stands behind it is the controller's text.
func (s *speaker) prompt(t string, at when.Instant, number int) {
	rest := strings.TrimPrefix(t[1:], " ")
	again := s.writing
	s.awaiting, s.writing = false, true
	s.say(capture.Module, "\r\n> ", at, number)
	if !again {
		s.wrote = false
	}
	if strings.TrimSpace(rest) != "" {
		s.text(rest, at, number)
	}
}

// assumed says in sentences what had to be assumed so far.
func (s *speaker) assumed() []string {
	var out []string
	if s.inferred {
		out = append(out, "directions inferred: lines that begin with AT, and text behind a prompt, were taken as the controller's, the rest as the module's")
	}
	if s.undecided {
		out = append(out, "some lines are neither commands nor answers: they were left to nobody, as a program's own prints")
	}
	if s.ends && !s.literal {
		out = append(out, "line ends are not in the file as they passed the line: commands were given CR, answers CR LF")
	}
	if s.subs {
		out = append(out, "the end of texts (control-Z) is not in the file: where the module answered it was taken as sent")
	}
	return out
}
