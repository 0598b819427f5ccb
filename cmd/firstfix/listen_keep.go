package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// keeper writes what was heard to a capture file, or to a row of them. Each
// record is one write to the system when it is heard: a kill loses none of them.
type keeper struct {
	path   string
	every  time.Duration // 0: no limit
	bytes  int64         // 0: no limit
	began  time.Time     // wall clock at instant zero
	info   capture.Info
	masker capture.Masker // of the whole run: a command may be cut by a file's end

	file   *os.File
	writer *capture.Writer
	size   int64
	from   when.Instant // instant zero of this file
	number int
	synced when.Instant
}

// syncEvery is how much a power cut may cost; a kill costs nothing.
const syncEvery = 5 * time.Second

// newKeeper prepares the first file. Without a path nothing is kept.
func newKeeper(path, rotate string, began time.Time, info capture.Info) (*keeper, error) {
	k := &keeper{path: path, began: began, info: info}
	if path == "" {
		return k, nil
	}
	if rotate != "" {
		var err error
		if k.every, k.bytes, err = parseRotation(rotate); err != nil {
			return nil, &stop{Status: statusCannot, Err: err}
		}
	}
	if err := k.open(0); err != nil {
		return nil, &stop{Status: statusCannot, Err: fmt.Errorf("write the capture: %w", err), Hints: []string{"a capture that exists is never written over; give another name"}}
	}
	return k, nil
}

// sizeUnits are those of --rotate, the longest spelling first.
var sizeUnits = []struct {
	name  string
	bytes int64
}{{"KiB", 1 << 10}, {"MiB", 1 << 20}, {"GiB", 1 << 30}, {"kB", 1e3}, {"KB", 1e3}, {"MB", 1e6}, {"GB", 1e9}, {"k", 1e3}, {"M", 1e6}, {"G", 1e9}}

// Limits of a rotation: shorter files than these are thousands.
const (
	leastRotateEvery = time.Second
	leastRotateBytes = 1000
)

// parseRotation reads a time, as 1h, or a size, as 64MB.
func parseRotation(s string) (every time.Duration, size int64, err error) {
	for _, u := range sizeUnits {
		digits, ok := strings.CutSuffix(s, u.name)
		if !ok {
			continue
		}
		if n, err := strconv.ParseInt(digits, 10, 32); err == nil && n*u.bytes >= leastRotateBytes {
			return 0, n * u.bytes, nil
		}
	}
	if d, err := time.ParseDuration(s); err == nil && d >= leastRotateEvery {
		return d, 0, nil
	}
	return 0, 0, fmt.Errorf("--rotate %q: want a time of at least 1s, as 1h, or a size of at least 1kB, as 64MB", s)
}

// name is the file's: numbered when there may be more than one.
func (k *keeper) name() string {
	if k.every == 0 && k.bytes == 0 {
		return k.path
	}
	ext := filepath.Ext(k.path)
	return fmt.Sprintf("%s-%04d%s", strings.TrimSuffix(k.path, ext), k.number, ext)
}

// open begins a file at now: a capture of its own, with its own beginning.
func (k *keeper) open(now when.Instant) error {
	k.number++
	f, err := os.OpenFile(k.name(), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	info := k.info
	info.Began = k.began.Add(time.Duration(now)).Format(time.RFC3339Nano)
	k.file, k.from, k.size = f, now, 0
	k.writer, err = capture.NewWriter(counted{k}, info)
	return err
}

// counted is the file, with its size known.
type counted struct{ k *keeper }

func (c counted) Write(b []byte) (int, error) {
	n, err := c.k.file.Write(b)
	c.k.size += int64(n)
	return n, err
}

func (k *keeper) write(r capture.Record) error {
	if k.writer == nil {
		return nil
	}
	if k.every > 0 && r.At.Sub(k.from) >= k.every || k.bytes > 0 && k.size >= k.bytes {
		if err := k.turn(r.At); err != nil {
			return err
		}
	}
	r = k.masker.Mask(r)
	r.At -= k.from
	return k.writer.Write(r)
}

// turn ends this file and begins the next.
func (k *keeper) turn(now when.Instant) error {
	before := filepath.Base(k.name())
	if err := k.closeFile(); err != nil {
		return err
	}
	if err := k.open(now); err != nil {
		k.writer = nil
		return err
	}
	return k.writer.Write(capture.Record{Event: "note: goes on from " + before})
}

// settle asks the system now and then to put what was written where a power cut does not reach it.
func (k *keeper) settle(now when.Instant) {
	if k.file != nil && now.Sub(k.synced) >= syncEvery {
		k.synced = now
		_ = k.file.Sync() // a file system that cannot is no reason to stop
	}
}

func (k *keeper) closeFile() error {
	if k.file == nil {
		return nil
	}
	err := errors.Join(k.file.Sync(), k.file.Close())
	k.file = nil
	return err
}

// Close ends the capture. It may be called more than once.
func (k *keeper) Close() error {
	k.writer = nil
	return k.closeFile()
}
