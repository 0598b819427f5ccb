package pump

import (
	"context"
	"errors"
	"sync"

	"firstfix/internal/edge/line"
)

// Served is told about the peers of [Serve]: a new one, and why it went. It
// may be called by several goroutines at once.
type Served func(n int, peer string, ended bool, why error)

// maxPeers bounds how many peers are served at once; more wait to be accepted.
const maxPeers = 4096

// Serve gives every peer that connects a machine of its own, at real speed,
// until ctx ends. start makes machine and options for peer n, counted from 1.
// It returns when all peers have gone.
func Serve(ctx context.Context, l *line.Listener, start func(n int) (Machine, Options), told Served) error {
	var peers sync.WaitGroup
	defer peers.Wait()
	room := make(chan struct{}, maxPeers)
	for n := 1; ; n++ {
		select {
		case room <- struct{}{}:
		case <-ctx.Done():
			return nil
		}
		peer, err := l.Accept(ctx)
		if err != nil {
			if ctx.Err() != nil || errors.Is(err, line.ErrClosed) {
				return nil
			}
			return err
		}
		peers.Add(1)
		go func() {
			defer peers.Done()
			defer func() { <-room }()
			defer peer.Close()
			if told != nil {
				told(n, peer.Describe(), false, nil)
			}
			m, o := start(n)
			err := Run(ctx, peer, m, o)
			if told != nil {
				told(n, peer.Describe(), true, err)
			}
		}()
	}
}
