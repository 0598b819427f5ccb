package rulebook

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"firstfix/internal/judge/finding"
)

// longestTitle keeps a title on one line of a terminal, beside its severity.
const longestTitle = 72

// Validate says what is missing in a rule that was just written; nil when it is whole.
func Validate(r *Rule) error {
	var wrong []error
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Errorf(format, args...)) }
	if !isFolderName(r.Name) {
		say("name %q: want small letters and digits, a letter first, as the folder is called", r.Name)
	}
	first, _ := utf8.DecodeRuneInString(r.Title)
	switch {
	case r.Title == "":
		say("title: want what is wrong, in small letters")
	case unicode.IsUpper(first) && !startsWithAbbreviation(r.Title), strings.HasSuffix(r.Title, "."):
		say("title %q: want a small letter first and no full stop", r.Title)
	case len(r.Title) > longestTitle:
		say("title %q: want at most %d bytes, it has %d", r.Title, longestTitle, len(r.Title))
	}
	if r.Severity < finding.Note || r.Severity > finding.Error {
		say("severity %d: want finding.Note, Warning or Error", r.Severity)
	}
	for _, f := range []struct{ name, text string }{{"doc", r.Doc}, {"silent", r.Silent}, {"remedy", r.Remedy}} {
		if len(strings.Fields(f.text)) < 3 {
			say("%s %q: want a sentence", f.name, f.text)
		}
	}
	if strings.Contains(strings.TrimSpace(r.Remedy), "\n") {
		say("remedy: want one line")
	}
	if len(r.Cites) == 0 {
		say(`cites: want a standard and clause, or "common practice, no source"`)
	}
	for _, c := range r.Cites {
		if len(strings.Fields(c)) < 2 {
			say("cite %q: want a standard and its clause", c)
		}
	}
	if r.Watch == nil {
		say("watch: want a function")
	}
	return errors.Join(wrong...)
}

func isFolderName(s string) bool {
	for i, r := range s {
		if (r < 'a' || r > 'z') && (i == 0 || r < '0' || r > '9') {
			return false
		}
	}
	return s != ""
}

// startsWithAbbreviation lets "PIN wanted" and "+CREG read wrongly" begin as they are written.
func startsWithAbbreviation(title string) bool {
	word, _, _ := strings.Cut(title, " ")
	return len(word) > 1 && word == strings.ToUpper(word)
}
