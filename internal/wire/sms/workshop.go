package sms

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The ways a text can end at the receiver; the values of [Effect].How.
const (
	HowPlain      = "plain"
	HowFlash      = "flash"
	HowBlank      = "blank"
	HowGarbled    = "garbled"
	HowIconOnly   = "icon only"
	HowReplaces   = "replaces an older one"
	HowNeverShown = "never shown"
	HowRefused    = "refused"
)

// Effect is what becomes of a text typed in text mode.
type Effect struct {
	Shown  string // what a handset shows; empty when nothing
	How    string // one of the words above
	Why    string
	Quotes string // what Why repeats of the text, put there with strconv.Quote; "" for nothing
	Clause string
}

// QuotedValidity stands for a validity period given as a quoted string in +CSMP.
const QuotedValidity = -1

// Workshop says what a handset shows when +CSMP is fo,vp,pid,dcs, +CSCS is
// characterSet and text is typed at the prompt in text mode (TS 27.005 clauses
// 3.1, 3.3.2 and 3.5.1). vp may be [QuotedValidity]. Where modules differ, the
// effect is the one commonly met and Why says so.
func Workshop(fo, vp, pid, dcs int, text, characterSet string) Effect {
	w := workshop{fo: fo, vp: vp, pid: pid, dcs: dcs, text: text, set: characterSet}
	if e, ok := w.refused(); ok {
		return e
	}
	w.first, w.coding = ReadFirstOctet(byte(fo), ToNetwork), ReadDCS(byte(dcs))
	if e, ok := w.neverShown(); ok {
		return e
	}
	e := w.shown()
	if e.How != HowPlain {
		return e
	}
	return w.presented(e)
}

type workshop struct {
	fo, vp, pid, dcs int
	text, set        string
	first            FirstOctet
	coding           Coding
}

func refusedFor(clause, format string, a ...any) (Effect, bool) {
	return Effect{How: HowRefused, Why: fmt.Sprintf(format, a...), Clause: clause}, true
}

// refused finds values that a module or the network does not take.
func (w *workshop) refused() (Effect, bool) {
	for _, v := range [...]struct {
		name  string
		value int
	}{{"fo", w.fo}, {"vp", max(w.vp, 0)}, {"pid", w.pid}, {"dcs", w.dcs}} {
		if v.value < 0 || v.value > 255 {
			return refusedFor("TS 27.005 3.3.2", "%s = %d is not 0 to 255", v.name, v.value)
		}
	}
	form := ValidityForm(w.fo >> 3 & 3)
	switch {
	case w.fo&3 != 1:
		return refusedFor("TS 23.040 9.2.3.1", "fo = %d: a message to send has 01 in the two lowest bits (17 is usual)", w.fo)
	case (form == FormAbsolute || form == FormEnhanced) && w.vp >= 0:
		return refusedFor("TS 27.005 3.1 <vp>", "fo = %d wants the validity period as a quoted string, not the number %d", w.fo, w.vp)
	case form == FormRelative && w.vp < 0:
		return refusedFor("TS 27.005 3.1 <vp>", "fo = %d wants the validity period as a number, not as a quoted string", w.fo)
	}
	return Effect{}, false
}

// neverShown finds settings that keep a message from the person.
func (w *workshop) neverShown() (Effect, bool) {
	e := Effect{How: HowNeverShown, Clause: "TS 23.040 9.2.3.9"}
	class, _ := w.coding.Class.Get()
	switch {
	case w.pid == 0x40:
		e.Why = "pid = 64 is type 0: the receiver acknowledges it and throws it away"
	case w.pid == 0x7F && w.coding.Class.IsKnown() && class == 2:
		e.Why, e.Clause = "pid = 127 with class 2 is data for the card", "TS 23.040 9.2.3.9, TS 23.038 4"
	case w.pid >= 0x7C && w.pid <= 0x7F:
		e.Why = fmt.Sprintf("pid = %d is %s", w.pid, ReadPID(byte(w.pid)))
	default:
		return e, false
	}
	return e, true
}

// shown works out which characters the receiver sees.
func (w *workshop) shown() Effect {
	if w.text == "" {
		return Effect{How: HowBlank, Why: "nothing was typed before Ctrl-Z", Clause: "TS 27.005 3.5.1"}
	}
	if w.first.HasHeader || w.coding.InOctets() {
		return w.shownFromHex()
	}
	if text, ok := LooksUCS2Hex(w.text); ok && !hexSet(w.set) {
		return Effect{Shown: w.text, How: HowGarbled, Clause: "TS 27.005 3.1 <data>, TS 23.038 4", Quotes: text,
			Why: fmt.Sprintf("dcs = %d takes the hex digits literally; with dcs = 8 the receiver would read %q", w.dcs, text)}
	}
	got, changes := typed(w.text, w.set)
	if got == "" {
		e, _ := refusedFor(changes[0].Clause, "%s", changes[0].Why)
		switch changes[0].Rune {
		case endsText:
			e.How = HowBlank
		case cancelsText:
			e.How = HowNeverShown
		}
		return e
	}
	e := Effect{Shown: got, How: HowPlain}
	for _, c := range changes {
		if c.Becomes != string(c.Rune) {
			return Effect{Shown: got, How: HowGarbled, Why: changeWords(changes), Clause: c.Clause}
		}
		e.Why, e.Clause = changeWords(changes), c.Clause
	}
	return e
}

func hexSet(set string) bool {
	set = strings.ToUpper(strings.Trim(set, `"`))
	return set == "UCS2" || set == "HEX"
}

