package module

import (
	"fmt"

	"firstfix/internal/wire/sms"
)

// memory is one store of texts; an index on the line is one more than in places.
type memory struct {
	places []place
	filled int // old texts that the world put there
}

type place struct {
	used bool
	message
}

// The sizes of the module's own stores; our choice.
const (
	modulePlaces    = 23
	reportPlaces    = 5
	broadcastPlaces = 5
)

func (m *Module) fillStore() {
	for name, size := range map[memoryName]int{memoryCard: m.conditions().Card.Store.Size, memoryModule: modulePlaces, memoryReports: reportPlaces, memoryBroadcasts: broadcastPlaces} {
		m.store[name].places = make([]place, size)
	}
}

// addOldTexts puts the texts on the card that the world says lie there.
func (m *Module) addOldTexts() {
	s, want := &m.store[memoryCard], m.conditions().Card.Store.Used
	for ; s.filled < want; s.filled++ {
		at := m.networkTime().AddDate(0, 0, -1-s.filled)
		s.add(message{status: 1, incoming: true, peer: "+447700900112", fo: 4, stamp: sms.StampOf(at), text: fmt.Sprintf("Quellmoor ring: trailer %02d is due back on Friday", 1+s.filled%30)})
	}
}

// add puts a message in the first free place; -1 when there is none.
func (s *memory) add(t message) int {
	for i := range s.places {
		if !s.places[i].used {
			s.places[i] = place{used: true, message: t}
			return i
		}
	}
	return -1
}

func (s *memory) used() int {
	n := 0
	for i := range s.places {
		if s.places[i].used {
			n++
		}
	}
	return n
}

// at finds what an index on the line means: 27.005 clause 3.1 <index>.
func (s *memory) at(index int) (p *place, inRange bool) {
	if index < 1 || index > len(s.places) {
		return nil, false
	}
	return &s.places[index-1], true
}

// statusWords: 27.005 clause 3.1 <stat>.
var statusWords = [...]string{"REC UNREAD", "REC READ", "STO UNSENT", "STO SENT", "ALL"}

// The values of <stat>: 27.005 clause 3.1.
const (
	statusUnread = iota
	statusRead
	statusUnsent
	statusSent
	statusAll
)

// storeReply says why the stores cannot be used; ok when they can.
func (m *Module) storeReply(name memoryName) reply {
	if name == memoryCard && m.conditions().Card.Store.Fails {
		return cms(320) // 27.005 clause 3.2.5: memory failure
	}
	return ok
}
