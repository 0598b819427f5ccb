package message

import (
	"firstfix/internal/maybe"
	"firstfix/internal/script/procedure"
	"firstfix/internal/wire/sms"
)

// RemoteProcedure is how a controller fetches texts that may be commands: wait for the
// report of one, read it, delete it before it is carried out. It sends no text. What
// to do with it is [Remote]'s to decide.
func RemoteProcedure() *procedure.Procedure {
	type step = procedure.Step
	return &procedure.Procedure{
		Name:   "fetch-command",
		Title:  "fetch one text that may be a command",
		Notes:  "Delete before obeying: a restart between the two then loses a command, and does not repeat it.",
		Budget: procedure.Budget{MaxTotalMS: 24 * 60 * 60 * 1000},
		Steps: []step{
			{Name: "mode", Send: "AT+CMGF=1", Escape: procedure.EscapeText, Notes: "TS 27.005 3.2.3: text mode comes after each restart of the module again"},
			{Name: "set", Send: `AT+CSCS="GSM"`},
			{Name: "all-fields", Send: "AT+CSDH=1", On: procedure.On{Failed: "continue"}, Notes: "TS 27.005 3.3.3: first octet, protocol and coding are shown, so that flash texts and services are known"},
			{Name: "reports", Send: "AT+CNMI=2,1,0,0,0", Notes: "TS 27.005 3.4.1: stored, and reported as +CMTI"},
			{Name: "arrival", Await: &procedure.Await{Line: "+CMTI", MaxWaitMS: 10 * 60 * 1000}, On: procedure.On{NoAnswer: "continue"}, Notes: "a report can be lost: the store is looked at every ten minutes all the same"},
			{Name: "list", Send: `AT+CMGL="REC UNREAD"`, Until: &procedure.Until{Answer: "+CMGL", Param: 2, OneOf: []string{"REC UNREAD"}},
				Capture: []procedure.Capture{{Name: "index", Answer: "+CMGL", Param: 1}, {Name: "sender", Answer: "+CMGL", Param: 3}, {Name: "stamp", Answer: "+CMGL", Param: 5}},
				On:      procedure.On{NotYet: "goto arrival", Failed: "goto arrival"}},
			{Name: "delete", Send: "AT+CMGD={index}", Notes: "before it is obeyed; a full store takes no more texts"},
		},
	}
}

// IncomingOf is a message as [Remote] wants it.
func IncomingOf(m *Message) Incoming {
	in := Incoming{From: m.Party, Text: m.Text, Parts: 1, PID: m.Head.PID, Class: m.Head.Coding.Class, LoopFlag: m.Head.First.LoopPrevention,
		NotAText: m.Out || m.Head.Kind != sms.KindDeliver || m.Shown.How == sms.HowIconOnly || m.Shown.How == sms.HowNeverShown}
	if c, ok := m.Part.Get(); ok {
		in.Parts = c.Total
	}
	if s, ok := m.Stamp.Get(); ok {
		if t, ok := s.Time(); ok {
			in.Stamp = maybe.Known(t)
		}
	}
	return in
}
