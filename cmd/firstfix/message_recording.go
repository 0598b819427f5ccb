package main

import (
	"context"
	"errors"
	"io"
	"strconv"
	"strings"

	"firstfix/internal/judge/witness"
	"firstfix/internal/maybe"
	"firstfix/internal/script/message"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// placed says where a message stands in a recording.
type placed struct {
	record int
	source int // line of the file
	at     when.Instant
	timed  bool
}

// A picker picks the messages out of a dialogue, with the settings that were in force.
type picker struct {
	witness witness.Witness
	each    func(where placed, m *message.Message)
	timed   bool
	store   storeOfTexts
}

// recording shows the messages of a whole recording, as they come.
func (k *messageSink) recording(ctx context.Context, src capture.Source) error {
	k.full = k.o.fields
	k.begin(src.Info())
	last, err := pickMessages(ctx, src, k.show, k.unreadable)
	k.end(last)
	return err
}

// pickMessages reads a recording, record by record, and hands each message to each. It
// returns when the last record passed. A line that cannot be read is told to unreadable.
func pickMessages(ctx context.Context, src capture.Source, each func(placed, *message.Message), unreadable func(error)) (last when.Instant, err error) {
	p := picker{timed: src.Info().TimesKnown, each: each}
	p.witness.TimesKnown = p.timed
	a := dialogue.New()
	var events []dialogue.Event
	for n := 0; ; n++ {
		r, err := src.Next()
		var line *capture.LineError
		switch {
		case errors.Is(err, io.EOF):
			p.events(a.End(events[:0]))
			p.unsent()
			return last, nil
		case errors.As(err, &line):
			unreadable(err)
			continue // the reader goes on with the next line
		case err != nil:
			return last, &stop{Status: statusCannot, Err: err}
		case n%4096 == 0 && ctx.Err() != nil:
			return last, &stop{Status: statusCannot, Err: errors.New("stopped; what was read so far is above")}
		}
		last = r.At
		events = a.Feed(r, events[:0])
		p.events(events)
	}
}

func (p *picker) events(events []dialogue.Event) {
	for i := range events {
		e := &events[i]
		switch e.Kind {
		case dialogue.Asked:
			p.sentFromStore(e.X)
		case dialogue.Texted:
			p.texted(e.X)
		case dialogue.Unsolicited:
			p.arrived(e)
		case dialogue.Answered:
			p.stored(e.X)
			p.written(e.X)
		}
		p.witness.See(e)
	}
}

func (p *picker) where(l dialogue.Line) placed {
	return placed{record: l.Record, source: l.SourceLine, at: l.At, timed: p.timed}
}

// settings are those in force for a command: its own line counts before what was
// accepted earlier, and nothing counts that a restart may have undone.
func (p *picker) settings(x *dialogue.Exchange) message.Settings {
	value := func(name string) string {
		if x != nil {
			if c, ok := x.Parsed.Find(name); ok && c.Form == at.Set {
				return c.Value
			}
		}
		if s, ok := p.witness.Setting(name); ok && !s.Lost {
			return s.Value
		}
		return ""
	}
	return message.SettingsOf(value("+CSMP"), value("+CSCS"))
}

// texted takes in a text that the controller sent.
func (p *picker) texted(x *dialogue.Exchange) {
	const cancelled = 0x1B // TS 27.005 3.5.1
	c, ok := x.Parsed.Find("+CMGS")
	if !ok || x.Text.IsZero() || x.TextEnd == cancelled {
		return
	}
	p.each(p.where(x.Text), p.given(x, &c))
}

// given reads the text or PDU that followed a +CMGS or +CMGW.
func (p *picker) given(x *dialogue.Exchange, c *at.Command) *message.Message {
	if told, isLength := lengthOf(c); isLength && isPDU(x.Text.Text) {
		return message.ReadPDU(x.Text.Text, true, told)
	}
	return message.ReadTyped(x.Command.Text, x.Text.Text, p.settings(x))
}

// lengthOf reads the length that stands in +CMGS and +CMGW in PDU mode: at most three bare
// digits; +CMGW may have a status behind it (TS 27.005 clauses 4.3 and 4.4).
func lengthOf(c *at.Command) (int, bool) {
	most := 1
	if c.Name == "+CMGW" {
		most = 2
	}
	if len(c.Params) == 0 || len(c.Params) > most || c.Params[0].Quoted || len(c.Params[0].Text) > 3 {
		return 0, false
	}
	n, err := strconv.Atoi(c.Params[0].Text)
	return n, err == nil
}

// arrived takes in a message that came unasked.
func (p *picker) arrived(e *dialogue.Event) {
	if _, ok := message.HasHead(e.Line.Text); !ok {
		return
	}
	if m, ok := message.ReadLine(e.Line.Text, e.Body.Text, p.settings(nil)); ok {
		p.each(p.where(e.Line), m)
	}
}

// stored takes in the messages that an answer holds.
func (p *picker) stored(x *dialogue.Exchange) {
	if len(x.Info) == 0 {
		return
	}
	name := ""
	for _, n := range [...]string{"+CMGR", "+CMGL"} {
		if x.Is(n) {
			name = n
		}
	}
	if name == "" {
		return
	}
	lines := make([]string, len(x.Info))
	for i, l := range x.Info {
		lines[i] = l.Text
	}
	from := 0
	for _, block := range message.Stored(name, lines) {
		for from < len(lines) && lines[from] != block[0] {
			from++
		}
		m, ok := message.ReadLine(block[0], strings.Join(block[1:], "\n"), p.settings(nil))
		if !ok || from == len(lines) {
			continue
		}
		if c, found := x.Parsed.Find("+CMGR"); found && len(c.Params) > 0 {
			if n, err := strconv.Atoi(c.Params[0].Text); err == nil {
				m.Index = maybe.Known(n)
			}
		}
		p.each(p.where(x.Info[from]), m)
		from++
	}
}
