package overhear

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/edge/line"
	"firstfix/internal/talk/capture"
	"firstfix/internal/wire/at"
)

// maxLine bounds the lines that are looked at for +IPR: V.250 5.2.1 asks for 40
// characters at least, modules take some hundreds.
const maxLine = 4096

// follower notices that the two ends agree on another speed: +IPR takes effect
// after its result code, which still has the old speed (V.250, 6.2.10).
type follower struct {
	lines   [3][]byte
	pending int // the speed asked for; 0: none
}

// feed takes in bytes of one side and returns the speed from now on, 0 for no change.
func (f *follower) feed(from capture.Direction, b []byte) (baud int) {
	for _, c := range b {
		if c != '\r' && c != '\n' {
			if l := &f.lines[from]; len(*l) < maxLine {
				*l = append(*l, c)
			}
			continue
		}
		text := string(f.lines[from])
		f.lines[from] = f.lines[from][:0]
		if text == "" {
			continue
		}
		if from == capture.Controller {
			f.asked(text)
		} else if got := f.answered(text); got != 0 {
			baud = got
		}
	}
	return baud
}

func (f *follower) asked(text string) {
	if !strings.Contains(strings.ToUpper(text), "+IPR=") {
		return
	}
	c, ok := at.ParseLine(text).Find("+IPR")
	if !ok || c.Form != at.Set || len(c.Params) == 0 {
		return
	}
	// 0 is "follow the controller": nothing to follow for us.
	f.pending, _ = strconv.Atoi(c.Params[0].Text)
}

func (f *follower) answered(text string) (baud int) {
	if f.pending == 0 {
		return 0
	}
	r, ok := at.ParseResult(text)
	if !ok || !r.Kind.Final() {
		return 0
	}
	baud, f.pending = f.pending, 0
	if r.Failed() {
		return 0
	}
	return baud
}

// follow sets the speed of the lines that have one when the ends agree on another.
func (e *Ear) follow(from capture.Direction, b []byte) {
	e.mu.Lock()
	baud := e.speed.feed(from, b)
	e.mu.Unlock()
	if baud == 0 {
		return
	}
	if e.Bridge {
		// The result code must have left at the old speed: 300 baud is the slowest in use.
		time.Sleep(min(time.Duration(len(b))*10*time.Second/300, settle))
	}
	e.setSpeed(capture.Unknown, baud)
}

// settle is enough for "\r\nOK\r\n" at 1200 baud; controllers wait longer before they speak.
const settle = 60 * time.Millisecond

// setSpeed sets the speed of all lines but one, which has it already.
func (e *Ear) setSpeed(but capture.Direction, baud int) {
	told := false
	for _, d := range []capture.Direction{capture.Controller, capture.Module} {
		l := e.lines[d].Load()
		if l == nil || d == but {
			continue
		}
		s, ok := (*l).(line.Speeder)
		if !ok {
			continue
		}
		if err := s.SetBaud(baud); err != nil {
			e.queue.put(e.Clock, capture.Unknown, nil, fmt.Sprintf("note: the %v's side cannot follow to %d baud: %v", d, baud, err))
			continue
		}
		told = true
	}
	if told {
		e.queue.put(e.Clock, capture.Unknown, nil, fmt.Sprintf("speed %d", baud))
	}
}

// speedWatch notices that the program at the other end of a pseudo-terminal has
// set another speed.
type speedWatch struct {
	line line.Line
	last int
}

func (w *speedWatch) changed() int {
	p, ok := w.line.(line.PeerSpeeder)
	if !ok {
		return 0
	}
	baud := p.PeerBaud()
	was := w.last
	w.last = baud
	if baud == 0 || was == 0 || baud == was {
		return 0
	}
	return baud
}

// stateWatch notices changes of the modem-control inputs of a line that has them.
type stateWatch struct {
	line line.Line
	next time.Time
	last string
	none bool
}

func (w *stateWatch) changed() string {
	s, ok := w.line.(line.Stater)
	if !ok || w.none {
		return ""
	}
	now := time.Now()
	if now.Before(w.next) {
		return ""
	}
	w.next = now.Add(statesEvery)
	words, err := s.States()
	if err != nil { // a pseudo-terminal has none
		w.none = true
		return ""
	}
	if words == w.last {
		return ""
	}
	w.last = words
	return words
}
