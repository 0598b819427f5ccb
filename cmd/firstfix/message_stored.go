package main

import (
	"slices"
	"strconv"

	"firstfix/internal/script/message"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// A storeOfTexts remembers what a controller wrote into the store with +CMGW, so that
// AT+CMSS=<index> can be shown with the text that it sends.
type storeOfTexts struct {
	memory  string // <mem2> of +CPMS, where +CMGW and +CMSS work (TS 27.005 clause 3.2.2); "" when never seen
	written []writtenText
}

type writtenText struct {
	memory string
	index  int
	where  placed
	read   func() *message.Message // anew for each time it is sent
	sent   int
}

// maxWritten bounds the texts that are remembered: some times the places of a usual store.
const maxWritten = 256

// written takes in what an answered command did to the store.
func (p *picker) written(x *dialogue.Exchange) {
	if x.Result.Kind != at.OK {
		return
	}
	s := &p.store
	for i := range x.Parsed.Commands {
		c := &x.Parsed.Commands[i]
		switch {
		case c.Name == "+CPMS" && c.Form == at.Set && len(c.Params) > 1:
			s.memory = c.Params[1].Text
		case c.Name == "+CMGD" && c.Form == at.Set:
			p.forget(c)
		case c.Name == "+CMGW" && !x.Text.IsZero():
			p.remember(x, c)
		}
	}
}

// remember keeps the text of an answered +CMGW under the index that the module gave.
func (p *picker) remember(x *dialogue.Exchange, c *at.Command) {
	for _, l := range x.Info {
		a, ok := at.ParseAnswer(l.Text)
		if !ok || a.Name != "+CMGW" || len(a.Params) == 0 {
			continue
		}
		index, err := strconv.Atoi(a.Params[0].Text)
		if err != nil {
			return
		}
		// What was in force when it was written goes with it: TS 27.005 clause 3.3.2.
		settings, command, typed := p.settings(x), x.Command.Text, x.Text.Text
		w := writtenText{memory: p.store.memory, index: index, where: p.where(x.Text)}
		if told, isLength := lengthOf(c); isLength && isPDU(typed) {
			w.read = func() *message.Message { return message.ReadPDU(typed, true, told) }
		} else {
			w.read = func() *message.Message { return message.ReadTyped(command, typed, settings) }
		}
		p.drop(func(o *writtenText) bool { return o.memory == w.memory && o.index == index })
		if len(p.store.written) == maxWritten {
			first := p.store.written[0].where
			p.drop(func(o *writtenText) bool { return o.where == first })
		}
		p.store.written = append(p.store.written, w)
	}
}

// forget follows +CMGD, TS 27.005 clause 3.5.4. It works on <mem1>, which mostly is the same
// memory; with a delflag from 1 on it takes more than the index: 1 only what arrived, 2 also
// what was sent, 3 and 4 also what was not.
func (p *picker) forget(c *at.Command) {
	index, flag := -1, 0
	if len(c.Params) > 0 {
		index, _ = strconv.Atoi(c.Params[0].Text)
	}
	if len(c.Params) > 1 {
		flag, _ = strconv.Atoi(c.Params[1].Text)
	}
	p.drop(func(w *writtenText) bool {
		switch flag {
		case 0:
			return w.index == index
		case 1:
			return false
		case 2:
			return w.sent > 0
		}
		return true
	})
}

// drop forgets texts; one that was never sent is shown before it goes.
func (p *picker) drop(which func(*writtenText) bool) {
	p.store.written = slices.DeleteFunc(p.store.written, func(w writtenText) bool {
		if !which(&w) {
			return false
		}
		p.showUnsent(&w)
		return true
	})
}

// unsent shows, at the end, what was written and never sent.
func (p *picker) unsent() { p.drop(func(*writtenText) bool { return true }) }

func (p *picker) showUnsent(w *writtenText) {
	if w.sent > 0 {
		return
	}
	m := w.read()
	m.AddNote("TS 27.005 3.5.3", "it was written into the store, place %d, and not sent in this recording", w.index)
	p.each(w.where, m)
}

// sentFromStore takes in a +CMSS: the stored text leaves, to its own receiver or to the one
// that the command names (TS 27.005 clauses 3.5.2 and 4.7).
func (p *picker) sentFromStore(x *dialogue.Exchange) {
	c, ok := x.Parsed.Find("+CMSS")
	if !ok || c.Form != at.Set || len(c.Params) == 0 {
		return
	}
	index, err := strconv.Atoi(c.Params[0].Text)
	if err != nil {
		return
	}
	for i := range p.store.written {
		w := &p.store.written[i]
		if w.index != index || w.memory != p.store.memory {
			continue
		}
		w.sent++
		m := w.read()
		m.AddNote("TS 27.005 3.5.2", "it was sent from the store, place %d, into which record %d wrote it", index, w.where.record)
		if len(c.Params) > 1 && !c.Params[1].Empty {
			m.Redirect(c.Params[1].Text, p.settings(x))
			m.AddNote("TS 27.005 3.5.2", "it goes to the receiver that +CMSS names, whatever it was written for")
		}
		p.each(p.where(x.Command), m)
		return
	}
}
