package message

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"firstfix/internal/wire/sms"
)

// Where the blame for an unreadable text can lie.
const (
	FieldFO     = "fo"
	FieldVP     = "vp"
	FieldPID    = "pid"
	FieldDCS    = "dcs"
	FieldSet    = "character set"
	FieldLength = "length"
	FieldText   = "text"
)

// A Blame is one reason why a text does not show as it was meant.
type Blame struct {
	Field   string // one of the words above; joined with " and " when only together they cure it
	Value   string // what it was
	Instead string // what would have shown the text; "" when nothing does
	Why     string
	Clause  string
}

// typing is a text typed in text mode, and the settings under which it was.
type typing struct {
	fo, vp, pid, dcs int
	set              string
	text             string
}

func (t typing) effect() sms.Effect { return sms.Workshop(t.fo, t.vp, t.pid, t.dcs, t.text, t.set) }

// fine says that the text is kept and read as any other.
func fine(e sms.Effect) bool { return e.How == sms.HowPlain }

// A cure is one change of one setting that might help.
type cure struct {
	field   string
	value   func(t *typing) string
	instead string
	apply   func(t *typing)
}

// cures are the usual values of each setting: TS 27.005 clause 3.3.2, TS 27.007
// clause 5.5. The simple ones come first.
var cures = []cure{
	{FieldDCS, func(t *typing) string { return strconv.Itoa(t.dcs) }, "0", func(t *typing) { t.dcs = 0 }},
	{FieldDCS, func(t *typing) string { return strconv.Itoa(t.dcs) }, "8", func(t *typing) { t.dcs = 8 }},
	{FieldPID, func(t *typing) string { return strconv.Itoa(t.pid) }, "0", func(t *typing) { t.pid = 0 }},
	{FieldFO, func(t *typing) string { return strconv.Itoa(t.fo) }, "17", func(t *typing) { t.fo = 17 }},
	{FieldVP, vpWords, "167", func(t *typing) { t.vp = usualVP }},
	{FieldVP, vpWords, "a quoted time", func(t *typing) { t.vp = sms.QuotedValidity }},
	{FieldSet, func(t *typing) string { return t.set }, SetGSM, func(t *typing) { t.set = SetGSM }},
	{FieldSet, func(t *typing) string { return t.set }, SetIRA, func(t *typing) { t.set = SetIRA }},
	{FieldSet, func(t *typing) string { return t.set }, SetUCS2, func(t *typing) { t.set = SetUCS2 }},
}

func vpWords(t *typing) string {
	if t.vp < 0 {
		return "a quoted text"
	}
	return strconv.Itoa(t.vp)
}

// judgeTyped says what a handset shows of a typed text, and finds the blame by trying:
// the setting that cures the text when it alone is changed is the one that spoiled
// it. Where no single one does, several are tried together.
func judgeTyped(t typing) (sms.Effect, []Blame) {
	e := t.effect()
	if over, ok := tooLong(t); ok {
		return sms.Effect{How: sms.HowRefused, Why: over.Why, Clause: over.Clause}, []Blame{over}
	}
	if fine(e) {
		return e, nil
	}
	if t.text == "" {
		return e, []Blame{{Field: FieldText, Value: "empty", Why: e.Why, Clause: e.Clause}}
	}
	if found := alone(t, e); len(found) > 0 {
		return e, found
	}
	for n := 2; n <= 4; n++ {
		if b, ok := together(t, e, cures, n, nil); ok {
			return e, []Blame{b}
		}
	}
	return e, []Blame{{Field: FieldText, Value: strconv.Quote(short(t.text)), Why: e.Why, Clause: e.Clause}}
}

// alone finds the settings of which one alone cures the text.
func alone(t typing, e sms.Effect) []Blame {
	var found []Blame
	for _, c := range cures {
		if hasField(found, c.field) {
			continue
		}
		other := t
		if c.apply(&other); other != t && curedBy(t, other) {
			found = append(found, Blame{Field: c.field, Value: c.value(&t), Instead: c.instead, Why: e.Why, Clause: e.Clause})
		}
	}
	return found
}

// together finds n settings that cure the text when all of them are changed. There are
// nine cures, so at most 126 combinations.
func together(t typing, e sms.Effect, left []cure, n int, taken []cure) (Blame, bool) {
	if n == 0 {
		other := t
		var fields, values, instead []string
		for _, c := range taken {
			before := other
			if c.apply(&other); other == before {
				return Blame{}, false // it changes nothing
			}
			fields, values, instead = append(fields, c.field), append(values, c.value(&t)), append(instead, c.instead)
		}
		if !curedBy(t, other) {
			return Blame{}, false
		}
		return Blame{Field: strings.Join(fields, " and "), Value: strings.Join(values, " and "), Instead: strings.Join(instead, " and "), Why: e.Why, Clause: e.Clause}, true
	}
	for i, c := range left {
		if slices.ContainsFunc(taken, func(o cure) bool { return o.field == c.field }) {
			continue
		}
		if b, ok := together(t, e, left[i+1:], n-1, append(taken[:len(taken):len(taken)], c)); ok {
			return b, true
		}
	}
	return Blame{}, false
}

