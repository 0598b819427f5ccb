package explain

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// command reads a command line; also a bare "+CSQ", as people ask about it.
func command(line string) (Explanation, int) {
	if e, ok := bareName(line); ok {
		return e, likely
	}
	l := at.ParseLine(line)
	if l.Repeat {
		e := Explanation{Kind: KindCommand, Title: "repeats the last command line"}
		e.field(Field{Name: "A/", Value: line, Meaning: "repeat at once; no line end is waited for", Clause: "V.250 5.2.4"})
		addFault(&e, l.Err)
		return e, sure
	}
	if fault := prefixFault(l); fault {
		return Explanation{}, no
	}
	e := Explanation{Kind: KindCommand, Title: commandTitle(l)}
	for _, c := range l.Commands {
		explainCommand(&e, c)
	}
	if len(l.Commands) == 0 && l.Err == nil {
		e.field(Field{Name: "AT", Value: line, Meaning: "asks whether the module listens: OK is the answer", Clause: "V.250 5.6"})
	}
	addFault(&e, l.Err)
	trust := commandTrust(line, l)
	if trust == maybe_ {
		e.hint("it may as well be plain text that begins with AT")
	}
	e.hint("a command line ends with CR (0x0D), not with LF alone (V.250 5.2.1)")
	return e, trust
}

// prefixFault: the line does not begin with AT.
func prefixFault(l at.Line) bool {
	var fault *at.SyntaxError
	return errors.As(l.Err, &fault) && len(l.Commands) == 0 && strings.HasPrefix(fault.Want, "AT, at or A/")
}

// letters are what words of a text are made of.
const letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ .,!?'-"

// commandTrust: "ATTENTION" and "at home" are words.
func commandTrust(line string, l at.Line) int {
	rest := line[min(2, len(line)):]
	if strings.ContainsAny(rest, "+&=?") || rest == "" {
		return sure
	}
	for _, c := range l.Commands {
		if _, known := at.LookupCommand(c); known {
			continue
		}
		if strings.Trim(rest, letters) == "" {
			return no // a word that begins with AT
		}
		return maybe_
	}
	if strings.HasPrefix(rest, " ") && strings.Trim(rest, letters) == "" {
		return maybe_
	}
	if len(l.Commands) > 3 && strings.ToLower(rest) == rest {
		return maybe_
	}
	return sure
}

func commandTitle(l at.Line) string {
	switch len(l.Commands) {
	case 0:
		return "a command line without a command"
	case 1:
		if row, ok := at.LookupCommand(l.Commands[0]); ok {
			return formWords(l.Commands[0].Form, row) + row.Title
		}
		return "a command that the standards do not have"
	}
	return fmt.Sprintf("a command line with %d commands", len(l.Commands))
}

func formWords(f at.Form, row *at.Entry) string {
	switch {
	case f == at.Read:
		return "asks: "
	case f == at.Test:
		return "asks what is possible: "
	case f == at.Set && row.Setting:
		return "sets: "
	}
	return ""
}

// bareName explains "+CSQ" and "+CSQ?" without AT.
func bareName(line string) (Explanation, bool) {
	if line == "" || line[0] != '+' && line[0] != '&' {
		return Explanation{}, false
	}
	l := at.ParseLine("AT" + line)
	if len(l.Commands) == 0 {
		return Explanation{}, false
	}
	c := l.Commands[0]
	if _, known := at.LookupCommand(c); !known {
		return Explanation{}, false
	}
	e := Explanation{Kind: KindCommand, Title: commandTitle(l)}
	for _, c := range l.Commands {
		c.At -= len("AT")
		for i := range c.Params {
			c.Params[i].At -= len("AT")
		}
		explainCommand(&e, c)
	}
	e.problem("AT is missing before %s: a module ignores a line without it (V.250 5.2.1)", c.Name)
	e.hint("a bare name is right in the list that +CLAC answers with")
	return e, true
}

// addFault tells where reading stopped.
func addFault(e *Explanation, err error) {
	var fault *at.SyntaxError
	if errors.As(err, &fault) {
		e.problem("at byte %d: wanted %s", fault.At, fault.Want)
	}
}

// explainCommand adds one command with its parameters.
func explainCommand(e *Explanation, c at.Command) {
	row, known := at.LookupCommand(c)
	if !known {
		unknownCommand(e, c)
		return
	}
	name := row.Name
	meaning := formWords(c.Form, row) + row.Title
	if row.Confidence != at.FromText {
		meaning += " (" + string(row.Confidence) + ")"
	}
	e.field(Field{Name: name, Value: withoutSecrets(c, row), Meaning: meaning, At: c.At, Clause: row.Clause})
	if row.Forms == 0 {
		e.problem("%s is not a command: the module sends it unasked (%s)", name, row.Clause)
		return
	}
	if c.Form != at.Execute && !row.Forms.Has(c.Form) {
		e.problem("%s has no %s form; the standard has %s (%s)", name, formName(c.Form), formList(row.Forms), row.Clause)
	}
	if c.Form == at.Execute && !row.Forms.Has(at.Execute) {
		e.problem("%s is not used alone; the standard has %s (%s)", name, formList(row.Forms), row.Clause)
	}
	switch {
	case c.Name == "D":
		dialFields(e, c)
	case c.Name[0] != '+' && c.Form == at.Execute:
		numberField(e, c, row)
	case c.Form == at.Set:
		paramFields(e, c, row)
	}
	commandHints(e, c, row)
}

