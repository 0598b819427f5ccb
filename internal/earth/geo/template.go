package geo

import (
	"fmt"
	"strings"
)

// Template is a web link with the fields {lat} and {lon}, set by the user: no
// map service is built in.
type Template struct {
	parts []string // literal, field, literal, field, … literal
}

// maxTemplate keeps a filled-in link within one short message of 160 characters
// with some words beside it (3GPP TS 23.038, clause 6.1.2.1.1).
const maxTemplate = 140

// templateFields are the names that may stand in braces.
var templateFields = []string{"lat", "lon"}

// ParseTemplate checks a template. It must have {lat} and {lon}, begin with a
// scheme, and hold only characters that may stand in a link (RFC 3986, clause
// 2): a blank or a bracket would cut the link short on somebody's telephone.
func ParseTemplate(text string) (Template, error) {
	fail := func(at int, want string) (Template, error) {
		return Template{}, &SyntaxError{Text: text, At: at, Want: want}
	}
	if len(text) > maxTemplate {
		return fail(maxTemplate, fmt.Sprintf("at most %d characters", maxTemplate))
	}
	if !strings.HasPrefix(text, "https://") && !strings.HasPrefix(text, "http://") && !strings.HasPrefix(text, schemeGeo) {
		return fail(0, `"https://", "http://" or "geo:"`)
	}
	var t Template
	seen := map[string]bool{}
	from := 0
	for i := 0; i < len(text); i++ {
		c := text[i]
		if c != '{' {
			if !inLinkText(c) {
				return fail(i, "a character that may stand in a link, or its %XX")
			}
			continue
		}
		end := strings.IndexByte(text[i:], '}')
		name := ""
		if end > 0 {
			name = text[i+1 : i+end]
		}
		if name != templateFields[0] && name != templateFields[1] {
			return fail(i, "{lat} or {lon}")
		}
		t.parts = append(t.parts, text[from:i], name)
		seen[name] = true
		i += end
		from = i + 1
	}
	t.parts = append(t.parts, text[from:])
	for _, name := range templateFields {
		if !seen[name] {
			return fail(len(text), "{"+name+"} somewhere")
		}
	}
	return t, nil
}

// inLinkText: unreserved, reserved and "%", RFC 3986, clauses 2.1 to 2.3.
func inLinkText(c byte) bool {
	return isDigit(c) || isLetter(c) || c != 0 && strings.IndexByte("-._~:/?#[]@!$&'()*+,;=%", c) >= 0
}

// Link fills in a point. The zero Template gives "".
func (t Template) Link(p Point, decimals int) string {
	var b []byte
	for i, part := range t.parts {
		switch {
		case i%2 == 0:
			b = append(b, part...)
		case part == "lat":
			b = AppendDecimal(b, p.LatDeg, decimals)
		default:
			b = AppendDecimal(b, p.LonDeg, decimals)
		}
	}
	return string(b)
}
