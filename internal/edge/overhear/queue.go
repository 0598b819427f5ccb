package overhear

import (
	"bytes"
	"sync"
	"time"

	"firstfix/internal/edge/pump"
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// maxQueued bounds what waits for a slow disk or a slow judge: ten minutes of
// two directions at 921600 baud are more. A full queue makes the reading wait;
// nothing is dropped.
const maxQueued = 64 << 20

type heard struct {
	from  capture.Direction
	at    when.Instant
	bytes []byte
	event string
}

// queue puts what both sides say in the order of time. Whoever reads a line is
// never held up by the disk.
type queue struct {
	mu    sync.Mutex
	room  *sync.Cond // something was taken out
	items []heard
	held  int
	ended bool
	news  chan struct{}
}

func (q *queue) init() {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.room == nil {
		q.room, q.news = sync.NewCond(&q.mu), make(chan struct{}, 1)
	}
}

// put stamps and stores in one step, so that the order is that of time.
func (q *queue) put(clock pump.Clock, from capture.Direction, b []byte, event string) {
	q.init()
	q.mu.Lock()
	defer q.mu.Unlock()
	for q.held > maxQueued && !q.ended {
		q.room.Wait()
	}
	q.items = append(q.items, heard{from, clock.Now(), bytes.Clone(b), event})
	q.held += len(b)
	select {
	case q.news <- struct{}{}:
	default:
	}
}

func (q *queue) end() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.ended = true
	select {
	case q.news <- struct{}{}:
	default:
	}
}

func (q *queue) take() (items []heard, ended bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	items, q.items, q.held = q.items, nil, 0
	q.room.Broadcast()
	return items, q.ended
}

// drain tells what was put until the end.
func (q *queue) drain(tap pump.Tap, idle func()) {
	tick := time.NewTicker(IdleEvery)
	defer tick.Stop()
	for {
		items, ended := q.take()
		for _, h := range items {
			if tap != nil {
				tap(h.from, h.at, h.bytes, h.event)
			}
		}
		if ended && len(items) == 0 {
			return
		}
		if len(items) > 0 {
			continue
		}
		select {
		case <-q.news:
		case <-tick.C:
			if idle != nil {
				idle()
			}
		}
	}
}