func unknownCommand(e *Explanation, c at.Command) {
	meaning := "not a command of V.250, 3GPP TS 27.005 or the part of 27.007 that is built in; makers add their own"
	if c.Name[0] != '+' && strings.ContainsAny(c.Name[:1], "^*#$%@!_") {
		meaning = "a maker's own command: the module's manual says what it does"
	}
	e.field(Field{Name: c.Name, Value: c.Text, Meaning: meaning, At: c.At})
	for i, p := range c.Params {
		e.field(Field{Name: fmt.Sprintf("value %d", i+1), Value: p.Text, Meaning: shape(p), At: p.At})
	}
	hintNearest(e, c.Name)
}

func shape(p at.Param) string {
	switch {
	case p.Empty:
		return "left out"
	case p.Quoted:
		return "a string"
	}
	if _, err := strconv.ParseFloat(p.Text, 64); err == nil {
		return "a number"
	}
	return "without quotes"
}

func dialFields(e *Explanation, c at.Command) {
	kind := "a data call: no ; at the end"
	clause := "V.250 6.3.1"
	if strings.HasSuffix(c.Text, ";") {
		kind, clause = "a voice call: ; at the end", "3GPP TS 27.007 6.2"
	}
	if strings.HasPrefix(c.Value, "*99") {
		kind, clause = "a packet-data connection: *99 is its service code", "3GPP TS 27.007 10.2.1.1"
	}
	at0 := c.At + strings.Index(c.Text, c.Value)
	e.field(Field{Name: "dial string", Value: c.Value, Meaning: kind, At: at0, Clause: clause})
	if c.Value == "" {
		e.problem("no number stands after D")
	}
	e.hint("dialling may cost money")
}

// numberField explains the number of a basic command.
func numberField(e *Explanation, c at.Command, row *at.Entry) {
	if len(row.Params) == 0 {
		if c.Number >= 0 {
			e.problem("%s takes no number (V.250 5.3.1)", c.Name)
		}
		return
	}
	p := &row.Params[0]
	n, value := c.Number, strconv.Itoa(c.Number)
	if n < 0 {
		n, value = 0, ""
	}
	meaning, ok := p.Value(at.Param{Text: strconv.Itoa(n)})
	if !ok && p.Values != nil {
		e.problem("%s%d: no such value; %s", c.Name, n, valueList(p))
		return
	}
	if value == "" {
		meaning += " (no number means 0, V.250 5.3.1)"
	}
	e.field(Field{Name: p.Name, Value: value, Meaning: withDefault(p.Meaning+": "+meaning, p, strconv.Itoa(n)), At: c.At + len(c.Name), Clause: clauseOf(p, row)})
}

// paramFields explains the parameters of a set command.
func paramFields(e *Explanation, c at.Command, row *at.Entry) {
	list := paramList(c, row)
	checkCount(e, c, row, list)
	for i, v := range c.Params {
		if i >= len(list) {
			e.field(Field{Name: fmt.Sprintf("value %d", i+1), Value: v.Text, Meaning: "the standard has no such parameter", At: v.At})
			continue
		}
		e.field(paramField(e, setting{row: row, list: list, given: c.Params, toModule: true}, i))
	}
	for i := len(c.Params); i < len(list); i++ {
		if p := &list[i]; p.Default != "" {
			e.field(Field{Name: p.Name, Meaning: p.Meaning + ": left out, so " + p.Default, At: -1, Clause: clauseOf(p, row)})
		}
	}
}

// paramList chooses between text and PDU mode by the look of the parameters.
func paramList(c at.Command, row *at.Entry) []at.ParamInfo {
	if row.ParamsPDU == nil || len(c.Params) == 0 {
		return row.Params
	}
	first := c.Params[0]
	bare := !first.Quoted && len(first.Text) <= 3 && strings.Trim(first.Text, "0123456789") == ""
	if c.Name == "+CMGC" {
		bare = bare && len(c.Params) == 1
	}
	if bare && row.Name != "+CNMA" {
		return row.ParamsPDU
	}
	return row.Params
}

func checkCount(e *Explanation, c at.Command, row *at.Entry, list []at.ParamInfo) {
	if len(list) == 0 && row.Forms.Has(at.Set) {
		return // +CIND: as many as the module has
	}
	if len(c.Params) > len(list) {
		e.problem("%s has %d values, the standard at most %d (%s)", row.Name, len(c.Params), len(list), row.Clause)
	}
	for i := range list {
		p := &list[i]
		if p.Optional || p.Default != "" {
			continue
		}
		if i >= len(c.Params) || c.Params[i].Empty {
			e.problem("%s: %s (%s) is missing (%s)", row.Name, p.Name, p.Meaning, row.Clause)
		}
	}
}

