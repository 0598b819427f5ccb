package world

var flashTexts = Fault{
	Name:  "flash-texts",
	Title: "texts come that want to be shown and not kept",
	Truth: "flash-texts",
	Doc: `
Message class 0 (3GPP TS 23.038 clause 4): they go to the line or to nobody.`,
	Takes:   []string{"from", "text"},
	Arrives: flashTextsArrives,
}

func flashTextsArrives(p Params, _ uint64) []Arrival {
	return []Arrival{{Kind: TextArrives, Flash: true, From: or(p.From, "+447700900321"), Text: or(p.Text, "WHERE")}}
}
