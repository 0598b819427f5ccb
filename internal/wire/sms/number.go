package sms

import (
	"fmt"
	"strings"
	"unicode"
)

// Number is a telephone number as a person or a program wrote it.
type Number struct {
	Given    string
	Normal   string   // without blanks and dashes, "00" kept; for a name: as given
	Type     int      // 145 with "+", 129 without (TS 27.005 clause 3.1), 208 for a name
	Name     bool     // letters: a name, to which nothing can be sent
	Short    bool     // a short code: few digits, valid in one network only
	Problems []string // what may go wrong, in words
}

const (
	// shortDigits is the longest number that counts as a short code: numbers of
	// service providers have three to six digits (common practice, no source).
	shortDigits = 6
	// maxOthers is how much of what does not belong is shown.
	maxOthers = 16
	// e164Digits is the longest international number, ITU-T E.164 clause 6.
	e164Digits = 15
)

// ReadNumber reads a number leniently and says what may go wrong with it.
func ReadNumber(text string) Number {
	n := Number{Given: text, Type: int(TypeUnknown)}
	var b strings.Builder
	blanks, letters, others := false, false, ""
	for i, r := range strings.TrimSpace(text) {
		switch {
		case r >= '0' && r <= '9' || r == '*' || r == '#':
			b.WriteRune(r)
		case r == '+' && i == 0:
			b.WriteRune(r)
		case unicode.IsLetter(r):
			letters = true
		case unicode.IsSpace(r) || strings.ContainsRune("-./()", r):
			blanks = true
		case len(others) < maxOthers:
			others += string(r)
		}
	}
	n.Normal = b.String()
	if letters {
		n.Normal, n.Name, n.Type = strings.TrimSpace(text), true, int(TypeName)
		n.Problems = append(n.Problems, "letters: this is a sender's name, no message can be sent to it")
		return n
	}
	if n.Normal != text && blanks {
		n.Problems = append(n.Problems, "blanks, dashes or brackets between the digits: many modules refuse them")
	}
	if others != "" {
		n.Problems = append(n.Problems, fmt.Sprintf("%q does not belong in a number", others))
	}
	n.judge()
	return n
}

func (n *Number) judge() {
	digits, plus := strings.CutPrefix(n.Normal, "+")
	if plus {
		n.Type = int(TypeInternational)
	}
	add := func(text string) { n.Problems = append(n.Problems, text) }
	switch {
	case digits == "":
		add("no digits")
	case strings.ContainsAny(digits, "*#"):
		add("* or #: this is a service code, not a number")
	case plus && digits[0] == '0':
		add("0 behind the +: no country code begins with 0")
	case plus && len(digits) > e164Digits:
		add("more than 15 digits (ITU-T E.164)")
	case plus:
	case len(digits) <= shortDigits:
		n.Short = true
	case strings.HasPrefix(digits, "00"):
		add("00 in front: write + and the country code, 00 is not dialled everywhere")
	default:
		add("no + and country code: it works at home only, or not at all")
	}
}

// NormaliseNumber returns the number without blanks, dots, dashes and brackets;
// an international prefix 00 becomes "+". Names stay as they are.
func NormaliseNumber(text string) string {
	n := ReadNumber(text)
	if rest, ok := strings.CutPrefix(n.Normal, "00"); ok && !n.Name && len(rest) > shortDigits {
		return "+" + rest
	}
	return n.Normal
}

// TypeOfNumber is the type of address for a command: 145 with "+", 129 without,
// 208 for a name.
func TypeOfNumber(text string) int { return ReadNumber(text).Type }

// SameNumber says whether two spellings can mean the same line: equal after
// normalising, or one of them lacks the country code and the other ends with its
// digits (at least eight of them; fewer match by chance).
func SameNumber(a, b string) bool {
	a, b = NormaliseNumber(a), NormaliseNumber(b)
	if a == b {
		return a != ""
	}
	a, plusA := strings.CutPrefix(a, "+")
	b, plusB := strings.CutPrefix(b, "+")
	if plusA == plusB {
		return false
	}
	if plusB {
		a, b = b, a
	}
	b = strings.TrimPrefix(b, "0") // the trunk prefix of many countries
	return len(b) >= 8 && strings.HasSuffix(a, b)
}
