package explain

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"firstfix/internal/earth/geo"
	"firstfix/internal/wire/at"
)

// whatItIsNot names the kinds that were tried.
const whatItIsNot = "not a command line (AT…), not a result code (OK, ERROR), not an answer (+NAME: values), not a GNSS sentence ($…*hh), " +
	"not a message PDU (hex digits), not a position"

// unknown says what a line is not, and what it comes closest to.
func unknown(line string) Explanation {
	if e, ok := inside(line); ok {
		return e
	}
	e := Explanation{Kind: KindUnknown, Title: "a text of unknown kind"}
	e.field(Field{Name: "text", Value: shown(line), Meaning: textKind(line)})
	e.problem("%s", whatItIsNot)
	for _, near := range nearReaders {
		if words := near(line); words != "" {
			e.hint("closest: %s", words)
			break
		}
	}
	if len(e.Hints) == 0 {
		e.hint("closest: the text of a message, a banner, or the bare answer to a question such as AT+CGMI")
	}
	return e
}

// shown is the beginning of a text.
func shown(line string) string {
	const most = 200
	if len(line) <= most {
		return line
	}
	end := most
	for end > 0 && !utf8.RuneStart(line[end]) {
		end--
	}
	return line[:end] + "…"
}

func textKind(line string) string {
	if share := strangeShare(line); share > 0.3 {
		return fmt.Sprintf("%d bytes, %.0f %% of them no printable characters", len(line), 100*share)
	}
	return fmt.Sprintf("%d characters", utf8.RuneCountInString(line))
}

// strangeShare is the part of a text that cannot be printed.
func strangeShare(line string) float64 {
	strange, all := 0, 0
	for _, r := range line {
		all++
		if r == utf8.RuneError || !unicode.IsPrint(r) && r != '\t' {
			strange++
		}
	}
	return float64(strange) / float64(max(all, 1))
}

// marks are beginnings that may stand behind a time stamp or an arrow of a log.
var marks = [...]string{"AT+", "AT&", "at+", "+CME ERROR", "+CMS ERROR", "$G", "$B", "+C", "^", "*", "geo:"}

// inside looks for a line behind a time stamp, an arrow or noise.
func inside(line string) (Explanation, bool) {
	for _, mark := range marks {
		i := strings.Index(line, mark)
		if i <= 0 || i > maxPrefix {
			continue
		}
		for _, read := range []reader{sentence, result, answer, command} {
			e, how := read(line[i:])
			if how < likely || e.Kind == KindCommand && mark == "+C" {
				continue
			}
			for k := range e.Fields {
				if e.Fields[k].At >= 0 {
					e.Fields[k].At += i
				}
			}
			e.hint("read from byte %d on; what stands before it, %q, was left out", i, shown(line[:i]))
			return e, true
		}
	}
	return Explanation{}, false
}

// maxPrefix is the longest time stamp or mark looked behind.
const maxPrefix = 80

// nearReaders say what a text comes close to, the surest signs first.
var nearReaders = []func(string) string{nearNoise, nearResult, nearSentence, nearAnswer, nearCommand, nearHex, nearPosition}

func nearNoise(line string) string {
	if strangeShare(line) > 0.3 {
		return "noise: the line runs at another speed, or ground or levels are wrong"
	}
	return ""
}

func nearResult(line string) string {
	for _, word := range []string{"OK", "ERROR", "CONNECT", "RING", "NO CARRIER", "NO DIALTONE", "BUSY", "NO ANSWER", "+CME ERROR", "+CMS ERROR"} {
		if strings.EqualFold(line, word) {
			return "the result code " + word + ", which a module writes in capitals (V.250 5.1)"
		}
		if len(word) > 3 && distance(strings.ToUpper(line), word, 3) < 3 {
			return "the result code " + word + " with a letter wrong or lost"
		}
		if strings.HasPrefix(line, word) && len(line) <= len(word)+4 && len(line) > len(word) && !unicode.IsLetter(rune(line[len(word)])) {
			return "the result code " + word + " with more behind it"
		}
	}
	return ""
}

func nearSentence(line string) string {
	address, _, found := strings.Cut(line, ",")
	if !found || len(address) < 5 || len(address) > 7 {
		return ""
	}
	tail := address[len(address)-5:]
	if strings.ToUpper(tail) != tail || strings.Trim(tail, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" || !strings.ContainsAny(tail[:1], "GBQP") {
		return ""
	}
	if strings.HasPrefix(line, "$") {
		return "a GNSS sentence with something wrong in its address"
	}
	return "a GNSS sentence whose beginning ($) was lost"
}

func nearAnswer(line string) string {
	if line == "" || line[0] != '+' || len(line) < 4 || line[1] < 'A' || line[1] > 'Z' {
		return ""
	}
	return "an answer +NAME: values; the colon behind the name is missing"
}

func nearCommand(line string) string {
	upper := strings.ToUpper(line)
	switch {
	case strings.HasPrefix(upper, "T+") || strings.HasPrefix(upper, "A+"):
		return "a command line whose AT lost a letter"
	case strings.Contains(upper, "AT+"):
		return "a command line with something before its AT"
	}
	if row, ok := at.Lookup("+" + strings.TrimRight(upper, "?=")); ok && row.Forms != 0 {
		return "the command " + row.Name + " (" + row.Title + ") without AT+"
	}
	return ""
}

func nearHex(line string) string {
	if len(line) < 6 || !isHex(line) {
		return ""
	}
	switch {
	case len(line)%2 == 1:
		return fmt.Sprintf("a PDU or text in hex, but %d digits are odd in number: one was lost", len(line))
	case len(line) < minPDUDigits:
		return "hex digits, too few for a message"
	}
	return "hex digits, but no message can be read from them: data, or a PDU cut off"
}

func nearPosition(line string) string {
	digits := strings.Count(line, ",") + strings.Count(line, ".")
	if digits < 2 || !strings.ContainsAny(line, "0123456789") || strings.Trim(line, "0123456789 .,+-NSEWnsew°'\"") != "" {
		return ""
	}
	_, err := geo.Parse(line)
	var fault *geo.SyntaxError
	if errors.As(err, &fault) {
		return fmt.Sprintf("a position, but at byte %d wanted %s", fault.At, fault.Want)
	}
	return ""
}
