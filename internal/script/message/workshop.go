package message

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// Parameters are the values of +CSMP, TS 27.005 clause 3.3.2.
type Parameters struct {
	FO, VP, PID, DCS int    // VP is sms.QuotedValidity for a quoted one
	Quoted           string // the quoted validity
}

// Usual are the values that +CSMP has before anybody sets it.
var Usual = Parameters{FO: usualFO, VP: usualVP}

// ParseParameters reads "17,167,0,8" or `25,"26/03/04,10:15:30+04",0,0`. What is left
// out has its usual value.
func ParseParameters(text string) (Parameters, error) {
	p := Usual
	list := at.SplitParams(text)
	if len(list) == 0 || len(list) > 4 {
		return p, &OrderError{"+CSMP", fmt.Sprintf("%q", short(text)), "up to four values: first octet, validity, protocol, coding"}
	}
	for i, v := range list {
		if v.Empty {
			continue
		}
		if i == 1 && v.Quoted {
			p.VP, p.Quoted = sms.QuotedValidity, v.Text
			continue
		}
		n, err := strconv.Atoi(v.Text)
		if err != nil || v.Quoted || n < 0 || n > 255 {
			return p, &OrderError{"+CSMP", fmt.Sprintf("value %d is %q", i+1, short(v.Text)), "0 to 255"}
		}
		*[...]*int{&p.FO, &p.VP, &p.PID, &p.DCS}[i] = n
	}
	return p, nil
}

// String writes the values as they stand behind AT+CSMP=.
func (p Parameters) String() string {
	vp := strconv.Itoa(p.VP)
	if p.VP == sms.QuotedValidity {
		vp = at.Quote(p.Quoted)
	}
	return fmt.Sprintf("%d,%s,%d,%d", p.FO, vp, p.PID, p.DCS)
}

// validityBits are where first octet and validity belong together: TS 23.040 clause 9.2.3.3.
const validityBits, relativeForm = 0x18, 0x10

// SetValidity makes the validity relative and at least d.
func (p *Parameters) SetValidity(d time.Duration) {
	p.FO, p.VP, p.Quoted = p.FO&^validityBits|relativeForm, int(sms.RelativeFor(d)), ""
}

// NoValidity leaves the time to the service centre. The number is not used then.
func (p *Parameters) NoValidity() { p.FO, p.VP, p.Quoted = p.FO&^validityBits, 0, "" }

// The alphabets by the names of flags, and their bits in the data coding, TS 23.038 clause 4.
var alphabetBits = map[string]int{"gsm7": 0, "gsm": 0, "data8": 4, "8bit": 4, "ucs2": 8}

// SetAlphabet sets the alphabet in the general group of the data coding, and keeps
// the class. False: no such alphabet.
func (p *Parameters) SetAlphabet(name string) bool {
	bits, ok := alphabetBits[strings.ToLower(name)]
	if ok {
		p.general()
		p.DCS = p.DCS&^0x0C | bits
	}
	return ok
}

// SetClass sets the message class, 0 to 3.
func (p *Parameters) SetClass(class int) bool {
	if class < 0 || class > 3 {
		return false
	}
	p.general()
	p.DCS = p.DCS&^3 | 0x10 | class
	return true
}

// general writes the coding in the general group, 00xx, where alphabet and class are
// bits of their own. Groups that cannot be written so lose what is special to them.
func (p *Parameters) general() {
	if p.DCS&^0x1F == 0 {
		return
	}
	coding := sms.ReadDCS(byte(p.DCS))
	p.DCS = map[sms.Alphabet]int{sms.Data8: 4, sms.UCS2: 8}[coding.ReadAs()]
	if class, ok := coding.Class.Get(); ok {
		p.DCS |= 0x10 | class
	}
}

// Tried is what becomes of a text typed under some parameters.
type Tried struct {
	CharacterSet string
	Fields       []sms.Field // the parameters in words
	Effect       sms.Effect
	Blames       []Blame
	Changes      []sms.Change // characters that arrive as others, data coding 0 only
}

// TryOut says what a handset shows of text typed in text mode under p and a character
// set, and which value spoils it. An empty set is GSM.
func TryOut(p Parameters, text, set string) Tried {
	if set = strings.ToUpper(strings.Trim(set, `"`)); set == "" {
		set = SetGSM
	}
	known := SettingsOf(p.String(), set)
	t := Tried{CharacterSet: set, Fields: parameterFields(p.FO, p.VP, p.PID, p.DCS, known)}
	t.Effect, t.Blames = judgeTyped(typing{p.FO, p.VP, p.PID, p.DCS, set, text})
	if coding := sms.ReadDCS(byte(p.DCS)); coding.ReadAs() == sms.Default7 && !coding.Compressed {
		t.Changes = sms.OnTheWay(text, set)
	}
	return t
}
