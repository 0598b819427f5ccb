package intake

import (
	"strings"

	"firstfix/internal/wire/at"
)

// What a line of a recording looks like, when nobody says who sent it. The
// spelling is that of wire/at; these are only the questions an importer asks.

// isCommand says whether a line looks like a command line.
func isCommand(t string) bool { return at.IsCommandLine(t) }

// isFinal says whether a line ends an answer.
func isFinal(t string) bool {
	res, ok := at.ParseResult(strings.Trim(t, " \x00"))
	return ok && !res.Numeric && res.Kind != at.Ring
}

func isResult(t string) bool {
	res, ok := at.ParseResult(strings.Trim(t, " \x00"))
	return ok && !res.Numeric
}

// isAnswer says whether a line begins with a name and a colon.
func isAnswer(t string) bool {
	name, _ := at.AnswerName(t)
	return name != ""
}

// isSentence says whether a line is a GNSS sentence.
func isSentence(t string) bool {
	return len(t) >= 3 && (t[0] == '$' || t[0] == '!') && upper(t[1]) && (upper(t[2]) || digit(t[2]))
}

// speaks says whether a line can only be part of a dialogue.
func speaks(t string) bool {
	t = strings.Trim(t, " \x00\r\n")
	return isCommand(t) || isResult(t) || isAnswer(t) || isSentence(t) || strings.HasPrefix(t, ">")
}

// isBanner says whether a line looks like what a module says when it starts or
// becomes ready, and not like what a program prints: no small letters, or a few words that end in "ready".
func isBanner(t string) bool {
	if strings.EqualFold(t[max(0, len(t)-5):], "ready") && strings.Count(t, " ") <= 3 {
		return true
	}
	for i := range len(t) {
		if lower(t[i]) {
			return false
		}
	}
	return true
}

// wantsText says whether a command line asks for a text: TS 27.005 3.5.1, 3.5.3, 3.5.5.
func wantsText(t string) bool {
	u := strings.ToUpper(t)
	for _, name := range [...]string{"+CMGS=", "+CMGC=", "+CMGW"} {
		if i := strings.Index(u, name); i >= 0 && !strings.HasPrefix(u[i+len(name):], "?") && !strings.HasPrefix(u[i+len(name):], "=?") {
			return true
		}
	}
	return false
}

// announcesText says whether the line behind this one is the text of a message:
// TS 27.005 3.4.1 to 3.4.3.
func announcesText(t string) bool {
	return strings.HasPrefix(t, "+CMT:") || strings.HasPrefix(t, "+CMGR:") || strings.HasPrefix(t, "+CMGL:") || strings.HasPrefix(t, "+CBM:")
}

// foreignShare returns how many bytes in a hundred are no part of a text line.
func foreignShare(s string) int {
	if s == "" {
		return 0
	}
	n := 0
	for i := range len(s) {
		if c := s[i]; c < ' ' && c != '\t' && c != '\r' && c != '\n' && c != 0x1A && c != 0x1B || c == 0x7F {
			n++
		}
	}
	return n * 100 / len(s)
}

func upper(b byte) bool  { return b >= 'A' && b <= 'Z' }
func lower(b byte) bool  { return b >= 'a' && b <= 'z' }
func letter(b byte) bool { return b|0x20 >= 'a' && b|0x20 <= 'z' }
func digit(b byte) bool  { return b >= '0' && b <= '9' }
