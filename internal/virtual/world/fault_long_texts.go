package world

var longTexts = Fault{
	Name:  "long-texts",
	Title: "texts come in several parts",
	Truth: "long-texts",
	Doc: `
More than 160 characters travel as parts with a header (3GPP TS 23.040 clause
9.2.3.24.1), which text mode shows as hex digits.`,
	Takes:   []string{"from", "text"},
	Arrives: longTextsArrives,
}

func longTextsArrives(p Params, _ uint64) []Arrival {
	return []Arrival{{Kind: TextArrives, From: or(p.From, "+447700900321"), Text: or(p.Text,
		"Quellmoor ring to trailer 07: please report where you are, how much is left in the battery, how long the pump ran yesterday, and whether the gate at the gravel pit was closed when you left it in the evening.")}}
}
