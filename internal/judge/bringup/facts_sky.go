package bringup

import (
	"math"
	"sort"
	"strings"
	"time"

	"firstfix/internal/earth/fix"
	"firstfix/internal/earth/geo"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/maybe"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/talk/epoch"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/nmea"
	"firstfix/internal/wire/sheet"
)

// SkyFacts are what the receiver heard.
type SkyFacts struct {
	EngineOn    Seen // the command that powers it, with OK
	EngineNo    Seen // the same, with an error
	OnAt        when.Instant
	Stream      Seen // the command that starts the sentences, with OK
	First, Last when.Instant
	Epochs      int
	Reports     int              // epochs that said what is in view
	InView      maybe.Value[int] // the most in one epoch
	Tracked     maybe.Value[int] // with a level, the most in one epoch
	Used        maybe.Value[int] // the most in one epoch
	Best        maybe.Value[float64]
	Top4        maybe.Value[float64] // the best mean of the four strongest in one epoch
	Typical     maybe.Value[float64] // the level of the fourth strongest in the epoch of Top4
	TopAt       dialogue.Line        // the sentence that tells of them
	SkyAt       dialogue.Line        // the last that tells what is in view
	TimeKnown   bool                 // the receiver told the time: it has heard something once
	Antenna     string               // what a TXT sentence said about the antenna
	AntennaAt   dialogue.Line
	Unread      Seen // answers of position.read
}

// FixFacts are what the receiver made of it.
type FixFacts struct {
	Valid     Seen
	Void      Seen
	FirstAt   when.Instant
	LastAt    when.Instant
	Last      fix.Fix // the last valid one
	LastSeen  maybe.Value[geo.Point]
	BestHDOP  maybe.Value[float64]
	LastHDOP  maybe.Value[float64]
	Estimated int

	RadioOff, RadioOn Seen // valid ones with the cellular radio off, and with it on or not known to be off
	VoidRadioOn       int  // void ones with it on
	Starts, Slow      int  // first fixes after a start of the engine, and those that took as long as a cold start
	searching         bool // since since, after a start
	since             when.Instant
}

// coldFor is how long a start without memory takes at the least: each satellite says its
// orbit once in 30 s (IS-GPS-200 20.3.3, from memory); some are caught in the middle.
const coldFor = 25 * time.Second

func (f *Facts) watchSky(p *rulebook.Pass) {
	s := &f.Sky
	p.OnSentence(func(l dialogue.Line, x *nmea.Sentence) {
		f.at(l.At)
		f.sentenceSeen(l, x)
		if s.First == 0 {
			s.First = l.At
		}
		s.Last = l.At
		switch x.Type {
		case "TXT":
			f.antennaText(l, x)
		case "GSV":
			s.SkyAt = l
		}
	})
	p.OnEpoch(f.epoch)
	prefixed := epoch.New()
	var scanned nmea.Sentence
	var done []*epoch.Epoch
	quoted := func(l dialogue.Line, a at.Answer) {
		if len(a.Params) == 0 || nmea.Scan(a.Params[0].Text, &scanned) != nil {
			return
		}
		f.sentenceSeen(l, &scanned)
		source := epoch.Source{Record: l.Record, SourceLine: l.SourceLine, At: l.Began, Text: a.Params[0].Text}
		done = prefixed.Add(source, &scanned, done[:0])
		for _, e := range done {
			f.epoch(e)
		}
	}
	// 27.007 8.50: +CMOLRN: "<sentence>".
	p.OnReport("+CMOLRN", func(l, _ dialogue.Line, a at.Answer) { quoted(l, a) })
	p.OnEnd(func() {
		for _, e := range prefixed.End(done[:0]) {
			f.epoch(e)
		}
	})
	f.watchDuties(p)
}

