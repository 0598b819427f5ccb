package message

import (
	"fmt"
	"strings"

	"firstfix/internal/script/procedure"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// An Exchange is one thing to send and what to wait for, as bytes and as a step of a
// procedure.
type Exchange struct {
	Step    procedure.Step
	Before  string // what goes before it, without waiting: ESC and CR
	Bytes   string // the command line with its end
	Typed   string // what follows the prompt, Ctrl-Z included; "" when there is none
	Expect  string // in words
	LimitMS int    // how long to wait for the final result
	Why     string
	Clause  string
}

// endsText sends a text: Ctrl-Z, TS 27.005 clause 3.5.1.
const endsText = "\x1A"

// add appends a step with its bytes.
func (w *Written) add(s procedure.Step, expect, clause, why string) {
	x := Exchange{Step: s, Bytes: s.Send + "\r", Expect: expect, Why: why, Clause: clause}
	if s.Escape == procedure.EscapeText {
		x.Before = "\x1B\r"
	}
	commands := at.ParseLine(s.Send).Commands
	if n := len(commands); n > 0 && at.WantsText(commands[n-1]) {
		x.Typed = s.Text + endsText
	}
	for _, c := range commands {
		limit, _ := at.WaitMS(c)
		x.LimitMS = max(x.LimitMS, limit)
	}
	if x.LimitMS == 0 {
		x.LimitMS, _ = at.WaitMS(at.Command{})
	}
	w.Exchanges = append(w.Exchanges, x)
}

// registeredStates are those in which texts can be sent, TS 27.007 clause 7.2.
var registeredStates = []string{"1", "5", "6", "7", "9", "10"}

// settings adds what must be sent before the first text, in this order.
func (w *Written) settings(o *Order) {
	type step = procedure.Step
	w.add(step{Name: "awake", Send: "AT", Escape: procedure.EscapeText, Tries: 3, BackoffMS: 500}, "OK", "V.250 5.2.1", "a text that was left open is left, and the module answers")
	w.add(step{Name: "errors", Send: "AT+CMEE=1", On: procedure.On{Failed: "continue"}}, "OK; ERROR does no harm", "TS 27.007 9.1", "errors come with a number that says why")
	w.add(step{Name: "registered", Send: "AT+CREG?", Until: &procedure.Until{Answer: "+CREG", Param: 2, OneOf: registeredStates}, Tries: 10, BackoffMS: 2000, MaxBackoffMS: 10000, On: procedure.On{NotYet: "continue", Failed: "continue"}},
		"+CREG: 0,1 or 0,5", "TS 27.007 7.2", "a text leaves only from a registered module; some modules of newer networks say it with +CEREG instead")
	if w.Mode != TextMode {
		w.add(step{Name: "mode", Send: "AT+CMGF=0"}, "OK", "TS 27.005 3.2.3", "PDU mode; +CSMP and +CSCS have no say in it")
		w.centre(o)
		return
	}
	// What text mode is written with stands before text mode begins (common practice, no
	// source; TS 27.005 takes +CSMP in both modes): no text can slip in between with leftovers.
	w.add(step{Name: "set", Send: `AT+CSCS="GSM"`}, "OK", "TS 27.007 5.5", "how numbers and texts are written on the line; an earlier setting may still be there")
	w.centre(o)
	if w.CharacterSet != SetGSM {
		w.add(step{Name: "set-for-text", Send: fmt.Sprintf("AT+CSCS=%q", w.CharacterSet)}, "OK", "TS 27.007 5.5", "the set in which this text is typed")
	}
	p := w.Parameters
	w.add(step{Name: "parameters", Send: fmt.Sprintf("AT+CSMP=%d,%d,%d,%d", p[0], p[1], p[2], p[3])}, "OK", "TS 27.005 3.3.2",
		"before text mode and its first text, always: with a leftover data coding the text arrives blank or as foreign signs, and the network still says OK ("+practice+")")
	w.add(step{Name: "mode", Send: "AT+CMGF=1"}, "OK", "TS 27.005 3.2.3", "text mode; PDU mode is the default and comes back with each restart")
	w.add(step{Name: "parameters-read-back", Send: "AT+CSMP?", Until: &procedure.Until{Answer: "+CSMP", Param: 4, OneOf: []string{fmt.Sprint(p[3])}}},
		fmt.Sprintf("+CSMP: %d,%d,%d,%d", p[0], p[1], p[2], p[3]), "TS 27.005 3.3.2", "the module took it, and text mode did not undo it")
}

// setBack ends what settings began: a set that writes numbers in hex would surprise
// whoever uses the module next.
func (w *Written) setBack() {
	if w.Mode == TextMode && w.CharacterSet != SetGSM {
		w.add(procedure.Step{Name: "set-back", Send: `AT+CSCS="GSM"`, On: procedure.On{Failed: "continue"}}, "OK", "TS 27.007 5.5", "the usual set again: what is read next is not in hex")
	}
}

// centre adds the service centre: set when it was ordered, otherwise only looked at.
func (w *Written) centre(o *Order) {
	if o.Centre != "" && w.Mode == TextMode {
		n := sms.ReadNumber(sms.NormaliseNumber(o.Centre))
		w.add(procedure.Step{Name: "centre", Send: fmt.Sprintf(`AT+CSCA="%s",%d`, n.Normal, n.Type)}, "OK", "TS 27.005 3.3.1", "the service centre that was ordered")
		return
	}
	if o.Centre != "" {
		return // it stands in each PDU
	}
	w.add(procedure.Step{Name: "centre", Send: "AT+CSCA?", Capture: []procedure.Capture{{Name: "centre", Answer: "+CSCA", Param: 1}}},
		`+CSCA: "+…",145`, "TS 27.005 3.3.1", "a number must stand there: without a service centre +CMS ERROR 330 follows")
}

// sendName names the step of one message.
func (w *Written) sendName(to, part, parts int) string {
	name := "send"
	if len(w.To) > 1 {
		name += fmt.Sprintf("-to-%d", to+1)
	}
	if parts > 1 {
		name += fmt.Sprintf("-part-%d", part+1)
	}
	return name
}

// afterPrompt is what every text waits for.
const afterPrompt = `"> " first, then the text; then +CMGS: number and OK`

func (w *Written) sendText(to, part, parts int, typed string) {
	address := `AT+CMGS="` + inSet(w.To[to].Normal, w.CharacterSet) + `"`
	if w.CharacterSet == SetUCS2 || w.CharacterSet == SetHEX {
		address += fmt.Sprintf(",%d", w.To[to].Type)
	}
	w.add(procedure.Step{Name: w.sendName(to, part, parts), Send: address, Text: typed}, afterPrompt, "TS 27.005 3.5.1",
		"one try only: no answer does not mean that it was not sent, and a second one is paid")
}

func (w *Written) sendPDU(to, part, parts int, hex string, length int) {
	w.add(procedure.Step{Name: w.sendName(to, part, parts), Send: fmt.Sprintf("AT+CMGS=%d", length), Text: hex}, afterPrompt, "TS 27.005 4.3",
		fmt.Sprintf("%d is the number of octets behind the service-centre part", length))
}

// Procedure is the dialogue as a procedure that can be run. It sends nothing
// unless a run is given a spending limit.
func (w *Written) Procedure(name string) (*procedure.Procedure, error) {
	p := &procedure.Procedure{Name: name, Title: "send a text"}
	total := 0
	for _, x := range w.Exchanges {
		p.Steps = append(p.Steps, x.Step)
		tries := max(x.Step.Tries, 1)
		total += tries*(x.LimitMS+procedure.SettleMS) + (tries-1)*max(x.Step.BackoffMS, x.Step.MaxBackoffMS)
		if x.Typed != "" {
			p.Budget.Texts++
			total += procedure.PromptWaitMS + procedure.PromptPauseMS
		}
	}
	p.Budget.MaxTotalMS = total
	p.Notes = fmt.Sprintf("%s, paid. Nothing leaves except in a run that is allowed to spend.", counted(p.Budget.Texts, "message"))
	for _, s := range p.Steps {
		if strings.Contains(s.Text, "{") {
			return nil, &OrderError{"text", "a { in it", "no braces, which stand for values in a procedure; character set UCS2 or PDU mode has none"}
		}
	}
	if err := p.Check(); err != nil {
		return nil, err
	}
	return p, nil
}
