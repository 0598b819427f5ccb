package main

import (
	"firstfix/internal/explain"
	"firstfix/internal/script/message"
)

// kindRemote is the kind of a command by text, which is no line of a module.
const kindRemote = "command by text"

// explainLine explains a line; what no reader of lines knows may be a command by text. Package
// explain cannot know them: they are ours, and live where they are decided.
func explainLine(text string) explain.Explanation {
	e := explain.Text(text)
	if e.Kind != explain.KindUnknown {
		return e
	}
	words, ok := message.ReadRemote(text)
	if !ok {
		return e
	}
	r := explain.Explanation{Kind: kindRemote, Title: "a command by text to a device of ours: " + words[0].Means, Fields: []explain.Field{}, Problems: []string{},
		Hints: []string{"whether a device obeys depends on sender, age and code: firstfix message commands FILE", message.CautionForged}}
	for _, w := range words {
		r.Fields = append(r.Fields, explain.Field{Name: w.Name, Value: w.Text, Meaning: w.Means, At: w.At, Clause: "docs/formats/remote-commands.md"})
		if w.Problem != "" {
			r.Problems = append(r.Problems, w.Text+": "+w.Problem)
		}
	}
	return r
}
