package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"os"
	"strings"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/report"
	"firstfix/internal/script/message"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
	"firstfix/internal/wire/sms"
)

// A messageSink shows messages as they come, so that a recording of any length takes
// no more memory than a short one.
type messageSink struct {
	s        *streams
	out      *bufio.Writer // of s.Out: a recording may hold 100,000 texts
	o        messageReadOptions
	reader   *message.Reader
	texts    []message.Text
	full     bool // every field
	messages int
	wide     int // texts of several parts
	bad      bool
	items    int // JSON items written
	page     *bytes.Buffer
	drawn    int
	err      error
}

// maxDrawn bounds the messages of a page: who needs more wants JSON.
const maxDrawn = 300

func newMessageSink(s *streams, o messageReadOptions, wait time.Duration) (*messageSink, error) {
	k := &messageSink{s: s, out: bufio.NewWriterSize(s.Out, 64<<10), o: o, reader: message.NewReader(wait)}
	if o.report != "" {
		k.page = &bytes.Buffer{}
	}
	if o.json {
		fmt.Fprint(k.out, "[")
	}
	return k, nil
}

// begin says what had to be assumed of a recording.
func (k *messageSink) begin(info capture.Info) {
	if !k.o.json {
		for _, a := range info.Assumed {
			hanging(k.out, "assumed: ", a)
		}
	}
}

func (k *messageSink) unreadable(err error) { fmt.Fprintf(k.s.Err, "firstfix: %v\n", err) }

// show takes in one message.
func (k *messageSink) show(where placed, m *message.Message) {
	at := where.at
	if !where.timed {
		at = 0 // the order is all that is known: nothing is given up before the end
	}
	var number int
	number, k.texts = k.reader.Feed(at, m, k.texts[:0])
	if number == 0 {
		return // listed before
	}
	k.messages++
	k.bad = k.bad || len(m.Blames) > 0 || m.Fault != nil
	switch {
	case k.o.json:
		k.item(messageItem(number, where, m))
	default:
		k.showMessage(number, where, m)
	}
	if k.page != nil && k.drawn < maxDrawn {
		k.drawn++
		k.draw(number, m)
	}
	k.showTexts()
}

// showTexts shows the texts that took several parts; a text of one is its message.
func (k *messageSink) showTexts() {
	for _, t := range k.texts {
		if t.Total < 2 {
			continue
		}
		k.wide++
		k.bad = k.bad || len(t.Missing) > 0
		if k.o.json {
			k.item(textItem(t))
			continue
		}
		words := fmt.Sprintf("\nWhole text of %d parts, %s %s (messages %s)", t.Total, direction(t.Out), report.Visible(t.Party), numbers(t.Messages))
		if len(t.Missing) > 0 {
			words += fmt.Sprintf("; parts %s never came", numbers(t.Missing))
		}
		if t.Duplicates > 0 {
			words += fmt.Sprintf("; parts that came again: %d", t.Duplicates)
		}
		fmt.Fprintln(k.out, words+":")
		for _, l := range strings.Split(t.Text, "\n") {
			fmt.Fprintf(k.out, "  %s\n", report.Visible(l))
		}
	}
}

func direction(out bool) string {
	if out {
		return "to"
	}
	return "from"
}

func numbers(list []int) string {
	var words []string
	for _, n := range list {
		words = append(words, fmt.Sprint(n))
	}
	return strings.Join(words, ", ")
}

// end is the end of one recording.
func (k *messageSink) end(last when.Instant) {
	k.texts = k.reader.End(last, k.texts[:0])
	k.showTexts()
}

