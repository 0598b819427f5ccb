package message

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"firstfix/internal/script/procedure"
)

// YAML writes a procedure as the file that docs/formats/procedure.md describes.
// procedure.Load reads the same procedure back.
func YAML(p *procedure.Procedure) []byte {
	y := &yamlWriter{}
	y.text("", "procedure", p.Name)
	y.text("", "title", p.Title)
	y.text("", "notes", p.Notes)
	if p.Budget != (procedure.Budget{}) {
		y.line("", "budget:")
		y.number("  ", "max_total_ms", p.Budget.MaxTotalMS)
		y.number("  ", "texts", p.Budget.Texts)
	}
	y.line("", "steps:")
	for i := range p.Steps {
		y.step(&p.Steps[i])
	}
	return []byte(y.b.String())
}

// yamlWriter writes what is not empty.
type yamlWriter struct {
	b     strings.Builder
	first bool // the next line begins an element of a list
}

func (y *yamlWriter) line(indent, text string) {
	if y.first && indent != "" {
		y.b.WriteString(indent[:len(indent)-2] + "- " + text + "\n")
		y.first = false
		return
	}
	y.b.WriteString(indent + text + "\n")
}

func (y *yamlWriter) text(indent, key, value string) {
	if value != "" {
		y.line(indent, key+": "+quoted(value))
	}
}

func (y *yamlWriter) number(indent, key string, value int) {
	if value != 0 {
		y.line(indent, key+": "+strconv.Itoa(value))
	}
}

func (y *yamlWriter) flag(indent, key string, value bool) {
	if value {
		y.line(indent, key+": true")
	}
}

func (y *yamlWriter) step(s *procedure.Step) {
	const in = "    "
	y.first = true
	y.text(in, "name", s.Name)
	y.text(in, "send", s.Send)
	y.text(in, "duty", s.Duty)
	y.text(in, "text", s.Text)
	y.flag(in, "cancel", s.Cancel)
	y.text(in, "escape", s.Escape)
	y.number(in, "max_wait_ms", s.MaxWaitMS)
	y.number(in, "tries", s.Tries)
	y.number(in, "backoff_ms", s.BackoffMS)
	y.number(in, "max_backoff_ms", s.MaxBackoffMS)
	y.number(in, "pause_ms", s.PauseMS)
	if a := s.Await; a != nil {
		y.line(in, "await:")
		y.text(in+"  ", "line", a.Line)
		y.text(in+"  ", "sentence", a.Sentence)
		y.number(in+"  ", "quiet_ms", a.QuietMS)
		y.number(in+"  ", "max_wait_ms", a.MaxWaitMS)
	}
	if u := s.Until; u != nil {
		values := make([]string, len(u.OneOf))
		for i, v := range u.OneOf {
			values[i] = quoted(v)
		}
		y.line(in, "until: {answer: "+quoted(u.Answer)+", param: "+strconv.Itoa(u.Param)+", one_of: ["+strings.Join(values, ", ")+"]}")
	}
	if len(s.Capture) > 0 {
		y.line(in, "capture:")
		for _, c := range s.Capture {
			y.line(in, "  - {name: "+quoted(c.Name)+", answer: "+quoted(c.Answer)+", param: "+strconv.Itoa(c.Param)+"}")
		}
	}
	if s.On != (procedure.On{}) {
		y.line(in, "on:")
		y.text(in+"  ", "ok", s.On.OK)
		y.text(in+"  ", "failed", s.On.Failed)
		y.text(in+"  ", "no_answer", s.On.NoAnswer)
		y.text(in+"  ", "not_yet", s.On.NotYet)
	}
	y.text(in, "notes", s.Notes)
}

// quoted writes a YAML double-quoted scalar (YAML 1.2, clause 5.7 for its escapes); short
// plain words stay bare.
func quoted(s string) string {
	if bareWord(s) {
		return s
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r < ' ' || r == 0x7F:
			b.WriteString(`\x` + hexOf([]byte{byte(r)}))
		case r == 0x85 || r == 0x2028 || r == 0x2029 || r == 0xFEFF || r == utf8.RuneError: // line ends of YAML, and marks that get lost
			b.WriteString(`\u` + hexOf([]byte{byte(r >> 8), byte(r)}))
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// bareWord: letters and hyphens only, and none of YAML's own words.
func bareWord(s string) bool {
	switch strings.ToLower(s) {
	case "", "y", "n", "yes", "no", "on", "off", "true", "false", "null", "nan", "inf":
		return false
	}
	for i := range len(s) {
		if c := s[i]; c != '-' && (c|0x20 < 'a' || c|0x20 > 'z') {
			return false
		}
	}
	return s[0] != '-'
}
