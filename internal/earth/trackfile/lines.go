package trackfile

import "io"

// lineCounter passes bytes on and remembers where their lines begin, so that an offset can
// be turned into a line. It holds the line ends that were read ahead only.
type lineCounter struct {
	r    io.Reader
	read int64   // bytes passed on
	ends []int64 // offsets of line ends not asked for yet
	line int     // lines ended before ends[0]
}

func (l *lineCounter) Read(b []byte) (int, error) {
	n, err := l.r.Read(b)
	for i, c := range b[:n] {
		if c == '\n' {
			l.ends = append(l.ends, l.read+int64(i))
		}
	}
	l.read += int64(n)
	return n, err
}

// at returns the line, from 1, of an offset. Offsets must be asked for in order.
func (l *lineCounter) at(offset int64) int {
	k := 0
	for k < len(l.ends) && l.ends[k] < offset {
		k++
	}
	if k > 0 {
		l.line += k
		l.ends = l.ends[:copy(l.ends, l.ends[k:])]
	}
	return l.line + 1
}
