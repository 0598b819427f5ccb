package positions

import (
	"io"
	"strings"
	"time"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
	"firstfix/internal/judge/witness"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/intake"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"
)

// recording reads the recording of a line: the sentences in it, the answers to the question
// for the position, and the positions in texts that went either way.
type recording struct {
	src      capture.Source
	feed     *feed
	sheet    *sheet.Sheet
	dialogue *dialogue.Assembler
	witness  witness.Witness
	events   []dialogue.Event
	ended    error
	told     int // places told in texts
}

func newRecording(r io.Reader, name, kind string, o Options) (track.Source, error) {
	src, err := intake.Open(r, name, intake.Options{Kind: kind})
	if err != nil {
		return nil, err
	}
	c := &recording{src: src, feed: newFeed(name), sheet: o.Sheet, dialogue: dialogue.New()}
	info := src.Info()
	c.witness.TimesKnown, c.feed.timed = info.TimesKnown, info.TimesKnown
	if began, err := time.Parse(time.RFC3339Nano, info.Began); err == nil {
		c.feed.began = maybe.Known(began)
	}
	return c, nil
}

func (c *recording) About() track.About {
	info := c.src.Info()
	return track.About{File: c.feed.name, Kind: info.Kind, Assumed: info.Assumed, Passed: c.feed.passed()}
}

func (c *recording) Next(s *track.Sighting) error {
	for {
		if c.feed.take(s) {
			return nil
		}
		if c.ended != nil {
			c.feed.into = nil
			return c.ended
		}
		record, err := c.src.Next()
		if err != nil {
			c.ended = err
			c.handle(c.dialogue.End(c.events[:0]))
			c.feed.end()
		} else if line, ok := c.dialogue.Sentence(&record); ok {
			c.feed.sentence(line.Text, line.Record, line.SourceLine, line.Began)
		} else {
			c.handle(c.dialogue.Feed(record, c.events[:0]))
		}
		if c.feed.into == nil {
			return nil
		}
	}
}

func (c *recording) handle(events []dialogue.Event) {
	c.events = events
	for i := range events {
		e := &events[i]
		switch e.Kind {
		case dialogue.Sentence:
			if at := strings.IndexByte(e.Line.Text, '$'); at >= 0 {
				c.feed.sentence(e.Line.Text[at:], e.Line.Record, e.Line.SourceLine, e.Line.Began)
			}
		case dialogue.Answered:
			for _, line := range e.X.Info {
				c.answer(line)
			}
		case dialogue.Unsolicited:
			c.answer(e.Line)
		case dialogue.Stray, dialogue.Garbled:
			c.words(e.Line.Text, e.Line, "line")
		}
		seen := c.witness.See(e)
		for _, m := range seen.Messages {
			if !m.Out && m.Body != "" {
				c.words(m.Body, m.Line, "text received")
			}
		}
		for _, p := range seen.Positions {
			what := "text sent"
			if p.Message == nil {
				what = "data sent"
			}
			c.tell(&p.Reading, p.Text, p.Line, what)
		}
	}
}

// words finds the positions in a text.
func (c *recording) words(text string, line dialogue.Line, what string) {
	for _, r := range geo.FindAll(text, maxPlaces) {
		whole := text[r.At : r.At+r.Len]
		c.tell(&r, whole, line, what)
	}
}

// tell makes a sighting of a position in somebody's words. It has no time of its own: when
// it was heard is all that is known.
func (c *recording) tell(r *geo.Reading, text string, line dialogue.Line, what string) {
	reading := *r
	reading.At, reading.Len = 0, len(text)
	s := toldSighting(&reading, text, c.feed.origin(line.Record, line.SourceLine, what))
	s.At = line.Began
	c.feed.clock(&s)
	c.told++
	c.feed.ready = append(c.feed.ready, s)
}

// answer reads the answer to the question for the position, as the sheet spells it.
func (c *recording) answer(line dialogue.Line) {
	if c.sheet == nil {
		return
	}
	a, ok := at.ParseAnswer(line.Text)
	if !ok {
		return
	}
	p, err := c.sheet.ReadPosition(a)
	if !p.LatDeg.IsKnown() && !p.Valid.IsKnown() {
		return
	}
	s := track.Sighting{From: c.feed.origin(line.Record, line.SourceLine, "answer")}
	s.At = line.Began
	c.feed.clock(&s)
	fillAnswer(&s, &p, line.Began)
	if err != nil && !s.Point.IsKnown() {
		s.Void = err.Error()
	}
	c.feed.ready = append(c.feed.ready, s)
}

func fillAnswer(s *track.Sighting, p *sheet.Position, at when.Instant) {
	lat, ok1 := p.LatDeg.Get()
	lon, ok2 := p.LonDeg.Get()
	if ok1 && ok2 {
		s.Point = maybe.Known(geo.Point{LatDeg: lat, LonDeg: lon})
	}
	s.UTC, s.TimeOfDay = p.UTC, p.TimeOfDay
	s.AltitudeM, s.CourseDeg, s.HDOP, s.PDOP, s.VDOP, s.SatellitesUsed = p.AltitudeM, p.CourseDeg, p.HDOP, p.PDOP, p.VDOP, p.Satellites
	if kmh, ok := p.SpeedKMH.Get(); ok {
		s.SpeedMPS = maybe.Known(kmh / 3.6)
	}
	valid, said := p.Valid.Get()
	switch {
	case said && !valid:
		s.Void = "the answer says that it does not hold"
	case !ok1 || !ok2:
		s.Void = "no position"
	default:
		s.Valid = true
	}
}
