package rulebook

import (
	"time"

	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
)

// Transmissions knows when the radio was sending at length, as far as the
// dialogue shows it.
type Transmissions struct {
	open  []*dialogue.Exchange // sending commands that are not over
	spans [maxSpans]span       // the last ones that are, the newest first
	until when.Instant         // when the last of them ends
}

type span struct {
	from, to when.Instant
	what     string
}

const (
	// maxSpans is how many are kept: an epoch is asked about a second or two
	// after it began, and no more than a few commands fit into that.
	maxSpans = 8

	// after is how long the radio goes on when a command is over: the network
	// releases the channel a moment later. Our estimate.
	after = time.Second

	// dataTail is the same for data, of which nobody says when it has left. Our estimate.
	dataTail = 3 * time.Second
)

// WatchTransmissions returns what follows the radio from here on. Ask for it in
// Watch, before the rule's own handlers.
func (p *Pass) WatchTransmissions() *Transmissions {
	t := &Transmissions{}
	p.OnAsked(func(x *dialogue.Exchange) {
		if sending(x) != "" {
			t.open = append(t.open, x)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		for i, o := range t.open {
			if o == x {
				t.open = append(t.open[:i], t.open[i+1:]...)
				if from, ok := sentFrom(x); ok {
					t.keep(span{from, x.DoneAt.Add(after), sending(x)})
				}
				return
			}
		}
	})
	p.OnData(func(l dialogue.Line) {
		if l.From == capture.Controller {
			t.keep(span{l.Began, l.At.Add(dataTail), "data"})
		}
	})
	return t
}

func (t *Transmissions) keep(s span) {
	copy(t.spans[1:], t.spans[:])
	t.spans[0] = s
	t.until = max(t.until, s.to)
}

// At says whether the radio was sending at an instant, and for which command.
func (t *Transmissions) At(at when.Instant) (what string, ok bool) {
	if len(t.open) == 0 && at > t.until {
		return "", false // most of the time
	}
	for _, x := range t.open {
		if from, ok := sentFrom(x); ok && at >= from {
			return sending(x), true
		}
	}
	for i := range t.spans {
		if s := &t.spans[i]; s.what != "" && at >= s.from && at <= s.to {
			return s.what, true
		}
	}
	return "", false
}

// sending names the command of a line that makes the radio send; "" for none.
func sending(x *dialogue.Exchange) string {
	for i := range x.Parsed.Commands {
		if c := &x.Parsed.Commands[i]; Transmits(c) {
			return Name(c)
		}
	}
	return ""
}

// sentFrom is when the radio began: a message leaves when its text is complete.
func sentFrom(x *dialogue.Exchange) (when.Instant, bool) {
	if !x.Text.IsZero() {
		return x.Text.At, true
	}
	return x.AskedAt, !x.Is("+CMGS")
}
