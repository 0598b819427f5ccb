package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
)

// Visible makes control bytes readable: "\r" as ␍, 0x1A as ␚, bytes that are
// not UTF-8 as ‹FF›. What is shown can be told from what was typed.
func Visible(text string) string {
	clean := true
	for i := 0; i < len(text); i++ {
		if text[i] < 0x20 || text[i] >= 0x7F {
			clean = false
			break
		}
	}
	if clean {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, "‹%02X›", text[i])
		case r < 0x20:
			b.WriteRune(0x2400 + r) // Unicode's control pictures stand in the same order
		case r == 0x7F:
			b.WriteRune('␡')
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Cc, r):
			// Direction marks and the like can make a line read as another.
			fmt.Fprintf(&b, "‹U+%04X›", r)
		default:
			b.WriteRune(r)
		}
		i += size
	}
	return b.String()
}

// maxQuoted is how much of one line a report quotes: more does not fit a page
// and the record number leads to the rest.
const maxQuoted = 160

func quote(text string) string {
	shown := Visible(text)
	if utf8.RuneCountInString(shown) <= maxQuoted {
		return shown
	}
	runes := []rune(shown)
	return string(runes[:maxQuoted]) + fmt.Sprintf("… (%d more)", len(runes)-maxQuoted)
}

// place says where a piece of evidence stands.
func place(e finding.Evidence, timesKnown bool) string {
	var parts []string
	if e.SourceLine > 0 {
		parts = append(parts, fmt.Sprintf("line %d", e.SourceLine))
	} else {
		parts = append(parts, fmt.Sprintf("record %d", e.Record))
	}
	if timesKnown {
		parts = append(parts, fmt.Sprintf("%.3f s", e.At.Seconds()))
	}
	return strings.Join(parts, ", ")
}

// arrow draws who spoke: the controller to the right, the module to the left.
func arrow(from string) string {
	switch from {
	case "controller":
		return ">"
	case "module":
		return "<"
	}
	return "?"
}

// mark is one sign for a link's state, so that colour is never alone.
func mark(s verdict.State) string {
	switch s {
	case verdict.Holds:
		return "✓"
	case verdict.Weak:
		return "!"
	case verdict.Broken:
		return "✗"
	case verdict.NotReached:
		return "–"
	}
	return "·"
}

// milliseconds prints a time with a sensible number of digits.
func milliseconds(ms float64, known bool) string {
	switch {
	case !known:
		return "not known"
	case ms >= 10_000:
		return fmt.Sprintf("%.1f s", ms/1000)
	case ms >= 1000:
		return fmt.Sprintf("%.2f s", ms/1000)
	}
	return fmt.Sprintf("%.0f ms", ms)
}

// chance puts a probability into words and a rounded figure.
func chance(p float64) string {
	switch {
	case p >= 0.9:
		return fmt.Sprintf("almost certainly (%.0f %%)", min(p*100, 99))
	case p >= 0.6:
		return fmt.Sprintf("probably (%.0f %%)", p*100)
	case p >= 0.25:
		return fmt.Sprintf("perhaps (%.0f %%)", p*100)
	}
	return fmt.Sprintf("unlikely (%.0f %%)", p*100)
}