// commandHints: what to know before sending it.
func commandHints(e *Explanation, c at.Command, row *at.Entry) {
	if row.Note != "" && c.Name != "D" {
		e.hint("%s: %s", row.Name, row.Note)
	}
	if c.Form == at.Test && row.TestAnswer != "" {
		e.hint("%s=? answers with %s", row.Name, row.TestAnswer)
	}
	if ms, source := at.WaitMS(c); ms > 5000 {
		e.hint("%s may take up to about %d s (%s)", row.Name, ms/1000, source)
	}
	if at.WantsText(c) {
		e.hint(`%s: wait for "> " before the text is sent`, row.Name)
	}
	if row.Name == "+CMGS" || row.Name == "+CMSS" {
		e.hint("each message costs money")
	}
	if c.Form == at.Set && row.Setting && row.Volatile && !strings.Contains(row.Note, "power off") {
		e.hint("%s is usually lost at power off (common practice, no source)", row.Name)
	}
	if c.Name == "+CSMP" && c.Form == at.Set {
		textEffect(e, c.Params)
	}
	if c.Name == "+CMGS" || c.Name == "+CSCA" {
		for _, p := range c.Params {
			if p.Quoted && p.At == c.Params[0].At {
				for _, problem := range sms.ReadNumber(p.Text).Problems {
					e.hint("the number: %s", problem)
				}
			}
		}
		if len(c.Params) > 0 && !c.Params[0].Quoted && len(c.Params[0].Text) > 3 {
			e.problem("%s: the number belongs in quotes (V.250 5.4.2.2)", c.Name)
		}
	}
}

func formName(f at.Form) string {
	switch f {
	case at.Set:
		return "set (=)"
	case at.Read:
		return "read (?)"
	case at.Test:
		return "test (=?)"
	}
	return "execute"
}

func formList(forms at.Forms) string {
	var names []string
	for _, f := range []at.Form{at.Execute, at.Set, at.Read, at.Test} {
		if forms.Has(f) {
			names = append(names, formName(f))
		}
	}
	return strings.Join(names, ", ")
}

// withoutSecrets is the command as written, its PIN or password left out.
func withoutSecrets(c at.Command, row *at.Entry) string {
	for i := range c.Params {
		if i < len(row.Params) && secret(row.Params[i].Name) {
			return c.Name + "=" + hidden
		}
	}
	return c.Text
}

const hidden = "(hidden)"

// secret names the parameters that are never repeated.
func secret(param string) bool {
	switch param {
	case "pin", "newpin", "passwd", "oldpwd", "newpwd", "password":
		return true
	}
	return false
}

func clauseOf(p *at.ParamInfo, row *at.Entry) string {
	if p.Clause != "" {
		return p.Clause
	}
	return row.Clause
}

func withDefault(meaning string, p *at.ParamInfo, value string) string {
	if p.Default != "" && p.Default == value {
		return meaning + " (the default)"
	}
	return meaning
}

// valueList says which values fit.
func valueList(p *at.ParamInfo) string {
	var b strings.Builder
	b.WriteString("the standard has ")
	for i, v := range p.Values {
		if i > 0 {
			b.WriteString(", ")
		}
		switch {
		case v.Text != "":
			b.WriteString(strconv.Quote(v.Text))
		case v.From == v.To:
			fmt.Fprintf(&b, "%d %s", v.From, v.Meaning)
		default:
			fmt.Fprintf(&b, "%d to %d %s", v.From, v.To, v.Meaning)
		}
	}
	return b.String()
}

// hintNearest names the commands whose names come nearest.
func hintNearest(e *Explanation, name string) {
	for _, near := range nearestCommands(name) {
		row, _ := at.Lookup(near)
		e.hint("a near name is %s: %s", near, row.Title)
	}
}

// Nearness of names: at most so many letters changed, and so many names said.
const (
	maxChanged = 2
	maxNear    = 4
)

// nearestCommands are the catalogue's names with the fewest letters changed.
func nearestCommands(name string) []string {
	var found []string
	least := maxChanged + 1
	for _, row := range at.Entries() {
		if len(row.Name) < 3 || row.Forms == 0 {
			continue
		}
		switch d := distance(name, row.Name, maxChanged+1); {
		case d < least:
			found, least = []string{row.Name}, d
		case d == least && d <= maxChanged && len(found) < maxNear:
			found = append(found, row.Name)
		}
	}
	return found
}

// distance counts letters to be put in, taken out, changed or swapped with
// their neighbour; limit when there are at least so many.
func distance(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	before, row := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		next := make([]int, len(b)+1)
		next[0] = i + 1
		for j := range len(b) {
			cost := row[j]
			if a[i] != b[j] {
				cost++
			}
			next[j+1] = min(cost, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row = row, next
	}
	return min(row[len(b)], limit)
}