// changeWords names the first few changes: a person wants examples, not a list.
func changeWords(changes []Change) string {
	const enough = 3
	var words []string
	for i, c := range changes {
		if i == enough {
			words = append(words, fmt.Sprintf("and %d more", len(changes)-enough))
			break
		}
		words = append(words, fmt.Sprintf("%q: %s", c.Rune, c.Why))
	}
	return strings.Join(words, "; ")
}

// shownFromHex is the case in which hex pairs are to be typed: 8-bit data, UCS2, or
// a header (TS 27.005 clause 3.1, <data>).
func (w *workshop) shownFromHex() Effect {
	const clause = "TS 27.005 3.1 <data>, TS 23.038 4"
	octets, isHex := hexOctets(w.text)
	switch {
	case w.first.HasHeader && !isHex:
		e, _ := refusedFor("TS 27.005 3.1 <data>", "fo = %d announces a header: the text must be typed as hex pairs that begin with it", w.fo)
		return e
	case w.coding.Compressed:
		return Effect{How: HowGarbled, Why: fmt.Sprintf("dcs = %d says that the text is compressed (TS 23.042); nearly no receiver reads that", w.dcs), Clause: clause}
	case w.coding.ReadAs() == Data8:
		return Effect{How: HowBlank, Why: fmt.Sprintf("dcs = %d is 8-bit data, which has no alphabet: receivers show nothing, or say that they cannot show it", w.dcs), Clause: clause}
	case !isHex:
		shown := w.received([]byte(w.text))
		few := firstRunes(shown, 4)
		return Effect{Shown: shown, How: HowGarbled, Clause: clause, Quotes: few,
			Why: fmt.Sprintf("dcs = %d is UCS2, typed as four hex digits per character; plain letters are refused, or two of them become one character (%q), which many handsets show as a blank", w.dcs, few)}
	}
	shown := w.received(octets)
	switch {
	case shown == "":
		return Effect{How: HowBlank, Why: "behind the header there is no text", Clause: "TS 23.040 9.2.3.24"}
	case !readable(shown):
		return Effect{Shown: shown, How: HowGarbled, Why: "the octets typed are not a text in the coding that dcs names", Clause: clause}
	}
	return Effect{Shown: shown, How: HowPlain, Why: "typed in hex, as this coding wants", Clause: clause}
}

func firstRunes(text string, n int) string {
	runes := []rune(text)
	return string(runes[:min(n, len(runes))])
}

// readable says whether text holds only characters that can be shown.
func readable(text string) bool {
	for _, r := range text {
		if r == utf8.RuneError || !unicode.IsPrint(r) && r != '\n' && r != '\r' && r != '\f' {
			return false
		}
	}
	return true
}

// received reads user data as the receiver does, with the decoder itself.
func (w *workshop) received(octets []byte) string {
	octets = octets[:min(len(octets), maxUserOctets)]
	length := len(octets)
	if !w.coding.InOctets() {
		// How many septets are meant cannot be said in text mode; seven bits left
		// over and zero are fill, not a commercial at.
		if length = length * 8 / 7; len(octets) > 0 && len(octets)%7 == 0 && octets[len(octets)-1]>>1 == 0 {
			length--
		}
	}
	fo := byte(0x04)
	if w.first.HasHeader {
		fo |= 0x40
	}
	hex := fmt.Sprintf("00%02X0081%02X%02X%014X%02X%X", fo, w.pid, w.dcs, 0, length, octets)
	p, _ := Decode(hex, FromNetwork)
	return p.Data.Text
}

// presented says how a readable text is shown.
func (w *workshop) presented(e Effect) Effect {
	class, _ := w.coding.Class.Get()
	switch {
	case w.coding.Waiting.Discard:
		return Effect{How: HowIconOnly, Why: fmt.Sprintf("dcs = %d only sets a message-waiting icon; the text may be thrown away", w.dcs), Clause: "TS 23.038 4"}
	case w.pid >= 0x41 && w.pid <= 0x47:
		e.How, e.Clause = HowReplaces, "TS 23.040 9.2.3.9"
		e.Why = fmt.Sprintf("pid = %d overwrites the older message of the same sender and pid", w.pid)
	case w.coding.Class.IsKnown() && class == 0:
		e.How, e.Clause = HowFlash, "TS 23.038 4"
		e.Why = fmt.Sprintf("dcs = %d is class 0: it pops up and usually is not kept", w.dcs)
	default:
		w.remark(&e)
	}
	return e
}

// remark adds what else a person should know of a text that is shown as typed.
func (w *workshop) remark(e *Effect) {
	add := func(clause, text string) {
		if e.Why != "" {
			e.Why += "; "
		}
		e.Why += text
		e.Clause = clause
	}
	if w.coding.AutoDelete {
		add("TS 23.038 4", fmt.Sprintf("dcs = %d marks it for deletion after reading", w.dcs))
	}
	if w.coding.Waiting.Given {
		add("TS 23.038 4", fmt.Sprintf("dcs = %d also switches a message-waiting icon", w.dcs))
	}
	if w.pid >= 0x20 && w.pid <= 0x3F {
		add("TS 23.040 9.2.3.9", fmt.Sprintf("pid = %d asks the service centre for a conversion (%s), which it may refuse", w.pid, ReadPID(byte(w.pid))))
	}
	if w.first.Validity == FormRelative && w.vp == 0 {
		add("TS 23.040 9.2.3.12.1", "vp = 0 expires after 5 minutes: a phone that is off for longer never gets it")
	}
}