// curedBy says that the text shows under other settings, and as it was meant: as
// typed, or as the hex digits say. Plain letters read as septets in hex are no cure.
func curedBy(t, other typing) bool {
	e := other.effect()
	if !fine(e) {
		return false
	}
	if e.Shown == t.text {
		_, hex := sms.LooksUCS2Hex(t.text)
		return !hex
	}
	meant, ok := sms.FromUCS2Hex(t.text)
	return ok && meant == e.Shown
}

func hasField(list []Blame, field string) bool {
	for _, b := range list {
		if b.Field == field {
			return true
		}
	}
	return false
}

// tooLong: one message holds 160 septets or 140 octets, TS 23.040 clause 9.2.3.16.
func tooLong(t typing) (Blame, bool) {
	if t.dcs < 0 || t.dcs > 255 {
		return Blame{}, false
	}
	coding := sms.ReadDCS(byte(t.dcs))
	had, most, unit := 0, 160, "characters"
	switch {
	case coding.InOctets():
		had, most, unit = len(t.text)/2, 140, "octets"
		if !isHex(t.text) {
			had = len(t.text)
		}
	case strings.EqualFold(t.set, SetUCS2):
		had = len(t.text) / 4
	case strings.EqualFold(t.set, SetHEX):
		had = len(t.text) / 2
	default:
		had = sms.Measure(t.text).Septets
		if had == 0 {
			had = len([]rune(t.text))
		}
	}
	if had <= most {
		return Blame{}, false
	}
	return Blame{Field: FieldLength, Value: fmt.Sprint(had), Instead: fmt.Sprintf("at most %d", most),
		Why: fmt.Sprintf("%d %s, but one message holds %d: it is refused, or cut", had, unit, most), Clause: "TS 23.040 9.2.3.16"}, true
}

// judgePDU says what a handset shows of a message in PDU mode, and why it does not
// show as it was meant.
func judgePDU(p *sms.PDU, fault *sms.Fault) (sms.Effect, []Blame) {
	switch p.Kind {
	case sms.KindDeliver, sms.KindSubmit:
	default:
		return sms.Effect{How: sms.HowNeverShown, Why: "it is no text: " + p.Kind.String(), Clause: "TS 23.040 9.2.2"}, nil
	}
	if fault != nil {
		b := Blame{Field: blamedField(fault.Field), Value: fault.Had, Instead: fault.Want, Clause: fault.Clause,
			Why: fmt.Sprintf("the message is broken at octet %d, in %s", fault.At, fault.Field)}
		how := sms.HowGarbled
		if p.Kind == sms.KindSubmit {
			how = sms.HowRefused
		}
		return sms.Effect{Shown: p.Text(), How: how, Why: b.Why, Clause: b.Clause}, []Blame{b}
	}
	effect, found := presentation(p)
	content, blame := contents(p)
	switch {
	case effect.How == sms.HowNeverShown || effect.How == sms.HowIconOnly:
		return effect, found // whatever it says
	case blame != nil:
		return content, append([]Blame{*blame}, found...)
	}
	effect.Shown = p.Text()
	return effect, found
}

// blamedField says which setting a field of a PDU belongs to.
func blamedField(field string) string {
	switch {
	case strings.HasPrefix(field, "TP-VP"):
		return FieldVP
	case strings.HasPrefix(field, "TP-PID"):
		return FieldPID
	case strings.HasPrefix(field, "TP-DCS"):
		return FieldDCS
	case strings.HasPrefix(field, "first octet"), strings.HasPrefix(field, "header"):
		return FieldFO
	case strings.HasPrefix(field, "TP-UD"):
		return FieldLength
	}
	return field
}

// presentation is what protocol identifier and data coding do to any text, asked of the
// workshop with a harmless one.
func presentation(p *sms.PDU) (sms.Effect, []Blame) {
	harmless := typing{fo: usualFO, vp: usualVP, pid: int(p.PID), dcs: int(p.Coding.DCS), set: SetUCS2, text: sms.UCS2Hex("harmless")}
	e := harmless.effect()
	e.Shown = ""
	if fine(e) {
		if strings.HasPrefix(e.Why, "typed in hex") {
			e.Why, e.Clause = "", ""
		}
		return e, nil
	}
	var found []Blame
	plain := "0" // the coding that keeps the alphabet
	if p.Coding.ReadAs() == sms.UCS2 {
		plain = "8"
	}
	for _, c := range cures {
		if c.field != FieldPID && (c.field != FieldDCS || c.instead != plain) {
			continue
		}
		if other := harmless; other.pid != 0 || other.dcs != 0 {
			if c.apply(&other); other != harmless && fine(other.effect()) {
				found = append(found, Blame{Field: c.field, Value: c.value(&harmless), Instead: c.instead, Why: e.Why, Clause: e.Clause})
			}
		}
	}
	if found == nil {
		found = []Blame{{Field: FieldPID + " and " + FieldDCS, Value: fmt.Sprintf("%d and %d", p.PID, p.Coding.DCS), Instead: "0 and 0", Why: e.Why, Clause: e.Clause}}
	}
	return e, found
}

