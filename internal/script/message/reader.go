package message

import (
	"slices"
	"time"

	"firstfix/internal/when"
	"firstfix/internal/wire/sms"
)

// A Text is a whole text, put together from the messages that carried it.
type Text struct {
	Out        bool
	Party      string
	Text       string
	Octets     []byte // 8-bit data
	Total      int    // parts; 1 for a message that stands alone
	Missing    []int
	Duplicates int
	Reference  int
	Messages   []int // numbers of the messages, in the order in which they came
	Began      when.Instant
	Ended      when.Instant
}

// DefaultWait is how long parts of one text are waited for. The standard names no
// time; a service centre may hold back a part for minutes (our estimate).
const DefaultWait = 15 * time.Minute

// Limits, each with its reason.
const (
	// maxSeen bounds the stored messages that are remembered to know them again: some
	// times the places of a usual store.
	maxSeen = 256
	// maxTracked bounds the long texts whose messages are numbered: those that may be
	// open in both directions.
	maxTracked = 64
	// maxCarriers bounds the numbers kept of one text: all its parts, some twice.
	maxCarriers = 512
)

// A Reader follows the messages of a dialogue: it numbers them, knows a stored one
// again when it is listed a second time, and puts long texts together, out of order
// and with copies. It is a machine without hands, and bounded.
type Reader struct {
	in, out *sms.Reassembler
	number  int
	again   int
	seen    []string // of stored messages, oldest first
	known   map[string]bool
	tracked []tracked
	joined  []sms.Joined
}

type tracked struct {
	out       bool
	party     string
	reference int
	total     int
	numbers   []int
}

// NewReader makes a Reader that gives up on a text when no part of it came for wait.
func NewReader(wait time.Duration) *Reader {
	return &Reader{in: sms.NewReassembler(wait), out: sms.NewReassembler(wait), known: map[string]bool{}}
}

// Feed takes in a message that passed at now. number is its number, from 1; 0 when it is a
// stored message that was listed before. Texts that are whole, or were given up, are appended to texts.
func (r *Reader) Feed(now when.Instant, m *Message, texts []Text) (number int, _ []Text) {
	texts = r.Tick(now, texts)
	if r.listedBefore(m) {
		r.again++
		return 0, texts
	}
	r.number++
	if kind := m.Head.Kind; kind != sms.KindDeliver && kind != sms.KindSubmit {
		return r.number, texts // a report or a command: no text
	}
	r.track(m)
	which := r.in
	if m.Out {
		which = r.out
	}
	r.joined = which.Feed(now, m.Head, r.joined[:0])
	return r.number, r.texts(m.Out, r.joined, texts)
}

// Again says how often a stored message was listed that was listed before.
func (r *Reader) Again() int { return r.again }

// Messages says how many messages there were.
func (r *Reader) Messages() int { return r.number }

// Tick tells the reader that time has reached now.
func (r *Reader) Tick(now when.Instant, texts []Text) []Text {
	texts = r.texts(false, r.in.Tick(now, r.joined[:0]), texts)
	return r.texts(true, r.out.Tick(now, r.joined[:0]), texts)
}

// Deadline says when Tick is next wanted, and why.
func (r *Reader) Deadline() (at when.Instant, why string) {
	at, why = r.in.Deadline()
	if other, whyOther := r.out.Deadline(); other < at {
		return other, whyOther
	}
	return at, why
}

// End returns what is still open, as at the end of a capture.
func (r *Reader) End(now when.Instant, texts []Text) []Text {
	texts = r.texts(false, r.in.Flush(now, r.joined[:0]), texts)
	return r.texts(true, r.out.Flush(now, r.joined[:0]), texts)
}

// listedBefore knows a stored message by its place and its octets. What came straight to
// the line was sent each time it is seen.
func (r *Reader) listedBefore(m *Message) bool {
	index, stored := m.Index.Get()
	if !stored {
		return false
	}
	stamp := m.Stamp.Or(sms.Stamp{})
	key := string(rune(index)) + "\x00" + m.Party + "\x00" + string(stamp[:]) + "\x00" + m.Body
	if m.PDU {
		key = string(rune(index)) + "\x00" + m.Given
	}
	if r.known[key] {
		return true
	}
	if len(r.seen) == maxSeen {
		delete(r.known, r.seen[0])
		r.seen = append(r.seen[:0], r.seen[1:]...)
	}
	r.seen = append(r.seen, key)
	r.known[key] = true
	return false
}

// track remembers which messages carry a long text.
func (r *Reader) track(m *Message) {
	c, part := m.Part.Get()
	if !part {
		return
	}
	i := slices.IndexFunc(r.tracked, func(t tracked) bool {
		return t.out == m.Out && t.party == m.Head.Address.String() && t.reference == c.Reference && t.total == c.Total
	})
	if i < 0 {
		if len(r.tracked) == maxTracked {
			r.tracked = r.tracked[1:]
		}
		r.tracked = append(r.tracked, tracked{out: m.Out, party: m.Head.Address.String(), reference: c.Reference, total: c.Total})
		i = len(r.tracked) - 1
	}
	if t := &r.tracked[i]; len(t.numbers) < maxCarriers {
		t.numbers = append(t.numbers, r.number)
	}
}

// texts turns what was joined into texts with their messages.
func (r *Reader) texts(out bool, joined []sms.Joined, texts []Text) []Text {
	for _, j := range joined {
		t := Text{Out: out, Party: j.From.String(), Text: j.Text, Octets: j.Octets, Total: j.Total, Missing: j.Missing, Duplicates: j.Duplicates, Reference: j.Reference, Began: j.Began, Ended: j.Ended}
		i := slices.IndexFunc(r.tracked, func(k tracked) bool {
			return k.out == out && k.party == t.Party && k.reference == j.Reference && k.total == j.Total
		})
		switch {
		case j.Total > 1 && i >= 0:
			t.Messages = r.tracked[i].numbers
			r.tracked = slices.Delete(r.tracked, i, i+1)
		case j.Total == 1:
			t.Messages = []int{r.number}
		}
		texts = append(texts, t)
	}
	return texts
}