// watchDuties follows what the sheet says about the position engine.
func (f *Facts) watchDuties(p *rulebook.Pass) {
	if f.sheet == nil {
		return
	}
	s := &f.Sky
	follow := func(duty string, see func(x *dialogue.Exchange)) {
		d, ok := f.sheet.Duty(duty)
		if !ok {
			return
		}
		line := at.ParseLine(d.Send)
		if len(line.Commands) == 0 {
			return
		}
		c := line.Commands[0]
		p.OnResult(c.Name, func(x *dialogue.Exchange, got *at.Command) {
			if got.Form == c.Form && got.Value == c.Value {
				see(x)
			}
		})
	}
	follow(sheet.PositionOn, func(x *dialogue.Exchange) {
		switch {
		case x.Result.Kind == at.OK:
			if !s.EngineOn.Is() {
				s.OnAt = x.DoneAt
			}
			s.EngineOn.see(x.Final)
			f.engineStarted(x.DoneAt)
		case x.Result.Failed():
			s.EngineNo.see(x.Final)
		}
	})
	follow(sheet.PositionStream, func(x *dialogue.Exchange) {
		if x.Result.Kind == at.OK {
			s.Stream.see(x.Final)
		}
	})
	if d, ok := f.sheet.Duty(sheet.PositionRead); ok && d.Answer.Shape == sheet.Fields {
		p.OnInfo(d.Answer.Prefix, func(_ *dialogue.Exchange, l dialogue.Line, a at.Answer) { f.readPosition(l, a) })
	}
}

// readPosition takes in an answer of position.read.
func (f *Facts) readPosition(l dialogue.Line, a at.Answer) {
	position, err := f.sheet.ReadPosition(a)
	if err != nil {
		f.Sky.Unread.see(l)
	}
	valid, _ := position.Valid.Get()
	if n, ok := position.Satellites.Get(); ok && n > f.Sky.Used.Or(-1) {
		f.Sky.Used = maybe.Known(n)
	}
	f.Sky.TimeKnown = f.Sky.TimeKnown || position.UTC.IsKnown()
	lat, okLat := position.LatDeg.Get()
	lon, okLon := position.LonDeg.Get()
	if !valid || !okLat || !okLon {
		f.void(l, position.UTC.IsKnown())
		return
	}
	f.Counts.ValidFixes++
	point := geo.Point{LatDeg: lat, LonDeg: lon}
	f.fixed(l, fix.Fix{At: l.At, UTC: position.UTC, Point: maybe.Known(point), Valid: true, HDOP: position.HDOP, SatellitesUsed: position.Satellites})
}

// engineStarted takes in that the engine began anew.
func (f *Facts) engineStarted(at when.Instant) { f.Fix.searching, f.Fix.since = true, at }

// radioIsOff says that the cellular radio is known to be off.
func (f *Facts) radioIsOff() bool {
	n, ok := f.Module.Radio.Get()
	return ok && (n == 0 || n == 4)
}

// void takes in a position that is none.
func (f *Facts) void(l dialogue.Line, timeKnown bool) {
	x := &f.Fix
	x.Void.see(l)
	if !f.radioIsOff() {
		x.VoidRadioOn++
	}
	if !timeKnown && x.Valid.Is() && !x.searching {
		f.engineStarted(l.At) // even the time is gone: it began anew
	}
}

func (f *Facts) fixed(l dialogue.Line, x fix.Fix) {
	if f.radioIsOff() {
		f.Fix.RadioOff.see(l)
	} else {
		f.Fix.RadioOn.see(l)
	}
	if f.Fix.searching {
		f.Fix.searching = false
		f.Fix.Starts++
		if f.Times() && l.At.Sub(f.Fix.since) >= coldFor {
			f.Fix.Slow++
		}
	}
	if !f.Fix.Valid.Is() {
		f.Fix.FirstAt = l.At
	}
	f.Fix.Valid.see(l)
	f.Fix.Last, f.Fix.LastAt, f.Fix.LastSeen = x, l.At, x.Point
	if h, ok := x.HDOP.Get(); ok {
		f.Fix.LastHDOP = x.HDOP
		if best, known := f.Fix.BestHDOP.Get(); !known || h < best {
			f.Fix.BestHDOP = x.HDOP
		}
	}
}