// contents looks at the text itself.
func contents(p *sms.PDU) (sms.Effect, *Blame) {
	bad := func(how, field, value, instead, clause, format string, a ...any) (sms.Effect, *Blame) {
		b := Blame{Field: field, Value: value, Instead: instead, Why: fmt.Sprintf(format, a...), Clause: clause}
		return sms.Effect{Shown: p.Text(), How: how, Why: b.Why, Clause: clause}, &b
	}
	text, dcs := p.Text(), strconv.Itoa(int(p.Coding.DCS))
	octets := textOctets(p)
	switch {
	case p.First.HasHeader && p.Data.Header == nil && p.Data.Length > 0:
		return bad(sms.HowGarbled, FieldFO, fmt.Sprint(p.First.Octet), "bit 6 clear", "TS 23.040 9.2.3.24", "fo announces a header, but the user data begin with none that makes sense")
	case !p.First.HasHeader && looksLikeHeader(octets):
		return bad(sms.HowGarbled, FieldFO, fmt.Sprint(p.First.Octet), "bit 6 set", "TS 23.040 9.2.3.23", "the user data begin with the header of a long text, but fo does not announce one: the handset shows it as signs")
	case p.Data.Length == 0:
		return bad(sms.HowBlank, FieldText, "0", "a text", "TS 23.040 9.2.3.16", "the user data are empty: nothing was typed, or the text was lost before it was sent")
	case text == "" && p.Data.HeadSize > 0 && p.Data.Octets == nil:
		return bad(sms.HowBlank, FieldText, "only a header", "a text", "TS 23.040 9.2.3.24", "behind the header there is no text")
	case p.Coding.ReadAs() == sms.UCS2 && !p.Coding.Compressed:
		if meant, ok := asciiPairs(octets); ok {
			return bad(sms.HowGarbled, FieldDCS, dcs, "0", "TS 23.038 4", "the octets are plain letters, %q, sent under a coding of 16-bit characters: two of them make one foreign sign, or a blank", short(meant))
		}
		if len(octets)%2 != 0 {
			return bad(sms.HowGarbled, FieldLength, fmt.Sprint(p.Data.Length), "an even number of octets", "TS 23.038 6.2.3", "a text of 16-bit characters ends with half a character")
		}
	case !p.Coding.InOctets():
		if meant, ok := sms.LooksUCS2Hex(text); ok {
			return bad(sms.HowGarbled, FieldDCS, dcs, "8", "TS 27.005 3.1 <data>, TS 23.038 4", "the text is the hex digits of %q: they were typed while the coding said plain letters", short(meant))
		}
	}
	for _, r := range text {
		if !printable(r) {
			return bad(sms.HowGarbled, FieldDCS, dcs, "", "TS 23.038 4", "U+%04X shows nothing: the text was written in another coding", r)
		}
	}
	return sms.Effect{}, nil
}

// textOctets returns the octets of the text as they travel.
func textOctets(p *sms.PDU) []byte {
	at, n := p.At(sms.PartText)
	hex := p.Hex
	if 2*(at+n) > len(hex) {
		n = len(hex)/2 - at
	}
	octets, _ := octetsOf(hex[2*at : 2*(at+max(n, 0))])
	return octets
}

// looksLikeHeader says whether octets begin with the header of a long text: TS
// 23.040 clauses 9.2.3.24.1 and 9.2.3.24.8.
func looksLikeHeader(o []byte) bool {
	if len(o) > 6 && o[0] == 5 && o[1] == 0 && o[2] == 3 {
		return o[4] > 1 && o[5] > 0 && o[5] <= o[4]
	}
	if len(o) > 7 && o[0] == 6 && o[1] == 8 && o[2] == 4 {
		return o[5] > 1 && o[6] > 0 && o[6] <= o[5]
	}
	return false
}

// asciiPairs says whether octets of a UCS2 text are plain letters. A Chinese text may
// be printable both ways, so at least three pairs are wanted, of letters, figures and
// the signs of a report.
func asciiPairs(o []byte) (string, bool) {
	if len(o) < 6 {
		return "", false
	}
	letters := 0
	for _, c := range o {
		switch {
		case c|0x20 >= 'a' && c|0x20 <= 'z', c == ' ':
			letters++
		case c >= '0' && c <= '9', strings.IndexByte(".,:;/?=&()+-!'\n\r", c) >= 0:
		default:
			return "", false
		}
	}
	return string(o), 3*letters >= len(o) || len(o) >= 12
}

// short cuts a text for a sentence.
func short(text string) string {
	const enough = 40
	if r := []rune(text); len(r) > enough {
		return string(r[:enough]) + "…"
	}
	return text
}
