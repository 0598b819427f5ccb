package sms

import (
	"slices"
	"strings"
	"time"

	"firstfix/internal/when"
)

// A Joined is a text put together from the messages that arrived.
type Joined struct {
	From       Address
	Text       string
	Octets     []byte // 8-bit data
	Total      int    // parts it should have; 1 for a message that stands alone
	Missing    []int  // parts that never came, from 1; empty when complete
	Duplicates int    // copies of a part that came again
	Reference  int    // the sender's number for the text; 0 for one that stands alone
	Began      when.Instant
	Ended      when.Instant
	Stamp      Stamp // of the first part that came
}

// Complete says whether all parts are there.
func (j Joined) Complete() bool { return len(j.Missing) == 0 }

// maxOpen bounds the texts that wait for parts; the oldest goes first when more
// begin. A tracker hears from few people at once, and each can hold 255 parts.
const maxOpen = 32

// maxDone bounds the finished texts that are remembered, to know a late copy of
// one of their parts.
const maxDone = 32

// A Reassembler puts long messages together: parts in any order, copies, gaps. It
// is a machine without hands: time comes in as an argument.
type Reassembler struct {
	wait time.Duration
	open []*gathering // in order of beginning
	done []*gathering // in order of ending
}

// NewReassembler makes one that gives up on a text when no part of it came for wait.
// The standard names no time; parts of one text usually come within a minute.
func NewReassembler(wait time.Duration) *Reassembler { return &Reassembler{wait: wait} }

// partKey is what parts of one text have in common. The standard adds the service
// centre; it is left out, as networks with several send parts through any of them.
type partKey struct {
	from      Address
	reference int
	wide      bool
	total     int
}

type gathering struct {
	key        partKey
	parts      map[int]*PDU
	first      *PDU
	duplicates int
	began      when.Instant
	last       when.Instant
}

// Feed gives the reassembler a message that arrived at now. It appends the texts
// that are ready to out and returns the longer slice. What fell due by now comes
// first.
func (r *Reassembler) Feed(now when.Instant, p PDU, out []Joined) []Joined {
	out = r.Tick(now, out)
	c, ok := p.Data.Header.Concat()
	if !ok || p.Kind != KindDeliver && p.Kind != KindSubmit {
		return append(out, Joined{From: p.Address, Text: p.Data.Text, Octets: p.Data.Octets, Total: 1, Began: now, Ended: now, Stamp: p.Stamp})
	}
	key := partKey{from: p.Address, reference: c.Reference, wide: c.Wide, total: c.Total}
	g := find(r.open, key)
	if g == nil {
		if late := find(r.done, key); late != nil && samePart(late.parts[c.Part], &p) {
			return out // a copy of a part of a text that is already out
		}
		g = &gathering{key: key, parts: map[int]*PDU{}, first: &p, began: now}
		r.open = append(r.open, g)
	}
	g.last = now
	if g.parts[c.Part] != nil {
		g.duplicates++
	} else {
		g.parts[c.Part] = &p
	}
	if len(g.parts) == c.Total {
		out = append(out, r.finish(g, now))
	}
	for len(r.open) > maxOpen {
		out = append(out, r.finish(r.open[0], now))
	}
	return out
}

// Tick tells the reassembler that time has reached now. Texts that waited too long
// come out with what is there, stamped with the time they fell due.
func (r *Reassembler) Tick(now when.Instant, out []Joined) []Joined {
	for {
		due, g := r.next()
		if g == nil || now < due {
			break
		}
		out = append(out, r.finish(g, due))
	}
	r.done = slices.DeleteFunc(r.done, func(g *gathering) bool { return now >= g.last.Add(r.wait) })
	return out
}

// Deadline says when Tick is next wanted, and why.
func (r *Reassembler) Deadline() (at when.Instant, why string) {
	due, g := r.next()
	if g == nil {
		return when.Never, "no long message is open"
	}
	return due, "a long message waits for its parts"
}

// Flush returns what is still open, as at the end of a capture.
func (r *Reassembler) Flush(now when.Instant, out []Joined) []Joined {
	for len(r.open) > 0 {
		out = append(out, r.finish(r.open[0], now))
	}
	return out
}

// next is the open text that falls due first; of equals the older.
func (r *Reassembler) next() (due when.Instant, g *gathering) {
	due = when.Never
	for _, o := range r.open {
		if at := o.last.Add(r.wait); at < due {
			due, g = at, o
		}
	}
	return due, g
}

func find(list []*gathering, key partKey) *gathering {
	for i := len(list) - 1; i >= 0; i-- {
		if list[i].key == key {
			return list[i]
		}
	}
	return nil
}

// samePart says whether two messages carry the same: a copy has the same octets,
// but maybe another time stamp.
func samePart(a, b *PDU) bool {
	return a != nil && a.Data.Text == b.Data.Text && string(a.Data.Octets) == string(b.Data.Octets)
}

// finish takes g out of the open ones and puts its parts together.
func (r *Reassembler) finish(g *gathering, at when.Instant) Joined {
	r.open = slices.DeleteFunc(r.open, func(o *gathering) bool { return o == g })
	g.last = at
	if r.done = append(r.done, g); len(r.done) > maxDone {
		r.done = r.done[1:]
	}
	j := Joined{
		From: g.key.from, Total: g.key.total, Duplicates: g.duplicates, Reference: g.key.reference,
		Began: g.began, Ended: at, Stamp: g.first.Stamp,
	}
	var texts strings.Builder
	var run joiner
	for i := 1; i <= g.key.total; i++ {
		p := g.parts[i]
		if p == nil {
			j.Missing = append(j.Missing, i)
			texts.WriteString(run.flush())
			continue
		}
		j.Octets = append(j.Octets, p.Data.Octets...)
		if !run.takes(p) {
			texts.WriteString(run.flush())
		}
		run.add(p)
	}
	texts.WriteString(run.flush())
	j.Text = texts.String()
	return j
}

// joiner reads the units of neighbouring parts in one go, so that an escape pair or
// a surrogate pair that a careless sender cut in two is whole again.
type joiner struct {
	coding Coding
	shift  Shift
	units  []byte
}

func (j *joiner) takes(p *PDU) bool {
	return len(j.units) == 0 || j.coding.DCS == p.Coding.DCS && j.shift == p.Data.Header.Shift()
}

func (j *joiner) add(p *PDU) {
	j.coding, j.shift = p.Coding, p.Data.Header.Shift()
	j.units = append(j.units, p.units()...)
}

func (j *joiner) flush() string {
	units := j.units
	j.units = nil
	switch {
	case len(units) == 0 || j.coding.Compressed || j.coding.ReadAs() == Data8:
		return ""
	case j.coding.ReadAs() == UCS2:
		text, _, _ := appendFromUCS2(nil, units)
		return string(text)
	}
	return j.shift.Text(units)
}

// units returns the septets or octets of the text, read again from the hex.
func (p *PDU) units() []byte {
	at, n := p.At(PartText)
	var space [maxOctets]byte
	have, _ := readHex(space[:], p.Hex)
	octets := space[at:min(at+n, have)]
	if p.Coding.InOctets() {
		return append([]byte(nil), octets...)
	}
	septets := p.Data.Length
	if p.Data.HeadSize > 0 {
		septets -= headSeptets(p.Data.HeadSize)
	}
	return Unpack(nil, octets, p.Data.Fill, max(septets, 0))
}
