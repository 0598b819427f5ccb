package explain

import (
	"fmt"
	"strconv"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// plainLetters are a text whose fate shows that of every other.
const plainLetters = "Hello"

// textEffect says what the values of +CSMP do to a text that is typed from now on:
// 3GPP TS 27.005 3.3.2. What is left out keeps its value, of which nothing is
// known here: the usual one, 17,167,0,0, is taken.
func textEffect(e *Explanation, given []at.Param) {
	values := [4]int{17, 167, 0, 0}
	for i := range min(len(given), len(values)) {
		switch n, err := strconv.Atoi(given[i].Text); {
		case given[i].Empty:
		case i == 1 && given[i].Quoted:
			values[i] = sms.QuotedValidity
		case err != nil || n < 0 || n > 255:
			return // a problem of its own
		default:
			values[i] = n
		}
	}
	plain := sms.Workshop(values[0], values[1], values[2], values[3], plainLetters, "GSM")
	switch plain.How {
	case sms.HowPlain:
		if plain.Why != "" {
			e.hint("plain letters typed now are shown, but %s%s", plain.Why, inBrackets("3GPP "+plain.Clause))
		}
		return
	case sms.HowGarbled, sms.HowBlank:
		e.hint("plain letters typed now arrive %s: %s%s", unreadable(plain), plain.Why, inBrackets("3GPP "+plain.Clause))
	default:
		e.hint("a text typed now ends so: %s. %s%s", plain.How, plain.Why, inBrackets("3GPP "+plain.Clause))
	}
	hex := sms.UCS2Hex(plainLetters)
	if typed := sms.Workshop(values[0], values[1], values[2], values[3], hex, "UCS2"); typed.Shown == plainLetters {
		e.hint("typed in hex it shows: %q as %s; for plain letters send AT+CSMP=17,167,0,0", plainLetters, hex)
	}
}

// unreadable puts together what was seen of such texts.
func unreadable(e sms.Effect) string {
	if e.How == sms.HowGarbled {
		return fmt.Sprintf("blank or as foreign signs (%s)", e.Shown)
	}
	return e.How
}
