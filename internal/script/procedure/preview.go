package procedure

import (
	"time"

	"firstfix/internal/wire/at"
)

// Planned is what a step would do, as far as it can be said without a module.
type Planned struct {
	Step    string
	Sends   string // the command line with given values; captured ones and a PIN stay names; "" sends nothing
	Text    string // what follows the prompt
	Wait    time.Duration
	Refused string // why it would not be sent
	Costs   int    // how much of the allowed spending
}

// Preview says what each step would send, in the order they are written, as if
// each ran once. Nothing is sent. The error is that of [Procedure.Check].
func Preview(p *Procedure, o Options) ([]Planned, error) {
	m, err := New(p, o)
	if err != nil {
		return nil, err
	}
	for i := range p.Steps {
		for _, c := range p.Steps[i].Capture {
			m.captured[c.Name] = "{" + c.Name + "}"
		}
	}
	plan := make([]Planned, len(p.Steps))
	for i := range p.Steps {
		m.step = i
		plan[i] = m.planned()
	}
	return plan, nil
}

func (m *Machine) planned() Planned {
	s := m.stepNow()
	p := Planned{Step: m.procedure.stepName(m.step)}
	if s.Send == "" && s.Duty == "" {
		return p
	}
	line, wait, why := m.lineOf(s)
	p.Sends, p.Wait, p.Refused = line, wait, why
	if why != "" {
		p.Sends = m.current.Sent
		return p
	}
	if p.Refused, p.Costs = m.refuses(line); p.Refused != "" {
		return p
	}
	if p.Text, p.Refused = m.textOf(s); p.Refused != "" {
		return p
	}
	m.spent += p.Costs
	if c, ok := at.ParseLine(line).Find("+CPIN"); ok && c.Form == at.Set {
		m.pinSent, p.Sends = true, s.Send
	}
	return p
}
