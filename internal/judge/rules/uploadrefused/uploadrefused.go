// Package uploadrefused reports an upload that the server did not take.
package uploadrefused

import (
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "uploadrefused",
	Title:    "the server did not take the upload",
	Severity: finding.Warning,
	Cites:    []string{"RFC 9110, 15 (status codes)"},
	Doc: `
The connection stands, the request arrived, and the server answered: not here (301, 302, 308: mostly the secure address of the same
name), you made a mistake (400 to 499), I made one (500 and more). Nothing was stored. A program that only looks whether something
came back counts it as delivered and throws the report away.`,
	Silent: `
Any answer from 200 to 299. The same request was repeated and taken.`,
	Remedy: `Read the three digits of the answer, keep the report unless they are 2xx, and follow the address of a 301 by configuration, not by guess.`,
	Watch:  watch,
}

var meanings = map[string]string{
	"301": "moved for good, see its Location", "302": "look elsewhere, see its Location", "307": "look elsewhere, see its Location", "308": "moved for good, see its Location",
	"400": "the request is not well formed", "401": "credentials are wanted", "403": "forbidden", "404": "no such address", "408": "the request came too slowly",
	"411": "a length is wanted", "413": "too large", "415": "not in this format", "429": "too many requests", "500": "the server failed", "502": "the server behind it failed", "503": "the server is too busy",
}

func watch(p *rulebook.Pass) {
	said := map[string]bool{} // by status, three digits each
	var sent dialogue.Line
	p.OnData(func(l dialogue.Line) {
		if l.From != capture.Module {
			sent = l
			return
		}
		rest, ok := strings.CutPrefix(strings.TrimLeft(l.Text, "\r\n"), "HTTP/1.")
		if !ok || len(rest) < 5 || rest[1] != ' ' || sent.IsZero() {
			return
		}
		status := rest[2:5]
		if status[0] < '3' || status[0] > '5' || said[status] {
			return
		}
		said[status] = true
		message := "the server answered " + status
		if m := meanings[status]; m != "" {
			message += ": " + m
		}
		p.Report(message, p.See(l, "not taken"), p.See(sent, "the request"))
	})
}
