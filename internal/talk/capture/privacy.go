package capture

import (
	"fmt"
	"regexp"
	"strings"
)

// Privacy replaces what tells persons and devices apart by placeholders: phone
// numbers by "number-1", the identities of devices and subscribers by
// "identity-1", of cards by "card-1", raw messages by "pdu-1". The same number gives
// the same placeholder as long as the Privacy lives. It is for reports: what
// might be private is hidden. The text of messages is the caller's to hide.
type Privacy struct {
	Coordinates bool // hide positions too, as "position-1"

	names  map[string]string // normal form of a secret to its placeholder
	counts map[string]int    // placeholders given out, by kind
}

// NewPrivacy returns a Privacy that has seen nothing.
func NewPrivacy() *Privacy {
	return &Privacy{names: map[string]string{}, counts: map[string]int{}}
}

// The shapes of what is private, looked for in this order.
var (
	// A PDU is long hexadecimal; the shortest SMS-SUBMIT with a number of ten
	// digits has 14 octets (TS 23.040 9.2.2.2). Twenty-digit card numbers are not hidden as one.
	pduShape = regexp.MustCompile(`[0-9A-Fa-f]{28,}`)

	// A number in UCS2 (+CSCS="UCS2"): "002B003100320030…", TS 27.007 5.5.
	ucs2Shape = regexp.MustCompile(`(?:002[bB])?(?:003[0-9]){7,20}`)

	// ICCID: 18 to 20 digits that begin with 89, ITU-T E.118; some modules add F.
	cardShape = regexp.MustCompile(`89[0-9]{16,18}[Ff]?`)

	// IMEI 15 digits or 14 without its check digit, IMEISV 16 (TS 23.003 6.2);
	// IMSI at most 15 digits (TS 23.003 2.2), 14 and 15 are in use.
	identityShape = regexp.MustCompile(`[0-9]{14,17}`)

	// E.164: at most 15 digits; with the blanks, hyphens and brackets people write.
	plusShape = regexp.MustCompile(`\+[0-9](?:[ ()-]{0,2}[0-9]){6,16}`)

	// A number as parameter, and one that is dialled.
	quotedShape = regexp.MustCompile(`"[*#]?[0-9]{7,20}"`)
	dialShape   = regexp.MustCompile(`(?i)\b(AT)?D[TP]?[0-9]{7,20}\b`)
	linkShape   = regexp.MustCompile(`(?i)(?:tel|sms|smsto):[0-9]{7,15}`)

	// Two decimal degrees, and the four position fields of a sentence (IEC 61162-1).
	degreesShape  = regexp.MustCompile(`[-+]?[0-9]{1,3}\.[0-9]{3,}(?:\s*[,;/ ]\s*|%2[cC])[-+]?[0-9]{1,3}\.[0-9]{3,}`)
	sentenceShape = regexp.MustCompile(`[0-9]{4}\.[0-9]+,[NS],[0-9]{5}\.[0-9]+,[EW]`)

	areaShape = regexp.MustCompile(`^\+C5?(G|E)?REG:`) // its quoted fields are area and cell
)

// Hide returns text with all that is private replaced.
func (p *Privacy) Hide(text string) string {
	if text == "" {
		return text
	}
	if p.Coordinates {
		text = p.each(sentenceShape, text, "position", nil)
		text = p.each(degreesShape, text, "position", nil)
	}
	if !areaShape.MatchString(strings.TrimSpace(text)) {
		text = p.wrapped(quotedShape, text)
	}
	text = p.each(cardShape, text, "card", alone)
	text = p.each(ucs2Shape, text, "number", alone)
	text = p.each(pduShape, text, "pdu", aloneHex)
	text = p.each(plusShape, text, "number", notDecimal)
	text = p.wrapped(dialShape, text)
	text = p.wrapped(linkShape, text)
	return p.each(identityShape, text, "identity", func(text string, from, to int) bool {
		return alone(text, from, to) && !isStamp(text[from:to])
	})
}

// each replaces what a shape finds, where fits (nil: everywhere) agrees.
func (p *Privacy) each(shape *regexp.Regexp, text, kind string, fits func(text string, from, to int) bool) string {
	found := shape.FindAllStringIndex(text, -1)
	if found == nil {
		return text
	}
	var b strings.Builder
	last := 0
	for _, at := range found {
		if fits != nil && !fits(text, at[0], at[1]) {
			continue
		}
		b.WriteString(text[last:at[0]])
		b.WriteString(p.name(kind, text[at[0]:at[1]]))
		last = at[1]
	}
	b.WriteString(text[last:])
	return b.String()
}

// wrapped replaces the digits inside what a shape finds and keeps the rest of it.
func (p *Privacy) wrapped(shape *regexp.Regexp, text string) string {
	return shape.ReplaceAllStringFunc(text, func(s string) string {
		from := strings.IndexAny(s, "0123456789")
		to := strings.LastIndexAny(s, "0123456789") + 1
		kind := "number"
		switch n := to - from; {
		case n >= 18 && strings.HasPrefix(s[from:], "89"):
			kind = "card"
		case n >= 14 && !isStamp(s[from:to]):
			kind = "identity"
		}
		return s[:from] + p.name(kind, s[from:to]) + s[to:]
	})
}

// name returns the placeholder of a secret.
func (p *Privacy) name(kind, secret string) string {
	key := kind + " " + normal(kind, secret)
	name, ok := p.names[key]
	if !ok {
		p.counts[kind]++
		name = fmt.Sprintf("%s-%d", kind, p.counts[kind])
		p.names[key] = name
	}
	return name
}

// normal is the same for all spellings of one secret.
func normal(kind, s string) string {
	switch kind {
	case "number":
		if ucs2Shape.MatchString(s) && len(s)%4 == 0 && strings.HasPrefix(s, "00") {
			var b strings.Builder
			for i := 3; i < len(s); i += 4 {
				b.WriteByte(s[i]) // 0x3n is the digit n, 0x2B is +
			}
			s = b.String()
		}
		return strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r
			}
			return -1
		}, s)
	case "card":
		return strings.TrimRight(s, "Ff")
	}
	return strings.ToUpper(s)
}

// alone says that neither a digit, a letter nor a decimal point touches the place.
func alone(text string, from, to int) bool {
	return !touches(text, from, to, func(b byte) bool { return b >= '0' && b <= '9' || letter(b) }) && notDecimal(text, from, to)
}

func aloneHex(text string, from, to int) bool {
	return !touches(text, from, to, letter)
}

// notDecimal says that the digits are not part of a decimal fraction.
func notDecimal(text string, from, to int) bool {
	if from > 0 && text[from-1] == '.' {
		return false
	}
	return to+1 >= len(text) || text[to] != '.' || text[to+1] < '0' || text[to+1] > '9'
}

func touches(text string, from, to int, bad func(byte) bool) bool {
	return from > 0 && bad(text[from-1]) || to < len(text) && bad(text[to])
}

func letter(b byte) bool { return b|0x20 >= 'a' && b|0x20 <= 'z' }

// isStamp says whether 14 digits are a date and a time of this century, as in 20260304101530.
func isStamp(s string) bool {
	return len(s) == 14 && s[:2] == "20" && s[4:6] >= "01" && s[4:6] <= "12" && s[6:8] >= "01" && s[6:8] <= "31" &&
		s[8:10] <= "23" && s[10:12] <= "59" && s[12:14] <= "60"
}