// epoch takes in all that was said of one instant of measurement.
func (f *Facts) epoch(e *epoch.Epoch) {
	s := &f.Sky
	f.Counts.Epochs++
	s.Epochs++
	line := lineOf(e)
	s.TimeKnown = s.TimeKnown || e.Fix.TimeOfDay.IsKnown() || e.Fix.UTC.IsKnown()
	if n, ok := e.Fix.SatellitesUsed.Get(); ok && n > s.Used.Or(-1) {
		s.Used = maybe.Known(n)
	}
	if e.SkyKnown {
		f.skyOf(e)
	}
	switch {
	case e.Fix.Valid && e.Fix.Point.IsKnown():
		f.Counts.ValidFixes++
		f.fixed(line, e.Fix)
	case e.Fix.Mode == "estimated":
		f.Fix.Estimated++
		f.void(line, true)
	default:
		f.void(line, e.Fix.TimeOfDay.IsKnown() || e.Fix.UTC.IsKnown())
	}
}

func (f *Facts) skyOf(e *epoch.Epoch) {
	s := &f.Sky
	s.Reports++
	if len(e.Satellites) > s.InView.Or(-1) {
		s.InView = maybe.Known(len(e.Satellites))
	}
	var levels [64]float64 // more satellites than any receiver tracks
	n := 0
	for i := range e.Satellites {
		if level, ok := e.Satellites[i].CN0DBHz.Get(); ok && level > 0 && n < len(levels) {
			levels[n] = level
			n++
		}
	}
	if n > s.Tracked.Or(-1) {
		s.Tracked = maybe.Known(n)
	}
	heard := levels[:n]
	sort.Float64s(heard)
	if n > 0 && heard[n-1] > s.Best.Or(-1) {
		s.Best = maybe.Known(heard[n-1])
		if !s.Top4.IsKnown() {
			s.TopAt = strongest(e)
		}
	}
	if n < 4 {
		return
	}
	mean := (heard[n-1] + heard[n-2] + heard[n-3] + heard[n-4]) / 4
	if mean > s.Top4.Or(-1) {
		s.Top4, s.Typical, s.TopAt = maybe.Known(math.Round(mean*10)/10), maybe.Known(heard[n-4]), strongest(e)
	}
}

// antennaText keeps what a TXT sentence says about the antenna. The words are makers'
// own; what they share is the word ANTENNA or ANT (common practice, no source).
func (f *Facts) antennaText(l dialogue.Line, x *nmea.Sentence) {
	text := strings.ToUpper(x.Field(4))
	if !strings.Contains(text, "ANT") {
		return
	}
	for _, word := range []string{"OPEN", "SHORT", "OK"} {
		if strings.Contains(text, word) {
			f.Sky.Antenna, f.Sky.AntennaAt = word, l
		}
	}
}

// lineOf makes a line of an epoch's telling sentence, so that it can be quoted.
func lineOf(e *epoch.Epoch) dialogue.Line {
	if len(e.Sources) == 0 {
		return dialogue.Line{Record: 1, Began: e.Began, At: e.At, From: capture.Module}
	}
	return sourceLine(e, rulebook.Origin(e))
}

func sourceLine(e *epoch.Epoch, s epoch.Source) dialogue.Line {
	return dialogue.Line{Record: s.Record, SourceLine: s.SourceLine, Began: e.Began, At: e.At, From: capture.Module, Text: s.Text}
}

// strongest is the sentence of an epoch that tells of its strongest satellite. Where the
// satellites were told in an epoch before, it is the telling sentence of this one.
func strongest(e *epoch.Epoch) dialogue.Line {
	var scanned nmea.Sentence
	var told nmea.GSV
	best, line := -1.0, lineOf(e)
	for _, src := range e.Sources {
		if !strings.Contains(src.Text, "GSV,") || nmea.Scan(src.Text, &scanned) != nil {
			continue
		}
		told = nmea.GSV{}
		_ = told.Decode(&scanned) // a bad field costs that field
		for _, v := range told.Seen() {
			if level := v.CN0DBHz.Or(0); level > best {
				best, line = level, sourceLine(e, src)
			}
		}
	}
	return line
}
