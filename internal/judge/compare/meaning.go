package compare

import (
	"strconv"
	"strings"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// usable is the level of +CSQ from when on a signal counts as enough: 10 is -93 dBm
// (27.007 8.5; the border is common practice, no source).
const usable = 10

// answers says which answers mean something, and what. Anything else that bears a name
// means that it was told; what has no name means nothing.
var answers = []struct {
	name    string
	meaning func(p []at.Param) string
}{
	{"+CPIN", func(p []at.Param) string { return rulebook.Text(p, 0) }}, // 27.007 8.3
	{"+CREG", registration},  // 27.007 7.2
	{"+CGREG", registration}, // 27.007 10.1.20
	{"+CEREG", registration}, // 27.007 10.1.22
	{"+CSQ", level},          // 27.007 8.5
	{"+CSCA", func(p []at.Param) string { return emptyOr(p, "a number is set") }}, // 27.005 3.3.1
	{"+CPMS", store}, // 27.005 3.2.2
	{"+CGPADDR", func(p []at.Param) string {
		if a := rulebook.Text(p, 1); a == "" || a == "0.0.0.0" {
			return "no address"
		}
		return "an address"
	}}, // 27.007 10.1.23
	{"+CGATT", whole}, {"+CGACT", whole}, {"+CFUN", whole}, {"+CMGF", whole}, {"+CSCS", whole}, {"+CSMP", whole}, {"+CNMI", whole}, {"+CMEE", whole},
	{"+CSDH", whole}, {"+CSMS", whole}, {"+CLIP", whole}, {"+IPR", whole}, {"+IFC", whole}, {"+CGSMS", whole}, {"+CPSMS", whole},
	{"+COPS", func(p []at.Param) string { return "mode " + rulebook.Text(p, 0) }}, // 27.007 7.3; the name differs from place to place
}

func whole(p []at.Param) string {
	var parts []string
	for i := range p {
		parts = append(parts, p[i].Text)
	}
	return strings.Join(parts, ",")
}

func emptyOr(p []at.Param, otherwise string) string {
	if rulebook.Text(p, 0) == "" {
		return "empty"
	}
	return otherwise
}

// registration reads the status: behind the first comma in an answer to a question.
func registration(p []at.Param) string {
	where := 0
	if len(p) > 1 && !p[1].Quoted {
		where = 1
	}
	stat, ok := rulebook.Int(p, where)
	switch {
	case !ok:
		return ""
	case witness.IsRegistered(stat):
		return "registered"
	case stat == 0:
		return "not searching"
	case stat == 2:
		return "searching"
	case stat == 3:
		return "denied"
	case stat == 8:
		return "emergency calls only"
	}
	return "not known"
}

func level(p []at.Param) string {
	n, ok := rulebook.Int(p, 0)
	switch {
	case !ok || n < 0 || n > 31:
		return "no level"
	case n < usable:
		return "too weak"
	}
	return "enough"
}

// store reads the last pair of figures, where texts arrive.
func store(p []at.Param) string {
	var figures []int
	for i := range p {
		if n, ok := rulebook.Int(p, i); ok {
			figures = append(figures, n)
		}
	}
	if len(figures) < 2 {
		return ""
	}
	last := len(figures) - len(figures)%2 - 2
	if figures[last] >= figures[last+1] {
		return "full"
	}
	return "has room"
}

// meaningOf says what the answer to a command means: "" when nothing in it counts.
func meaningOf(x *dialogue.Exchange, c *at.Command) string {
	var parts []string
	switch {
	case x.TextEarly:
		parts = append(parts, "the text came before the prompt")
	case !x.Text.IsZero() && x.TextEnd == 0:
		parts = append(parts, "the text was not ended")
	case !x.Text.IsZero() && x.TextEnd == 0x1b:
		parts = append(parts, "the text was cancelled")
	case x.Prompt.IsZero() && at.WantsText(*c) && !x.Result.Failed():
		parts = append(parts, "no prompt came")
	case !x.Prompt.IsZero() && x.Text.IsZero():
		parts = append(parts, "no text followed the prompt")
	}
	if c.Form == at.Test {
		return strings.Join(parts, "; ") // lists of values differ between modules
	}
	if line, ok := telltale(x, c); ok {
		a, _ := at.ParseAnswer(line.Text)
		said := "told"
		for _, known := range answers {
			if known.name == a.Name {
				said = known.meaning(a.Params)
			}
		}
		if said != "" {
			parts = append(parts, said)
		}
	}
	return strings.Join(parts, "; ")
}

// telltale is the last line of the answer that bears the command's name.
func telltale(x *dialogue.Exchange, c *at.Command) (dialogue.Line, bool) {
	for i := len(x.Info) - 1; i >= 0; i-- {
		if name, _ := at.AnswerName(x.Info[i].Text); name == c.Name && name != "" {
			return x.Info[i], true
		}
	}
	return dialogue.Line{}, false
}

// outcome puts the end of an exchange into words.
func outcome(x *dialogue.Exchange) (words string, failed bool) {
	switch x.Outcome {
	case dialogue.Finished:
		if x.Result.Failed() {
			return rulebook.Failure(x.Result), true
		}
		return x.Final.Text, false
	case dialogue.Overtaken:
		return "no result, and the next command followed", true
	}
	return "no result", true
}

// params are a command's values as far as they mean something: numbers of telephones,
// texts, lengths, indexes and secrets are left out.
func params(c *at.Command) string {
	switch {
	case c.Form != at.Set:
		if c.Number >= 0 && len(c.Name) <= 2 { // E0, V1, Q0
			return strconv.Itoa(c.Number)
		}
		return ""
	case at.NeedsText(c.Name):
		if len(c.Params) > 0 && c.Params[0].Quoted {
			return "a number"
		}
		return "a length"
	}
	switch c.Name {
	case "+CPIN", "+CPWD", "+CLCK", "+CGAUTH", "+CSCA", "+CMGR", "+CMGD", "+CMGL", "+CMSS", "D", "+CUSD", "+CCLK", "+CPBR", "+CPBW":
		return ""
	}
	return c.Value
}

// settingValue is a setting as it counts: of the store only its name, of the
// service centre only whether there is one.
func settingValue(name string, s witness.Setting) string {
	switch name {
	case "+CPMS", "+COPS":
		return s.First()
	case "+CSCA":
		return emptyOr(s.Params(), "a number is set")
	case "+CREG", "+CGREG", "+CEREG", "+C5GREG":
		return s.First()
	}
	return s.Value
}

// matters says that a command that is missing may be what is wrong: it sets something, or
// it waits for a state. What only asks for names and levels may be left out.
func (o *telling) matters() bool {
	switch o.name {
	case "+CPIN", "+CREG", "+CGREG", "+CEREG":
		return true
	}
	return o.form == at.Set || at.NeedsText(o.name) || o.form == at.Execute && len(o.name) <= 2 && o.name != "I" && o.name != ""
}
