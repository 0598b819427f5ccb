package world

var foreignLetters = Fault{
	Name:  "foreign-letters",
	Title: "commands come in another alphabet",
	Truth: "received-as-hex",
	Doc: `
One sign outside the alphabet of short messages, a curly quote, and the whole text
is UCS2: the controller reads hex digits (3GPP TS 23.038 clause 4).`,
	Takes:   []string{"from", "text"},
	Arrives: foreignLettersArrives,
}

func foreignLettersArrives(p Params, _ uint64) []Arrival {
	return []Arrival{{Kind: TextArrives, Coding: "ucs2", From: or(p.From, "+447700900321"), Text: or(p.Text, "where \u201c07\u201d")}}
}
