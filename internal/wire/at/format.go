package at

import (
	"strconv"
	"strings"
)

// Quote writes s as a string of a command line: in quotes, with a quote, a
// backslash and control characters as \22 and its like (V.250 5.4.2.2).
func Quote(s string) string {
	const hex = "0123456789ABCDEF"
	out := make([]byte, 0, len(s)+2)
	out = append(out, '"')
	for i := range len(s) {
		if c := s[i]; c == '"' || c == '\\' || c < ' ' || c == 0x7f {
			out = append(out, '\\', hex[c>>4], hex[c&15])
		} else {
			out = append(out, c)
		}
	}
	return string(append(out, '"'))
}

// Format writes a command line, without its line end. A command is written
// from its Name, Form, Number and Value, or Params when Value is ""; a
// semicolon stands after an extended command that another one follows (V.250
// 5.4.5), and after the dial string of a D whose Text ends with one.
func Format(commands ...Command) string {
	var b strings.Builder
	b.WriteString("AT")
	for i, c := range commands {
		formatCommand(&b, c)
		last := i == len(commands)-1
		switch {
		case c.Name == "D":
			if !last || strings.HasSuffix(c.Text, ";") {
				b.WriteByte(';')
			}
		case !last && isExtended(c.Name):
			b.WriteByte(';')
		}
	}
	return b.String()
}

func isExtended(name string) bool {
	return name != "" && isExtendedMark(name[0])
}

func formatCommand(b *strings.Builder, c Command) {
	b.WriteString(c.Name)
	if c.Number >= 0 && !isExtended(c.Name) && c.Name != "D" {
		b.WriteString(strconv.Itoa(c.Number))
	}
	value := c.Value
	if value == "" && len(c.Params) > 0 {
		value = FormatParams(c.Params)
	}
	switch {
	case c.Name == "D":
		b.WriteString(value)
	case c.Form == Read:
		b.WriteByte('?')
	case c.Form == Test:
		b.WriteString("=?")
	case c.Form == Set:
		b.WriteByte('=')
		b.WriteString(value)
	}
}

// FormatParams writes parameters with commas between them.
func FormatParams(params []Param) string {
	var b strings.Builder
	for i, p := range params {
		if i > 0 {
			b.WriteByte(',')
		}
		switch {
		case p.Empty:
		case p.Quoted:
			b.WriteString(Quote(p.Text))
		default:
			b.WriteString(p.Text)
		}
	}
	return b.String()
}

// Edited applies the editing character (S5, backspace unless it was changed)
// to a line as it was typed: each one takes back the character before it
// (V.250 5.2.2, 6.2.3).
func Edited(typed string, s5 byte) string {
	if strings.IndexByte(typed, s5) < 0 {
		return typed
	}
	out := make([]byte, 0, len(typed))
	for i := range len(typed) {
		switch {
		case typed[i] != s5:
			out = append(out, typed[i])
		case len(out) > 0:
			out = out[:len(out)-1]
		}
	}
	return string(out)
}
