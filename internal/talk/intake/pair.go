package intake

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"firstfix/internal/talk/capture"
	"firstfix/internal/wire/at"
)

// OpenPair reads two recordings of one talk: what the controller sent, and what
// the module sent. They are merged by their times when both have them, else by
// the order of a dialogue: a command, its answer, the next command.
func OpenPair(controller, module io.Reader, opt Options) (capture.Source, error) {
	p := &pair{byTime: true}
	p.info = capture.Info{Kind: "pair", DirectionsKnown: true}
	var bodies []string
	for i, r := range [...]io.Reader{controller, module} {
		name := [...]string{"the controller's file", "the module's file"}[i]
		l, err := look(r, name)
		if err != nil {
			return nil, err
		}
		s := &spoken{lines: newLineReader(l.r, l.byCR)}
		if f, ok := lookStamped(l.lines); ok && f.shape != noStamp && l.speaks(f) {
			s.format = f
		}
		for _, t := range l.lines {
			if s.format != nil {
				_, _, t, _ = s.format.payload(t)
				t, _ = s.format.unwrap(t)
			}
			bodies = append(bodies, t)
		}
		p.byTime = p.byTime && s.format != nil
		for _, a := range l.assumed {
			p.info.Assumed = append(p.info.Assumed, name+": "+a)
		}
		p.sides[i].spoken = s
	}
	p.begin()
	p.says = &speaker{}
	prepared := spoken{}
	sure, all := showsEnds(bodies)
	prepared.prepare(bodies, sure, all)
	*p.says = prepared.says
	p.says.doubled = false
	return watch(p), nil
}

// pair is two recordings that are merged.
type pair struct {
	sides  [2]pairSide // controller, module
	byTime bool
	says   *speaker
	next   int
	info   capture.Info

	open bool // by order: a command waits for its final result
	text bool // by order: the module has asked for text
	last string
}

// pairSide is one of the two, with the line that comes next.
type pairSide struct {
	*spoken
	line textLine
	said string
	have bool
	err  error
}

// begin puts both clocks to the earlier of the two first times.
func (p *pair) begin() {
	if !p.byTime || p.sides[0].format.shape != p.sides[1].format.shape {
		p.byTime = false
		p.info.Assumed = append(p.info.Assumed, noTimes,
			"two files without common times: each command was put before the first answer that was not yet used")
		return
	}
	a, b := &p.sides[0].format.first, &p.sides[1].format.first
	if a.days < 0 || b.days < 0 {
		a.days, b.days = -1, -1
	}
	if b.days < a.days || b.days == a.days && b.nanos < a.nanos {
		a, b = b, a
	}
	*b = *a
	p.info.TimesKnown = true
	began, assumed := clockOf(*a, p.sides[0].format.shape)
	p.info.Began = began
	p.info.Assumed = append(p.info.Assumed, "two files, merged by their times: their clocks were taken as one")
	if assumed != "" {
		p.info.Assumed = append(p.info.Assumed, assumed)
	}
}

// peek fills the line that comes next of one side.
func (p *pair) peek(i int) bool {
	s := &p.sides[i]
	for !s.have && s.err == nil {
		s.line, s.err = s.lines.next()
		if s.err != nil {
			break
		}
		if s.line.more || s.line.rest {
			if s.long == 0 {
				s.long = s.line.number
			}
			s.said = s.line.raw
			s.have = true
			break
		}
		s.said = s.line.text
		if s.format != nil {
			s.said = s.stamped(s.line)
			if s.said == "" {
				continue
			}
		}
		s.have = true
	}
	return s.have
}

// Next returns the next record.
func (p *pair) Next() (capture.Record, error) {
	for p.next >= len(p.says.queue) {
		p.says.queue, p.next = p.says.queue[:0], 0
		c, m := p.peek(0), p.peek(1)
		for i := range p.sides {
			if err := p.sides[i].err; err != nil && !errors.Is(err, io.EOF) {
				return capture.Record{}, readError(err)
			}
		}
		if !c && !m {
			return capture.Record{}, io.EOF
		}
		side := 0
		switch {
		case !c:
			side = 1
		case !m:
		case p.byTime:
			if p.sides[1].at < p.sides[0].at {
				side = 1
			}
		default:
			side = p.turn()
		}
		p.take(side)
	}
	r := p.says.queue[p.next]
	p.says.queue[p.next] = capture.Record{}
	p.next++
	return r, nil
}

// turn says whose line comes next, when nothing but the order can tell.
func (p *pair) turn() int {
	c, m := strings.TrimSpace(p.sides[0].said), strings.TrimSpace(p.sides[1].said)
	switch {
	case m == c: // the echo of what comes next
		return 0
	case p.text, p.open && !isCommand(c) && p.says.writing:
		if isFinal(m) && isCommand(c) {
			return 1
		}
		return 0
	case p.open, m == p.last, m == "", isSentence(m):
		return 1
	}
	// Nothing waits for an answer. What cannot be an answer to the next command comes first.
	name, _ := at.AnswerName(m)
	if name != "" {
		if _, own := at.ParseLine(c).Find(name); !own {
			return 1
		}
	}
	return 0
}

// take hands the next line of one side on.
func (p *pair) take(i int) {
	s := &p.sides[i]
	s.have = false
	from := [...]capture.Direction{capture.Controller, capture.Module}[i]
	if !p.byTime {
		s.at = p.says.last + 1
	}
	if s.line.more || s.line.rest {
		p.says.say(from, s.said, s.at, s.line.number)
		return
	}
	raw := s.line.raw
	if s.format != nil {
		raw = ""
	}
	for part := range strings.SplitSeq(s.said, "\r") {
		p.follow(i, strings.TrimSpace(part))
		if part != s.said {
			raw = ""
		}
		p.says.line(from, part, raw, s.at, s.line.number)
	}
}

// follow keeps the order of the dialogue in mind.
func (p *pair) follow(i int, t string) {
	switch {
	case i == 0 && isCommand(t):
		p.open, p.text, p.last = true, false, t
	case i == 0 && p.text:
		p.text = !strings.HasSuffix(undoTextEnd(t), "\x1a") && !strings.HasSuffix(undoTextEnd(t), "\x1b")
	case i == 1 && strings.HasPrefix(t, ">"):
		p.text = p.says.awaiting || p.says.writing
	case i == 1 && t == p.last:
		p.last = ""
	case i == 1 && isFinal(t):
		p.open, p.text = false, false
	}
}

// Info says what is known so far.
func (p *pair) Info() capture.Info {
	info := p.info
	info.Assumed = append(slices.Clip(info.Assumed), p.says.assumed()...)
	for i := range p.sides {
		if n := p.sides[i].backAt; n > 0 {
			info.Assumed = append(info.Assumed, fmt.Sprintf("times of one file go back at its line %d: such lines were put at the time of the one before", n))
		}
		info = withLong(info, p.sides[i].long)
	}
	return info
}
