package module

import (
	"fmt"
	"slices"
	"strings"

	"firstfix/internal/wire/at"
)

// The stores of texts: 27.005 clauses 3.2.2, 3.4.2, 3.4.3, 3.5.4, 4.1, 4.2.

// runMemories: +CPMS.
func runMemories(m *Module, c *at.Command) reply {
	if c.Form == at.Read {
		var parts []string
		for _, name := range m.settings.memory {
			parts = append(parts, fmt.Sprintf(`"%s",%d,%d`, memoryWords[name], m.store[name].used(), len(m.store[name].places)))
		}
		m.info("+CPMS: " + strings.Join(parts, ","))
		return ok
	}
	chosen := m.settings.memory
	if len(c.Params) == 0 || len(c.Params) > len(chosen) {
		return cms(302)
	}
	for i := range c.Params {
		word, quoted := text(c, i)
		n := slices.Index(memoryWords[:], word)
		if !quoted || n < 0 || i > 0 && memoryName(n) >= memoryReports {
			return cms(302) // reports and broadcasts can be read and deleted, no more
		}
		chosen[i] = memoryName(n)
	}
	m.settings.memory = chosen
	var parts []string
	for _, name := range chosen {
		parts = append(parts, fmt.Sprintf("%d,%d", m.store[name].used(), len(m.store[name].places)))
	}
	m.info("+CPMS: " + strings.Join(parts, ","))
	m.retryDeliveries() // the new store may have room
	return ok
}

// runListTexts: +CMGL. Listing makes unread texts read.
func runListTexts(m *Module, c *at.Command) reply {
	wanted := 0
	if m.settings.cmgf == 0 {
		n, fits := number(c, 0, 0)
		if !fits || n > 4 {
			return cms(304)
		}
		wanted = n
	} else if word, quoted := text(c, 0); quoted {
		if wanted = slices.Index(statusWords[:], word); wanted < 0 {
			return cms(305)
		}
	} else if len(c.Params) > 0 {
		return cms(305)
	}
	if r := m.storeReply(m.settings.memory[0]); r != ok {
		return r
	}
	s := &m.store[m.settings.memory[0]]
	for i := range s.places {
		p := &s.places[i]
		if !p.used || wanted != statusAll && p.status != wanted {
			continue
		}
		m.info(m.listed(i+1, &p.message))
		if p.status == statusUnread {
			p.status = statusRead
		}
	}
	m.indicateSoon()
	return ok
}

// listed writes one text of +CMGL, header and body.
func (m *Module) listed(index int, t *message) string {
	if m.settings.cmgf == 0 {
		pdu, length := m.pdu(t)
		return fmt.Sprintf("+CMGL: %d,%d,,%d\r\n%s", index, t.status, length, pdu)
	}
	if t.report != nil {
		return fmt.Sprintf(`+CMGL: %d,"%s",%s`, index, statusWords[t.status], m.reportText(t))
	}
	if t.page != nil {
		return fmt.Sprintf(`+CMGL: %d,"%s",%s`, index, statusWords[t.status], m.pageText(t))
	}
	stamp := ""
	if t.incoming {
		stamp = `"` + t.stamp.TextMode() + `"`
	}
	line := fmt.Sprintf(`+CMGL: %d,"%s","%s",,%s`, index, statusWords[t.status], m.toTerminal(t.peer), stamp)
	if m.settings.csdh == 1 {
		line += fmt.Sprintf(",%d,%d", numberType(t.peer), t.units())
	}
	return line + "\r\n" + m.body(t)
}

// runReadText: +CMGR.
func runReadText(m *Module, c *at.Command) reply {
	index, fits := number(c, 0, 0)
	p, inRange := m.store[m.settings.memory[0]].at(index)
	switch {
	case m.storeReply(m.settings.memory[0]) != ok:
		return cms(320)
	case !fits || !inRange || len(c.Params) != 1:
		return cms(321)
	case !p.used:
		return ok // an empty place: nothing to show
	}
	t := &p.message
	if m.settings.cmgf == 0 {
		pdu, length := m.pdu(t)
		m.info(fmt.Sprintf("+CMGR: %d,,%d\r\n%s", t.status, length, pdu))
	} else {
		m.info(m.shownText(t))
	}
	if t.status == statusUnread {
		t.status = statusRead
	}
	m.indicateSoon()
	return ok
}

// shownText writes the answer of +CMGR in text mode: 27.005 clause 3.4.3.
func (m *Module) shownText(t *message) string {
	if t.report != nil {
		return fmt.Sprintf(`+CMGR: "%s",%s`, statusWords[t.status], m.reportText(t))
	}
	if t.page != nil {
		return fmt.Sprintf(`+CMGR: "%s",%s`, statusWords[t.status], m.pageText(t))
	}
	line := fmt.Sprintf(`+CMGR: "%s","%s",`, statusWords[t.status], m.toTerminal(t.peer))
	if t.incoming {
		line += fmt.Sprintf(`,"%s"`, t.stamp.TextMode())
	}
	if m.settings.csdh == 1 {
		line += fmt.Sprintf(",%d,%d,%d,%d,", numberType(t.peer), t.fo, t.pid, t.dcs)
		if !t.incoming {
			line += fmt.Sprintf("%d,", t.vp.Octets[0])
		}
		line += fmt.Sprintf(`"%s",%d,%d`, m.toTerminal(m.settings.centre), m.settings.centreType, t.units())
	}
	return line + "\r\n" + m.body(t)
}

// runDelete: +CMGD, with the flags of newer releases.
func runDelete(m *Module, c *at.Command) reply {
	s := &m.store[m.settings.memory[0]]
	if c.Form == at.Test {
		m.info(fmt.Sprintf("+CMGD: (1-%d),(0-4)", len(s.places)))
		return ok
	}
	index, fits := number(c, 0, 0)
	flag, fits2 := number(c, 1, 0)
	if !fits || !fits2 || flag > 4 {
		return cms(305)
	}
	p, inRange := s.at(index)
	if r := m.storeReply(m.settings.memory[0]); r != ok {
		return r
	}
	if flag == 0 {
		if !inRange {
			return cms(321)
		}
		p.used = false
	} else {
		// 1: read; 2: and sent; 3: and unsent; 4: all, unread too.
		gone := map[int]string{1: "1", 2: "13", 3: "132", 4: "0123"}[flag]
		for i := range s.places {
			if strings.IndexByte(gone, byte('0'+s.places[i].status)) >= 0 {
				s.places[i].used = false
			}
		}
	}
	m.retryDeliveries()
	m.indicateSoon()
	return ok
}
