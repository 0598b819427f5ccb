package procedure

import (
	"fmt"
	"slices"
	"strings"

	"firstfix/internal/maybe"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"
)

// Options are what the person allowed and gave for one run.
type Options struct {
	Sheet  *sheet.Sheet      // for duties, line ends and limits; nil: none
	Values map[string]string // for "{name}" in send and text
	// Spend is how many texts, calls or data sessions may leave. Free says that
	// the line leads to the stand-in: nothing costs.
	Spend int
	Free  bool
	// PIN is the card's PIN if the person gave it for this run, PINTriesLeft how
	// many tries the card still has, when that is known.
	PIN          string
	PINTriesLeft maybe.Value[int]
	// Typed are command lines the person typed for this run: what changes the
	// module for good is sent only when it stands here, letter for letter.
	Typed []string
	// KeepStore refuses what deletes or writes messages on the card or in the
	// module, unless it is typed: a live line of somebody's.
	KeepStore bool
}

// cost says what a command would cost. The list is of the standards' own
// commands; a vendor's way to send data is in no list, so a sheet's duties
// hold none either.
var costs = []struct {
	name  string
	what  string
	costs func(c at.Command) bool
}{
	{"+CMGS", "a text (TS 27.005, 3.5.1)", always},
	{"+CMSS", "a stored text (TS 27.005, 3.5.2)", always},
	{"+CMGC", "a message command (TS 27.005, 3.5.5)", always},
	{"D", "a call or a data session (V.250, 6.3.1)", always},
	{"+CUSD", "a request to the operator that may be charged (TS 27.007, 7.15)", withParams(2)},
	{"+CGACT", "a data session (TS 27.007, 10.1.10)", switchesOn},
	{"+CGDATA", "a data session (TS 27.007, 10.1.12)", always},
	{"+CMOLR", "a position request that may go through the network (TS 27.007, 8.50)", viaNetwork},
}

func always(c at.Command) bool { return c.Form == at.Set || c.Form == at.Execute }

func switchesOn(c at.Command) bool {
	return c.Form == at.Set && (len(c.Params) == 0 || c.Params[0].Text != "0")
}

func withParams(n int) func(at.Command) bool {
	return func(c at.Command) bool { return c.Form == at.Set && len(c.Params) >= n }
}

// viaNetwork: method 0 is the module's own receiver alone; every other method asks the network.
func viaNetwork(c at.Command) bool {
	return c.Form == at.Set && switchesOn(c) && (len(c.Params) < 2 || c.Params[1].Text != "0")
}

// lasting lists what changes the module or the card for good.
var lasting = []struct {
	name string
	what string
	hits func(c at.Command) bool
}{
	{"&F", "a factory reset (V.250, 6.1.2)", anyForm},
	{"&W", "saving settings in the module (common practice, no source)", anyForm},
	{"+IPR", "a new line speed (V.250, 6.2.10)", isSet},
	{"+ICF", "a new character frame (V.250, 6.2.11)", isSet},
	{"+CLCK", "a lock or its password (TS 27.007, 7.4)", changesLock},
	{"+CPWD", "a new password (TS 27.007, 7.5)", isSet},
	{"+CSAS", "saving message settings (TS 27.005, 3.3.5)", always},
	{"+CRSM", "writing to the card (TS 27.007, 8.18)", writesCard},
	{"+CSIM", "a raw command to the card (TS 27.007, 8.17)", isSet},
}

// stored lists what changes what people keep in the module or on its card.
var stored = []struct {
	name string
	what string
}{
	{"+CMGD", "deleting texts (TS 27.005, 3.5.4)"},
	{"+CMGW", "writing a text to the store (TS 27.005, 3.5.3)"},
	{"+CSCA", "a new service centre, which the card keeps (TS 27.005, 3.3.1)"},
	{"+CPBW", "writing the card's telephone book (TS 27.007, 8.14)"},
}

func (m *Machine) refusesStore(c at.Command, line string) string {
	for _, s := range stored {
		if m.options.KeepStore && s.name == c.Name && always(c) && !slices.Contains(m.options.Typed, line) {
			return fmt.Sprintf("%s is %s: it is sent only when the person allowed it for this run", c.Text, s.what)
		}
	}
	return ""
}

