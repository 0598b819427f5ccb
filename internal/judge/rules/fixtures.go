package rules

import (
	"embed"

	"firstfix/internal/judge/rulebook"
)

// fixtures are the two dialogues that every rule has beside it: they prove it,
// and they are what a learner is shown.
//
//go:embed */testdata/fires.talk */testdata/silent.talk
var fixtures embed.FS

// Fires returns the dialogue in which the rule speaks, as a .talk text; "" for a
// rule that is not in [All].
func Fires(r *rulebook.Rule) string { return fixture(r, "fires.talk") }

// Silent returns a dialogue in which it has nothing to say.
func Silent(r *rulebook.Rule) string { return fixture(r, "silent.talk") }

func fixture(r *rulebook.Rule, name string) string {
	text, err := fixtures.ReadFile(r.Name + "/testdata/" + name)
	if err != nil {
		return ""
	}
	return string(text)
}
