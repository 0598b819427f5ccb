package world

var adverts = Fault{
	Name:  "adverts",
	Title: "the operator sends adverts",
	Truth: "adverts",
	Doc: `
A sender with a name instead of a number. Who answers it gets an error, and pays.`,
	Takes:   []string{"from", "text"},
	Arrives: advertsArrives,
}

func advertsArrives(p Params, _ uint64) []Arrival {
	return []Arrival{{Kind: TextArrives, From: or(p.From, "MOORFUNK"), Text: or(p.Text, "Moorfunk: double data all spring. Reply MORE to 700. Info in our shop.")}}
}
