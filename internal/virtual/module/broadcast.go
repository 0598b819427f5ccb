package module

import (
	"fmt"
	"strconv"
	"strings"

	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// Messages that a cell sends to all: 3GPP TS 23.041 clause 9.4.1 (from memory),
// 27.005 clauses 3.3.4 and 3.4.1 <bm>.

// page is one page of a broadcast.
type page struct {
	serial, number int
	dcs            byte
	page, pages    int
	text           string
}

// A page has 82 octets, which are 93 septets.
const (
	pageOctets  = 82
	pageSeptets = 93
	maxPages    = 15
)

// pageEvery is the pause between two pages; our choice.
const pageEvery = 2 * when.Second

// broadcastComes puts the pages of a broadcast on their way.
func (m *Module) broadcastComes(a world.Arrival) {
	all := septets(a.Text)
	pages := min(max((len(all)+pageSeptets-1)/pageSeptets, 1), maxPages)
	m.network.broadcast++
	for n := range pages {
		part := all[n*pageSeptets : min((n+1)*pageSeptets, len(all))]
		t := message{incoming: true, page: &page{serial: m.network.broadcast << 4 & 0xFFFF, number: a.Number, dcs: 0x0F, page: n + 1, pages: pages, text: sms.Shift{}.Text(part)}}
		m.network.flights = append(m.network.flights, flight{at: max(a.At, m.now) + when.Instant(n)*pageEvery, text: t})
	}
}

// pdu is the page as it travels, in hex. A carriage return fills what is left
// of its 93 septets (23.041, from memory).
func (p *page) pdu() string {
	content := septets(p.text)
	for len(content) < pageSeptets {
		content = append(content, '\r')
	}
	head := []byte{byte(p.serial >> 8), byte(p.serial), byte(p.number >> 8), byte(p.number), p.dcs, byte(p.page<<4 | p.pages)}
	return fmt.Sprintf("%X%X", head, sms.Pack(nil, content, 0)[:pageOctets])
}

// deliverBroadcast routes a page: <bm> 2 to the line, 1 to the store; 3 is for
// class 3, which this network does not send. Who did not ask gets nothing.
func (m *Module) deliverBroadcast(t message) {
	if !m.hears() || !m.settings.cscb.wants(t.page.number) {
		return
	}
	switch m.settings.cnmi[2] {
	case 2:
		if m.settings.cmgf == 0 {
			pdu, length := m.pdu(&t)
			m.tell(fmt.Sprintf("+CBM: %d\r\n%s", length, pdu))
			return
		}
		m.tell("+CBM: " + m.pageText(&t))
	case 1:
		if i := m.store[memoryBroadcasts].add(t); i >= 0 {
			m.tell(fmt.Sprintf(`+CBMI: "BM",%d`, i+1))
		}
	}
}

// pageText is a page in text mode: 27.005 clause 3.4.1, +CBM.
func (m *Module) pageText(t *message) string {
	p := t.page
	return fmt.Sprintf("%d,%d,%d,%d,%d\r\n%s", p.serial, p.number, p.dcs, p.page, p.pages, m.toTerminal(p.text))
}

// hears says that the module receives a cell.
func (m *Module) hears() bool {
	return m.power == running && m.settings.cfun == 1 && m.life.SignalDBm(m.now) >= losesBelowDBm
}

// wants says whether a message identifier is on the list of +CSCB: "0-5,320".
// An empty list of the accepting kind accepts none.
func (b *broadcasts) wants(number int) bool {
	listed := false
	for _, part := range strings.Split(b.mids, ",") {
		low, high, isRange := strings.Cut(part, "-")
		from, err := strconv.Atoi(strings.TrimSpace(low))
		to := from
		if err == nil && isRange {
			to, err = strconv.Atoi(strings.TrimSpace(high))
		}
		listed = listed || err == nil && number >= from && number <= to
	}
	return listed != (b.reject == 1)
}

func runBroadcasts(m *Module, c *at.Command) reply {
	b := &m.settings.cscb
	if c.Form == at.Read {
		m.info(fmt.Sprintf(`+CSCB: %d,"%s","%s"`, b.reject, b.mids, b.dcss))
		return ok
	}
	mode, fits := number(c, 0, 0)
	mids, _ := text(c, 1)
	dcss, _ := text(c, 2)
	if !fits || mode > 1 || len(c.Params) > 3 || !isRanges(mids) || !isRanges(dcss) {
		return cms(305)
	}
	*b = broadcasts{mode, mids, dcss}
	return ok
}

// isRanges says that a text is a list of numbers and ranges.
func isRanges(s string) bool {
	return strings.Trim(s, "0123456789-, ") == "" && len(s) <= maxLineBytes
}
