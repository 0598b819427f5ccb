package world

var oldTexts = Fault{
	Name:  "old-texts",
	Title: "old commands arrive as if they were new",
	Truth: "old-texts",
	Doc: `
The service centre kept them for hours. Their stamp says so (3GPP TS 23.040 clause
9.2.3.11); who does not look at it opens the gate at the wrong time.`,
	Takes:   []string{"wait_s", "from", "text"},
	Arrives: oldTextsArrives,
}

func oldTextsArrives(p Params, _ uint64) []Arrival {
	return []Arrival{{Kind: TextArrives, AgeS: p.WaitS.Or(6 * 3600), From: or(p.From, "+447700900321"), Text: or(p.Text, "PUMP ON")}}
}
