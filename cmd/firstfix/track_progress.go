package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// progress tells on standard error how far a long run is, when it is a terminal.
type progress struct {
	w     io.Writer
	began time.Time
	next  time.Time
	bytes int64
	shown bool
}

func newProgress(s *streams) *progress {
	p := &progress{began: time.Now()}
	if f, ok := s.Err.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.w, p.next = f, p.began.Add(time.Second)
	}
	return p
}

func (p *progress) count(r io.Reader) io.Reader {
	if p.w == nil {
		return r
	}
	return &countedReader{r, p}
}

type countedReader struct {
	r io.Reader
	p *progress
}

func (c *countedReader) Read(b []byte) (int, error) {
	n, err := c.r.Read(b)
	c.p.bytes += int64(n)
	return n, err
}

func (p *progress) show() {
	if p.w == nil {
		return
	}
	now := time.Now()
	if now.Before(p.next) {
		return
	}
	p.next, p.shown = now.Add(time.Second), true
	fmt.Fprintf(p.w, "\r%.0f MB read, %.0f MB/s ", float64(p.bytes)/1e6, float64(p.bytes)/1e6/now.Sub(p.began).Seconds())
}

func (p *progress) end() {
	if p.shown {
		fmt.Fprint(p.w, "\r                                \r")
	}
}
