package report

import (
	"fmt"
	"html"
	"strings"

	"firstfix/internal/wire/sms"
)

// octetsPerRow is how many octets stand in one row of a strip: what fits a page and a
// terminal, and is easy to count.
const octetsPerRow = 16

// label is the letter of field i: a to z, then aa, ab…
func label(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return label(i/26-1) + string(rune('a'+i%26))
}

// StripText draws the octets of a PDU with a letter under each that says which field it
// belongs to. The letters are those of the list of fields, in order: see [Legend].
func StripText(fields []sms.Field) string {
	var octets, letters []string
	for i, f := range fields {
		for n := range f.Length {
			octet, letter := octetAt(&f, n), "──"
			if n == 0 {
				letter = label(i)
				if f.Length > 1 && len(letter) == 1 {
					letter += "─"
				}
			}
			octets, letters = append(octets, octet), append(letters, letter)
		}
	}
	var b strings.Builder
	for from := 0; from < len(octets); from += octetsPerRow {
		to := min(from+octetsPerRow, len(octets))
		fmt.Fprintf(&b, "%5d  %s\n", from, strings.Join(octets[from:to], " "))
		b.WriteString("       ")
		for i := from; i < to; i++ {
			joined := i+1 < to && strings.HasPrefix(letters[i+1], "──")
			b.WriteString(letters[i])
			pad := 3 - len([]rune(letters[i]))
			if i+1 == to {
				pad = 0
			}
			fill := " "
			if joined {
				fill = "─"
			}
			b.WriteString(strings.Repeat(fill, max(pad, 0)))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// Legend is one row per field: its letter, its first octet, name, value, meaning, clause.
type Legend struct {
	Label string
	Field sms.Field
}

// Legends are the rows that explain a strip.
func Legends(fields []sms.Field) []Legend {
	out := make([]Legend, len(fields))
	for i, f := range fields {
		out[i] = Legend{label(i), f}
	}
	return out
}

// The sizes of the drawing, in units of its view box.
const (
	boxWidth  = 44
	boxHeight = 46
	rowGap    = 26
	margin    = 4
)

// fills are pale enough for black letters in print; neighbours differ, and the letters
// say the same to who cannot tell colours apart.
var fills = [...]string{"#dbeafe", "#fef3c7", "#dcfce7", "#fae8ff", "#ffe4e6", "#e2e8f0"}

// octetAt is octet n of a field: two digits, or two blanks when it is not there.
func octetAt(f *sms.Field, n int) string {
	if runes := []rune(f.Octets); 2*n+2 <= len(runes) {
		return string(runes[2*n : 2*n+2])
	}
	return "  "
}

// HideFields returns fields for a reader who may not know who wrote to whom, and what: the
// octets of numbers and texts become dots, value says what stands for their values. Lengths,
// codings and times stay: they are what a person looks at a strip for.
func HideFields(fields []sms.Field, value func(f *sms.Field) string) []sms.Field {
	shown := make([]sms.Field, len(fields))
	for i, f := range fields {
		if f.Private() {
			f.Value = value(&f)
			f.Octets = strings.Repeat("··", f.Length)
			if strings.HasPrefix(f.Name, "not read") {
				f.Meaning = "hidden" // it says what stood there
			}
		}
		shown[i] = f
	}
	return shown
}

// StripHTML draws the same as a fragment of HTML: an SVG with the octets, and a table of the
// fields. It needs nothing else: no script, no style sheet, nothing loaded.
func StripHTML(shown []sms.Field) string {
	var b strings.Builder
	b.WriteString(`<figure style="margin:1em 0">` + "\n")
	drawOctets(&b, shown)
	b.WriteString(`<table style="border-collapse:collapse;font:13px/1.4 sans-serif;margin-top:.5em">` + "\n")
	b.WriteString(`<tr style="text-align:left"><th></th><th style="padding:0 .5em">octet</th><th style="padding:0 .5em">field</th><th style="padding:0 .5em">value</th><th style="padding:0 .5em">meaning</th><th style="padding:0 .5em">source</th></tr>` + "\n")
	for i, f := range shown {
		at := "–"
		if f.At >= 0 {
			at = fmt.Sprint(f.At)
		}
		fmt.Fprintf(&b, `<tr style="vertical-align:top"><td style="background:%s;padding:0 .5em"><b>%s</b></td>`, fills[i%len(fills)], label(i))
		for _, cell := range []string{at, f.Name, f.Value, f.Meaning, f.Clause} {
			fmt.Fprintf(&b, `<td style="padding:0 .5em">%s</td>`, html.EscapeString(safe(cell)))
		}
		b.WriteString("</tr>\n")
	}
	b.WriteString("</table>\n</figure>\n")
	return b.String()
}

// safe keeps what must not stand in a page as it is: control characters and half characters.
func safe(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7F && r < 0xA0 || r == 0xFFFE || r == 0xFFFF {
			return '·'
		}
		return r
	}, strings.ToValidUTF8(text, "·"))
}

// drawOctets draws the boxes.
func drawOctets(b *strings.Builder, fields []sms.Field) {
	total := 0
	for _, f := range fields {
		total += f.Length
	}
	if total == 0 {
		return
	}
	rows := (total + octetsPerRow - 1) / octetsPerRow
	columns := min(total, octetsPerRow)
	width, height := 2*margin+columns*boxWidth, 2*margin+rows*(boxHeight+rowGap)
	fmt.Fprintf(b, `<svg viewBox="0 0 %d %d" width="%d" role="img" aria-label="%d octets in %d fields" style="max-width:100%%;font-family:monospace">`+"\n", width, height, width, total, len(fields))
	i := 0
	for n, f := range fields {
		for k := range f.Length {
			x, y := margin+i%octetsPerRow*boxWidth, margin+i/octetsPerRow*(boxHeight+rowGap)
			octet := strings.TrimSpace(octetAt(&f, k))
			fmt.Fprintf(b, `<g><title>%s</title><rect x="%d" y="%d" width="%d" height="%d" fill="%s" stroke="#334155"/>`,
				html.EscapeString(safe(titleOf(f))), x, y, boxWidth, boxHeight-18, fills[n%len(fills)])
			fmt.Fprintf(b, `<text x="%d" y="%d" font-size="16" text-anchor="middle">%s</text>`, x+boxWidth/2, y+20, html.EscapeString(octet))
			if k == 0 {
				fmt.Fprintf(b, `<text x="%d" y="%d" font-size="14" font-weight="bold">%s</text>`, x+4, y+boxHeight-3, label(n))
			}
			if i%octetsPerRow == 0 || k == 0 {
				fmt.Fprintf(b, `<text x="%d" y="%d" font-size="10" text-anchor="end" fill="#64748b">%d</text>`, x+boxWidth-3, y+boxHeight-4, i)
			}
			b.WriteString("</g>\n")
			i++
		}
	}
	b.WriteString("</svg>\n")
}

func titleOf(f sms.Field) string {
	words := f.Name + ": " + f.Value
	if f.Meaning != "" {
		words += " (" + f.Meaning + ")"
	}
	return words
}
