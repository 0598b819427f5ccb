package world

var callsRepeat = Fault{
	Name:  "calls-repeat",
	Title: "somebody calls and hangs up, again and again",
	Truth: "calls-repeat",
	Doc: `
A missed-call trigger that is pressed in despair. Each time the fault comes on is one
call of some rings.`,
	Takes:   []string{"wait_s", "from"},
	Arrives: callsRepeatArrives,
}

func callsRepeatArrives(p Params, _ uint64) []Arrival {
	return []Arrival{{Kind: CallArrives, From: or(p.From, "+447700900321"), ForS: p.WaitS.Or(12)}}
}
