package witness

import (
	"strings"

	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// A keeping is one setting that is remembered.
type keeping struct {
	name    string
	compare int    // the parameter that shows a start, counted from 0; -1: none does
	initial string // what it is after a start, values parted by spaces; "" when modules differ
	clause  string
}

// kept are the settings that change how a dialogue has to be read. It bounds
// the memory: nothing else is kept, secrets least of all.
//
// The initial values are those the standards name; where a module keeps its
// settings in a profile (V.250 6.1.1) it simply does not fall back to them.
var kept = []keeping{
	{"E", -1, "", "V.250 6.2.4"},
	{"V", -1, "", "V.250 6.2.6"},
	{"Q", -1, "", "V.250 6.2.5"},
	{"+IPR", -1, "", "V.250 6.2.10"},
	{"+ICF", -1, "", "V.250 6.2.11"},
	{"+IFC", -1, "", "V.250 6.2.12"},
	{"+CMEE", 0, "0", "27.007 9.1"},
	{"+CSCS", 0, "GSM IRA", "27.007 5.5"},
	{"+CFUN", -1, "", "27.007 8.2"},
	{"+COPS", -1, "", "27.007 7.3"},
	{"+CREG", 0, "0", "27.007 7.2"},
	{"+CGREG", 0, "0", "27.007 10.1.20"},
	{"+CEREG", 0, "0", "27.007 10.1.22"},
	{"+C5GREG", 0, "0", "27.007 10.1.47"},
	{"+CLIP", 0, "0", "27.007 7.6"},
	{"+CRC", 0, "0", "27.007 6.11"},
	{"+CTZR", 0, "0", "27.007 8.41"},
	{"+CTZU", -1, "", "27.007 8.40"},
	{"+CGATT", -1, "", "27.007 10.1.9"},
	{"+CPSMS", -1, "", "27.007 7.38"},
	{"+CSMS", 0, "0", "27.005 3.2.1"},
	{"+CPMS", -1, "", "27.005 3.2.2"},
	{"+CMGF", 0, "0", "27.005 3.2.3"},
	{"+CSCA", -1, "", "27.005 3.3.1"},
	{"+CSMP", -1, "", "27.005 3.3.2"},
	{"+CSDH", 0, "0", "27.005 3.3.3"},
	{"+CNMI", 1, "0", "27.005 3.4.1"},
}

func keepingOf(name string) *keeping {
	for i := range kept {
		if kept[i].name == name {
			return &kept[i]
		}
	}
	return nil
}

// Names lists the settings that are remembered, always in the same order.
func Names() []string {
	names := make([]string, len(kept))
	for i, k := range kept {
		names[i] = k.name
	}
	return names
}

// Params cuts the value of a setting into parameters.
func (s Setting) Params() []at.Param { return at.SplitParams(s.Value) }

// First is the first parameter of the value, without quotes: the mode of most settings.
func (s Setting) First() string { return first(s.Value) }

func first(value string) string {
	if i := strings.IndexByte(value, ','); i >= 0 {
		value = value[:i]
	}
	return strings.Trim(value, `" `)
}

// learn takes in the settings that an exchange has shown.
func (w *Witness) learn(x *dialogue.Exchange) {
	if x.Outcome != dialogue.Finished || x.Result.Kind != at.OK && x.Result.Kind != at.Connect {
		w.forgetUncertain(x)
		return
	}
	for i := range x.Parsed.Commands {
		w.apply(&x.Parsed.Commands[i], x.Command)
	}
	if _, ok := x.Parsed.Find("E"); ok {
		w.start.echoOff = x.Final.Record // commands sent before it are still echoed
	}
}

// forgetUncertain: V.250 5.6 lets a line stop at its first failure, so of a
// chain that failed or got no answer nobody knows which settings took. A single
// command that was refused changed nothing.
func (w *Witness) forgetUncertain(x *dialogue.Exchange) {
	if len(x.Parsed.Commands) == 1 && x.Outcome == dialogue.Finished {
		return
	}
	for i := range x.Parsed.Commands {
		c := &x.Parsed.Commands[i]
		if value, ok := valueSet(c); ok {
			if s, known := w.settings[c.Name]; known && s.Value != value {
				delete(w.settings, c.Name)
			}
		}
	}
}

// valueSet returns what a command sets, when it sets something that is kept.
func valueSet(c *at.Command) (string, bool) {
	if keepingOf(c.Name) == nil {
		return "", false
	}
	switch {
	case c.Form == at.Set:
		return c.Value, true
	case c.Form == at.Execute && c.Name[0] != '+': // E, V, Q: a missing number is 0, V.250 5.3.1
		if c.Number == 1 {
			return "1", true
		}
		return "0", true
	}
	return "", false
}

// apply takes in one command that the module accepted.
func (w *Witness) apply(c *at.Command, line dialogue.Line) {
	switch {
	case c.Form == at.Execute && (c.Name == "Z" || c.Name == "&F"): // V.250 6.1.1, 6.1.2: nobody here knows the profile
		clear(w.settings)
		return
	case c.Name == "+CNMA" || c.Form == at.Test || c.Form == at.Read:
		return
	}
	value, ok := valueSet(c)
	if !ok {
		return
	}
	if c.Name == "+CSMP" {
		value = w.mergeCSMP(value)
	}
	w.keep(c.Name, Setting{Value: value, Line: line})
}

// mergeCSMP: what +CSMP leaves out keeps its value, 27.005 3.3.2.
func (w *Witness) mergeCSMP(value string) string {
	old, known := w.settings["+CSMP"]
	if !known || old.Lost {
		return value
	}
	have, had := at.SplitParams(value), at.SplitParams(old.Value)
	if len(have) >= len(had) {
		return value
	}
	parts := strings.Split(old.Value, ",")
	if len(parts) != len(had) {
		return value
	}
	return value + "," + strings.Join(parts[len(have):], ",")
}

func (w *Witness) keep(name string, s Setting) {
	if w.settings == nil {
		w.settings = make(map[string]Setting, len(kept))
	}
	w.settings[name] = s
}

// readBack takes in an answer to "?" of a setting: "+CMGF: 0".
func (w *Witness) readBack(x *dialogue.Exchange, line dialogue.Line, name string, value string) {
	k := keepingOf(name)
	if k == nil {
		return
	}
	value = strings.TrimSpace(value)
	switch name {
	case "+CREG", "+CGREG", "+CEREG", "+C5GREG", "+CLIP": // the setting is the first number, the rest is news
		value = first(value)
	}
	if was, known := w.settings[name]; known && !was.Lost && fellBack(k, was, value) {
		w.restarted(x, line, name+" read back as "+parameter(value, k.compare)+" after "+parameter(was.Value, k.compare)+" was set", weak)
	}
	w.keep(name, Setting{Value: value, Line: line, ReadBack: true})
}

// fellBack says whether a setting that the controller made is at its initial value again.
func fellBack(k *keeping, was Setting, value string) bool {
	if k.compare < 0 || was.ReadBack {
		return false
	}
	before, now := parameter(was.Value, k.compare), parameter(value, k.compare)
	return before != "" && now != "" && !isInitial(k, before) && isInitial(k, now)
}

func isInitial(k *keeping, value string) bool {
	for _, v := range strings.Fields(k.initial) {
		if v == value {
			return true
		}
	}
	return false
}

func parameter(value string, n int) string {
	for ; n > 0; n-- {
		_, rest, found := strings.Cut(value, ",")
		if !found {
			return ""
		}
		value = rest
	}
	return first(value)
}

// inForce is the value of a setting that may be trusted now: known, and no
// restart since. Earlier commands of the same line count too.
func (w *Witness) inForce(name string, x *dialogue.Exchange) (string, bool) {
	if x != nil {
		for i := len(x.Parsed.Commands) - 1; i >= 0; i-- {
			if c := &x.Parsed.Commands[i]; c.Name == name {
				if v, ok := valueSet(c); ok {
					return v, true
				}
			}
		}
	}
	s, ok := w.settings[name]
	return s.Value, ok && !s.Lost
}
