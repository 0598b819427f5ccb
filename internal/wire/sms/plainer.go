package sms

import "strings"

// plainer is what a person accepts in place of characters that force UCS2: our
// choice, as typewriters did it. It never changes a letter's sound or a digit.
var plainer = map[rune]string{
	'‘': "'", '’': "'", '‚': "'", '′': "'", '“': `"`, '”': `"`, '„': `"`, '″': `"`, '«': `"`, '»': `"`,
	'–': "-", '—': "-", '‐': "-", '‑': "-", '−': "-", '…': "...", '•': "*", '·': "*",
	'\u00A0': " ", '\u2009': " ", '\u202F': " ", '\t': " ", '\u200B': "", '\uFEFF': "",
	'°': " deg", '×': "x", '÷': "/", '±': "+/-", '²': "2", '³': "3", '½': "1/2", '¼': "1/4", '¾': "3/4",
	'→': "->", '←': "<-", '≤': "<=", '≥': ">=", '≈': "~", '✓': "ok", '`': "'", '´': "'", '©': "(c)", '®': "(R)", '™': "(TM)",
	'á': "a", 'â': "a", 'ã': "a", 'Á': "A", 'À': "A", 'Â': "A", 'Ã': "A", 'ê': "e", 'ë': "e", 'È': "E", 'Ê': "E", 'Ë': "E",
	'í': "i", 'î': "i", 'ï': "i", 'Í': "I", 'Ì': "I", 'Î': "I", 'Ï': "I", 'ó': "o", 'ô': "o", 'õ': "o", 'Ó': "O", 'Ò': "O", 'Ô': "O", 'Õ': "O",
	'ú': "u", 'û': "u", 'Ú': "U", 'Ù': "U", 'Û': "U", 'ç': "c", 'ý': "y", 'Ý': "Y", 'ÿ': "y", 'ẞ': "SS",
}

// Plainer replaces characters that force UCS2 by ones of the default alphabet, where
// that is acceptable; changed says how many, foreign what is left. It offers: the
// person decides, for an accent may matter in a name.
func Plainer(text string) (plain string, changed int, foreign []rune) {
	var b strings.Builder
	for _, r := range text {
		if septetCost(r) > 0 {
			b.WriteRune(r)
			continue
		}
		if with, ok := plainer[r]; ok {
			b.WriteString(with)
			changed++
			continue
		}
		b.WriteRune(r)
	}
	plain = b.String()
	return plain, changed, Measure(plain).Foreign
}
