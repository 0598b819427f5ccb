package bringup

import (
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/fixedwait"
	"firstfix/internal/judge/rules/missingend"
	"firstfix/internal/judge/rules/notready"
	"firstfix/internal/judge/rules/overlap"
	"firstfix/internal/judge/rules/settingslost"
	"firstfix/internal/judge/rules/shortwait"
	"firstfix/internal/judge/rules/smsprompt"
	"firstfix/internal/judge/rules/swallowed"
	"firstfix/internal/judge/rules/unchecked"
)

var overlapCause = &Cause{
	Name: "overlap", Title: "the controller does not wait for the final result", Prior: 0.06,
	Signs:  []sign{{overlapping, 0.97}},
	Rules:  []*rulebook.Rule{overlap.Rule, fixedwait.Rule, shortwait.Rule},
	Remedy: "Keep one command in flight: send the next only after OK, ERROR or the command's own limit, and 100 ms later.",
	Tests:  []test{{byHand, 0.9}},
}

var earlyTextCause = &Cause{
	Name: "early-text", Title: "the controller sends the text before the prompt", Prior: 0.04,
	Signs:  []sign{{earlyText, 0.97}, {refused, 0.5}},
	Rules:  []*rulebook.Rule{smsprompt.Rule},
	Remedy: "After AT+CMGS wait for the two characters \"> \", then 50 to 100 ms, then send the text and Ctrl-Z.",
	Tests:  []test{{byHand, 0.95}},
}

var textNotEnded = &Cause{
	Name: "text-not-ended", Title: "the controller does not end its text with Ctrl-Z", Prior: 0.03,
	Signs:  []sign{{openText, 0.97}, {fellSilent, 0.4}},
	Rules:  []*rulebook.Rule{missingend.Rule, swallowed.Rule},
	Remedy: "Write the one byte 0x1A behind the text, not the digits 26 and no line end after it.",
	Tests:  []test{{hexOfCommand, 0.95}, {byHand, 0.9}},
}

var settingsLost = &Cause{
	Name: "settings-lost", Title: "settings are gone after a restart nobody noticed", Prior: 0.03,
	Rules:  []*rulebook.Rule{settingslost.Rule},
	Remedy: "Run the whole set-up again at every ready line and whenever a setting reads back wrong.",
	Tests:  []test{{radioOffTest, 0.5}, {byHand, 0.3}},
}

var tooEarly = &Cause{
	Name: "too-early", Title: "the controller talks before module and card are ready", Prior: 0.03,
	Rules:  []*rulebook.Rule{notready.Rule},
	Remedy: "Wait in order: AT brings OK, +CPIN is READY, +CREG is 1 or 5, then work.",
	Tests:  []test{{byHand, 0.9}},
}

var failureIgnored = &Cause{
	Name: "failure-ignored", Title: "the controller goes on after an error as if it had worked", Prior: 0.03,
	Rules:  []*rulebook.Rule{unchecked.Rule},
	Remedy: "Look at every final result, and let each error have its own way: try again, set up again, or tell somebody.",
	Tests:  []test{{byHand, 0.6}},
}