func anyForm(at.Command) bool { return true }
func isSet(c at.Command) bool { return c.Form == at.Set }
func writesCard(c at.Command) bool {
	// 176 and 178 read, 192 and 242 ask; TS 27.007 8.18.
	return c.Form == at.Set && !(len(c.Params) > 0 && slices.Contains([]string{"176", "178", "192", "242"}, c.Params[0].Text))
}

// changesLock: mode 2 only asks.
func changesLock(c at.Command) bool {
	return c.Form == at.Set && !(len(c.Params) > 1 && c.Params[1].Text == "2")
}

// refuses says why a command line must not be sent, "" when it may. It also
// returns how much of the spending it uses.
func (m *Machine) refuses(line string) (why string, cost int) {
	parsed := at.ParseLine(line)
	switch {
	case parsed.Repeat:
		return "A/ repeats a line unseen: it is never sent", 0
	case parsed.Err != nil && !slices.Contains(m.options.Typed, line):
		return "what cannot be read cannot be judged: " + parsed.Err.Error(), 0
	}
	for _, c := range parsed.Commands {
		if why := m.refusesPIN(c); why != "" {
			return why, 0
		}
		if why := m.refusesStore(c, line); why != "" {
			return why, 0
		}
		for _, l := range lasting {
			if l.name == c.Name && l.hits(c) && !slices.Contains(m.options.Typed, line) {
				return fmt.Sprintf("%s is %s: it is sent only when the person typed it for this run", c.Text, l.what), 0
			}
		}
		for _, k := range costs {
			if k.name != c.Name || !k.costs(c) {
				continue
			}
			cost++
			if left := m.mayStillSpend(); cost > left {
				return fmt.Sprintf("%s is %s: %d allowed for this run, %d used", c.Name, k.what, m.allowed(), m.spent), 0
			}
		}
	}
	return "", cost
}

// refusesPIN keeps the card from being locked: TS 27.007 8.3 and TS 31.101 give
// three tries, then only the PUK helps, and ten wrong PUKs end the card.
func (m *Machine) refusesPIN(c at.Command) string {
	if c.Name != "+CPIN" || c.Form != at.Set {
		return ""
	}
	left, known := m.options.PINTriesLeft.Get()
	switch {
	case len(c.Params) != 1:
		return "+CPIN with two values gives a PUK: firstfix never sends one"
	case m.options.PIN == "" || c.Params[0].Text != m.options.PIN:
		return "+CPIN with a PIN that was not given for this run"
	case known && left < 2:
		return fmt.Sprintf("+CPIN with %d tries left: fewer than two are never used", left)
	case m.pinSent:
		return "+CPIN a second time in one run: a wrong PIN must not be repeated"
	}
	return ""
}

func (m *Machine) allowed() int {
	if m.options.Free {
		return m.procedure.Budget.Texts
	}
	return min(m.options.Spend, m.procedure.Budget.Texts)
}

func (m *Machine) mayStillSpend() int { return m.allowed() - m.spent }

// fill puts values in place of "{name}". A brace that holds no name stays: JSON passes.
func (m *Machine) fill(text string) (filled, missing string) {
	var b strings.Builder
	for {
		open := strings.IndexByte(text, '{')
		if open < 0 {
			break
		}
		b.WriteString(text[:open])
		text = text[open:]
		end := strings.IndexByte(text, '}')
		name := ""
		if end > 0 {
			name = text[1:end]
		}
		if name == "" || strings.ContainsFunc(name, func(r rune) bool { return !isNameRune(r) }) {
			b.WriteByte('{')
			text = text[1:]
			continue
		}
		value, ok := m.captured[name]
		if !ok {
			value, ok = m.options.Values[name]
		}
		if !ok && name == "pin" && m.options.PIN != "" {
			value, ok = m.options.PIN, true
		}
		if !ok {
			return "", name
		}
		b.WriteString(value)
		text = text[end+1:]
	}
	b.WriteString(text)
	return b.String(), ""
}
