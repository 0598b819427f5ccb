package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"firstfix/internal/edge/overhear"
	"firstfix/internal/judge/finding"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
)

// listened is docs/formats/listen.schema.json: one line of it.
type listened struct {
	Event    string       `json:"event"` // "ready", "line", "happened", "finding", "withdrawn", "ended"
	AtS      float64      `json:"at_s"`
	From     string       `json:"from,omitempty"`
	Text     string       `json:"text,omitempty"`
	Lines    []string     `json:"lines,omitempty"`
	Bridge   bool         `json:"bridge,omitempty"`
	Rule     string       `json:"rule,omitempty"`
	Severity string       `json:"severity,omitempty"`
	Record   int          `json:"record,omitempty"`
	Records  int          `json:"records,omitempty"`
	Found    int          `json:"found,omitempty"`
	Delays   []delaysJSON `json:"delays,omitempty"`
}

type delaysJSON struct {
	From     string  `json:"from"`
	Pieces   uint64  `json:"pieces"`
	MedianMS float64 `json:"median_ms"`
	P99MS    float64 `json:"p99_ms"`
	MaxMS    float64 `json:"max_ms"`
}

// dialogueScreen shows a dialogue line by line while it goes on. Only one goroutine uses it.
type dialogueScreen struct {
	out     io.Writer
	options listenOptions
	masker  capture.Masker
	hide    hider
	mouths  [3]mouth
	shown   map[foundKey]bool // findings told and still standing
	order   []foundKey
	found   int
}

// mouth is what one side has said of a line so far.
type mouth struct {
	text  []byte
	began when.Instant
	last  when.Instant // when its last byte came
	body  bool         // the next line is what somebody wrote to somebody
}

// foundKey tells findings apart: a rule and the record that shows it first.
type foundKey struct {
	rule   string
	record int
}

// Limits of what is shown at once.
const (
	// lineQuiet: a line without an end is shown after so long a silence.
	lineQuiet = 300 * time.Millisecond
	// maxShown bounds a line on the screen; what never ends is shown in pieces.
	maxShown = 400
)

func newDialogueScreen(s *streams, o listenOptions) *dialogueScreen {
	return &dialogueScreen{out: s.Out, options: o, hide: hider{privacy: capture.NewPrivacy()}, shown: map[foundKey]bool{}}
}

func (c *dialogueScreen) say(l listened, words string) {
	if !c.options.json {
		fmt.Fprintln(c.out, words)
		return
	}
	b, err := json.Marshal(l)
	if err != nil {
		panic(err) // text and numbers always fit
	}
	fmt.Fprintf(c.out, "%s\n", b)
}

func (c *dialogueScreen) begin(where []string, bridge bool) {
	how := "listening beside the line: "
	if bridge {
		how = "in the middle, passing everything on: "
	}
	c.say(listened{Event: "ready", Lines: where, Bridge: bridge}, how+strings.Join(where, " and ")+
		"\nwhat you type becomes a note in the capture; Ctrl-C ends it\n")
}

// record shows what one record completes.
func (c *dialogueScreen) record(r capture.Record) {
	r = c.masker.Mask(r)
	if r.Event != "" {
		c.flush(r.From)
		c.happened(r.At, r.Event)
		return
	}
	m := &c.mouths[r.From%3]
	m.last = r.At
	for i := range len(r.Bytes) {
		b := r.Bytes[i]
		if len(m.text) == 0 {
			if b == '\r' || b == '\n' {
				continue
			}
			m.began = r.At
		}
		switch {
		case b == '\r' || b == '\n':
			c.flush(r.From)
			continue
		case b == 0x1a || b == 0x1b: // a text ends: sent, or given up (TS 27.005, 3.5.1)
			c.flush(r.From)
			m.body = false
			continue
		}
		m.text = append(m.text, b)
		if len(m.text) >= maxShown {
			c.flush(r.From)
		} else if r.From == capture.Module && string(m.text) == "> " {
			c.mouths[capture.Controller].body = true // what follows is a text
			c.flush(r.From)
		}
	}
}