// close ends the output and writes the page.
func (k *messageSink) close() error {
	k.end(0)
	if k.o.json {
		fmt.Fprintln(k.out, "\n]")
	} else if k.messages > 1 || k.reader.Again() > 0 {
		words := fmt.Sprintf("\n%s, %d of several parts", plural(k.messages, "message"), k.wide)
		if k.wide == 1 {
			words = fmt.Sprintf("\n%s, one text of several parts", plural(k.messages, "message"))
		}
		if n := k.reader.Again(); n > 0 {
			words += fmt.Sprintf("; stored messages were listed again %s", times(n))
		}
		fmt.Fprintln(k.out, words+".")
	}
	if err := k.out.Flush(); err != nil && k.err == nil {
		k.err = err
	}
	if k.err != nil {
		return k.err
	}
	if k.page == nil || k.messages == 0 {
		return nil
	}
	if err := os.WriteFile(k.o.report, k.htmlPage(), 0o644); err != nil {
		return &stop{Status: statusCannot, Err: fmt.Errorf("write the report: %w", err)}
	}
	return nil
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// showMessage writes one message for a person.
func (k *messageSink) showMessage(number int, where placed, m *message.Message) {
	w := k.out
	if k.messages > 1 {
		fmt.Fprintln(w)
	}
	title := fmt.Sprintf("%d  %s", number, m.Kind)
	if m.Party != "" {
		title += fmt.Sprintf(" %s %s", direction(m.Out), report.Visible(m.Party))
	}
	if stamp, ok := m.Stamp.Get(); ok {
		title += ", " + stamp.String()
	}
	if where.record > 0 {
		title += fmt.Sprintf("  (record %d", where.record)
		if where.timed {
			title += fmt.Sprintf(", %s s", where.at)
		}
		title += ")"
	} else if where.source > 0 {
		title += fmt.Sprintf("  (line %d)", where.source)
	}
	fmt.Fprintln(w, title)
	if text := m.Text; text != "" {
		for _, l := range strings.Split(text, "\n") {
			fmt.Fprintf(w, "   %s\n", report.Visible(l))
		}
	} else if m.Head.Data.Octets != nil {
		hanging(w, "   data: ", fmt.Sprintf("%X", m.Head.Data.Octets))
	}
	if m.Shown.How != sms.HowPlain || m.Shown.Why != "" {
		hanging(w, "   shows: ", shownWords(m.Shown))
	}
	for _, b := range m.Blames {
		if m.Fault != nil {
			break // the fault says the same, with its octet
		}
		words := fmt.Sprintf("%s is %s", b.Field, b.Value)
		if b.Instead != "" {
			words += "; with " + b.Instead + " it would show"
			if b.Field == message.FieldLength || b.Field == message.FieldText {
				words = fmt.Sprintf("%s is %s; want %s", b.Field, b.Value, b.Instead)
			}
		}
		hanging(w, "   blame: ", sourced(words, b.Clause))
	}
	if m.Fault != nil {
		hanging(w, "   broken: ", sourced(m.Fault.Error(), m.Fault.Clause))
	}
	for _, n := range m.Notes {
		hanging(w, "   note: ", sourced(n.Text, n.Clause))
	}
	if k.full {
		showFields(w, m)
	}
}

// showFields draws the octets and lists the fields.
func showFields(w interface{ Write([]byte) (int, error) }, m *message.Message) {
	if m.PDU {
		fmt.Fprintln(w)
		fmt.Fprint(w, report.StripText(m.Fields))
		fmt.Fprintln(w)
	}
	names, values := 0, 0
	for _, l := range report.Legends(m.Fields) {
		names, values = max(names, len(l.Field.Name)), max(values, min(len([]rune(report.Visible(l.Field.Value))), valueColumns))
	}
	for _, l := range report.Legends(m.Fields) {
		f := l.Field
		at := "   –"
		if f.At >= 0 {
			at = fmt.Sprintf("%4d", f.At)
		}
		if !m.PDU {
			l.Label = " "
		}
		hanging(w, fmt.Sprintf("  %-2s %s  %s  %s  ", l.Label, at, padded(f.Name, names), padded(report.Visible(f.Value), values)), sourced(report.Visible(f.Meaning), f.Clause))
	}
}

// item writes one element of the JSON array.
func (k *messageSink) item(v any) {
	b, err := json.Marshal(v)
	if err != nil {
		k.err = err
		return
	}
	comma := "\n"
	if k.items > 0 {
		comma = ",\n"
	}
	k.items++
	if _, err := fmt.Fprintf(k.out, "%s  %s", comma, b); err != nil {
		k.err = err
	}
}

// readItemJSON is one element of docs/formats/message-read.schema.json: a message, or a
// text put together from several.
type readItemJSON struct {
	Item    string       `json:"item"`
	Message *messageJSON `json:"message,omitempty"`
	Text    *textJSON    `json:"text,omitempty"`
}

type messageJSON struct {
	Number  int                      `json:"number"`
	Record  int                      `json:"record"`
	Line    int                      `json:"line"`
	T       maybe.Value[json.Number] `json:"t"`
	Mode    string                   `json:"mode"`
	Kind    string                   `json:"kind"`
	Out     bool                     `json:"out"`
	Party   string                   `json:"party"`
	Stamp   maybe.Value[string]      `json:"stamp"`
	Text    string                   `json:"text"`
	Part    *partOfJSON              `json:"part"`
	Shown   shownJSON                `json:"shown"`
	Blames  []blameJSON              `json:"blames"`
	Fault   *faultJSON               `json:"fault"`
	Notes   []noteJSON               `json:"notes"`
	Fields  []fieldJSON              `json:"fields"`
	Indexed maybe.Value[int]         `json:"index"`
}

type partOfJSON struct {
	Reference int `json:"reference"`
	Part      int `json:"part"`
	Total     int `json:"total"`
}

type faultJSON struct {
	At     int    `json:"at"`
	Field  string `json:"field"`
	Had    string `json:"had"`
	Want   string `json:"want"`
	Clause string `json:"clause"`
}

type textJSON struct {
	Out        bool   `json:"out"`
	Party      string `json:"party"`
	Text       string `json:"text"`
	Total      int    `json:"total"`
	Missing    []int  `json:"missing"`
	Duplicates int    `json:"duplicates"`
	Reference  int    `json:"reference"`
	Messages   []int  `json:"messages"`
}

func messageItem(number int, where placed, m *message.Message) readItemJSON {
	j := &messageJSON{Number: number, Record: where.record, Line: where.source, Mode: "text", Kind: m.Kind, Out: m.Out, Party: m.Party, Text: m.Text,
		Shown: effectJSON(m.Shown), Blames: blamesJSON(m.Blames), Notes: notesJSON(m.Notes), Fields: fieldsJSON(m.Fields), Indexed: m.Index}
	if m.PDU {
		j.Mode = "pdu"
	}
	if where.timed {
		j.T = maybe.Known(json.Number(where.at.String()))
	}
	if stamp, ok := m.Stamp.Get(); ok {
		j.Stamp = maybe.Known(stamp.String())
	}
	if c, ok := m.Part.Get(); ok {
		j.Part = &partOfJSON{c.Reference, c.Part, c.Total}
	}
	if f := m.Fault; f != nil {
		j.Fault = &faultJSON{f.At, f.Field, f.Had, f.Want, f.Clause}
	}
	return readItemJSON{Item: "message", Message: j}
}

func textItem(t message.Text) readItemJSON {
	return readItemJSON{Item: "text", Text: &textJSON{t.Out, t.Party, t.Text, t.Total, append([]int{}, t.Missing...), t.Duplicates, t.Reference, append([]int{}, t.Messages...)}}
}

// draw adds a message to the page.
func (k *messageSink) draw(number int, m *message.Message) {
	hide := !k.o.showPrivate
	title := fmt.Sprintf("%d: %s", number, m.Kind)
	if !hide && m.Party != "" {
		title += " " + direction(m.Out) + " " + m.Party
	}
	fmt.Fprintf(k.page, "<section>\n<h2>%s</h2>\n", html.EscapeString(report.Visible(title)))
	if !hide && m.Text != "" {
		fmt.Fprintf(k.page, "<p><q>%s</q></p>\n", html.EscapeString(report.Visible(m.Text)))
	}
	if m.Shown.How != sms.HowPlain {
		why := shownWords(m.Shown)
		if hide {
			why = m.Shown.How
		}
		fmt.Fprintf(k.page, "<p>A handset shows it: %s</p>\n", html.EscapeString(report.Visible(why)))
	}
	for _, b := range m.Blames {
		value := b.Value
		if hide && b.Field == message.FieldText {
			value = "hidden"
		}
		fmt.Fprintf(k.page, "<p>Blame: %s</p>\n", html.EscapeString(report.Visible(fmt.Sprintf("%s is %s", b.Field, value))))
	}
	fields := m.Fields
	if hide && !m.PDU {
		fields = nil // a header's values are the numbers themselves
	}
	if hide {
		fields = report.HideFields(fields, func(*sms.Field) string { return "hidden" })
	}
	k.page.WriteString(report.StripHTML(fields))
	k.page.WriteString("</section>\n")
}

func (k *messageSink) htmlPage() []byte {
	var b bytes.Buffer
	b.WriteString("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>Messages, octet by octet</title>\n" +
		"<style>body{font:15px/1.5 sans-serif;margin:2em auto;max-width:60em;padding:0 1em}h2{font-size:1.1em;margin-top:2em}section{break-inside:avoid}</style>\n</head>\n<body>\n<h1>Messages, octet by octet</h1>\n")
	words := plural(k.messages, "message") + " in all"
	if k.drawn < k.messages {
		words += fmt.Sprintf(", of which the first %d are drawn", k.drawn)
	}
	if !k.o.showPrivate {
		words += "; numbers and texts are hidden"
	}
	fmt.Fprintf(&b, "<p>%s.</p>\n", words)
	b.Write(k.page.Bytes())
	b.WriteString("</body>\n</html>\n")
	return b.Bytes()
}
