// Package contentlength reports a body whose length is not the one announced.
package contentlength

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "contentlength",
	Title:    "the length announced is not the length sent",
	Severity: finding.Error,
	Cites:    []string{"RFC 9112, 6.2 (Content-Length; from memory)"},
	Doc: `
The head of the request announces how many bytes follow, and others follow. Too few, and the server waits for the rest until it gives
up; too many, and it takes the rest for the next request. Characters are not bytes: "°" and "ü" are two each in UTF-8, and a line
end is two.`,
	Silent: `
The lengths agree; no length is announced; the module answered before the body was complete.`,
	Remedy: `Build the body first, count its bytes (not its characters), and write the head after it.`,
	Watch:  watch,
}

var announced = regexp.MustCompile(`(?i)\r?\ncontent-length: *([0-9]{1,7})\r?\n`)

// limit bounds the request that is looked at; a tracker's reports are far smaller.
const limit = 32 << 10

func watch(p *rulebook.Pass) {
	var first dialogue.Line
	var text strings.Builder
	look := func() {
		body := text.String()
		l := first
		text.Reset()
		first = dialogue.Line{}
		m := announced.FindStringSubmatch(body)
		if m == nil {
			return
		}
		end := strings.Index(body, "\r\n\r\n")
		if end < 0 {
			return
		}
		want, _ := strconv.Atoi(m[1])
		if have := len(body) - end - len("\r\n\r\n"); have != want && !strings.Contains(body[end:], "HTTP/1.") {
			p.Report(fmt.Sprintf("Content-Length says %d and %d bytes follow", want, have), p.See(l, "the request"))
		}
	}
	p.OnData(func(l dialogue.Line) {
		if l.From != capture.Controller || strings.HasPrefix(l.Text, "+++") {
			look()
			return
		}
		if first.IsZero() {
			first = l
		}
		if text.Len() < limit {
			text.WriteString(l.Text)
		}
	})
	p.OnAnswered(func(x *dialogue.Exchange) { look() })
	p.OnEnd(look)
}