// flush shows what one side has said of a line.
func (c *dialogueScreen) flush(from capture.Direction) {
	m := &c.mouths[from%3]
	if len(m.text) == 0 {
		return
	}
	text := string(m.text)
	m.text = m.text[:0]
	shown := c.fit(from, m, text)
	if c.options.quiet {
		return
	}
	mark := map[capture.Direction]string{capture.Controller: ">", capture.Module: "<"}[from]
	c.say(listened{Event: "line", AtS: millis(m.began.Seconds()), From: from.String(), Text: shown},
		fmt.Sprintf("%10.3f  %s %s", m.began.Seconds(), mark, shown))
}

// fit makes a line fit to be shown: nothing private, nothing that moves the cursor.
func (c *dialogueScreen) fit(from capture.Direction, m *mouth, text string) string {
	body := m.body
	if from == capture.Module {
		a, ok := at.ParseAnswer(text)
		m.body = !body && ok && at.HasBody(a)
	}
	if !c.options.showPrivate {
		if body {
			text = c.hide.body(text)
		} else {
			text = c.hide.privacy.Hide(text)
		}
	}
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(text, "\ufffd") {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			fmt.Fprintf(&b, "\\x%02x", r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// quiet shows a line that has had no end for a while.
func (c *dialogueScreen) quiet(now when.Instant) {
	for from := range c.mouths {
		if m := &c.mouths[from]; len(m.text) > 0 && now.Sub(m.last) >= lineQuiet {
			c.flush(capture.Direction(from))
		}
	}
}

func (c *dialogueScreen) happened(now when.Instant, words string) {
	if !c.options.showPrivate {
		words = c.hide.privacy.Hide(words)
	}
	c.say(listened{Event: "happened", AtS: millis(now.Seconds()), Text: words}, fmt.Sprintf("%10.3f  * %s", now.Seconds(), words))
}

// findings shows what is new among the findings, and takes back what no longer stands.
func (c *dialogueScreen) findings(list []finding.Finding, last bool) {
	stands := map[foundKey]bool{}
	for i := range list {
		f := &list[i]
		if len(f.Evidence) == 0 {
			continue
		}
		key := foundKey{f.Rule, f.Evidence[0].Record}
		stands[key] = true
		if !c.shown[key] {
			c.shown[key] = true
			c.order = append(c.order, key)
			c.finding(f)
		}
	}
	kept := c.order[:0]
	for _, key := range c.order {
		if stands[key] {
			kept = append(kept, key)
			continue
		}
		delete(c.shown, key)
		c.say(listened{Event: "withdrawn", Rule: key.rule, Record: key.record},
			fmt.Sprintf("%10s  ! %s at record %d no longer holds", "", key.rule, key.record))
	}
	c.order = kept
	if last {
		c.found = len(kept)
	}
}

func (c *dialogueScreen) finding(f *finding.Finding) {
	message := f.Message
	if !c.options.showPrivate {
		h := hider{privacy: c.hide.privacy}
		h.quoted(f.Quotes)
		message = h.sentence(message)
	}
	at := f.Evidence[0].At
	words := fmt.Sprintf("%10.3f  ! %s: %s [%s]\n%12s  %s", at.Seconds(), f.Severity, f.Title, f.Rule, "", message)
	if f.Remedy != "" {
		words += fmt.Sprintf("\n%12s  do: %s", "", f.Remedy)
	}
	c.say(listened{Event: "finding", AtS: millis(at.Seconds()), Rule: f.Rule, Severity: f.Severity.String(), Text: message, Record: f.Evidence[0].Record}, words)
}

func (c *dialogueScreen) end(records int, now when.Instant, d *overhear.Delays, bridge bool) {
	words := fmt.Sprintf("\nheard for %.1f s: %d records, %d findings", now.Seconds(), records, c.found)
	l := listened{Event: "ended", AtS: millis(now.Seconds()), Records: records, Found: c.found}
	for _, from := range []capture.Direction{capture.Controller, capture.Module} {
		f := d.From(from)
		if !bridge || f.Pieces == 0 {
			continue
		}
		ms := func(d time.Duration) float64 { return millis(d.Seconds() * 1000) }
		l.Delays = append(l.Delays, delaysJSON{from.String(), f.Pieces, ms(f.Median), ms(f.P99), ms(f.Max)})
		words += fmt.Sprintf("\nfrom the %v: held for %.3f ms in the middle, 99 of 100 pieces at most %.3f ms, longest %.3f ms (without what the adapters add)",
			from, ms(f.Median), ms(f.P99), ms(f.Max))
	}
	c.say(l, words)
}
