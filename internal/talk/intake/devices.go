package intake

import (
	"fmt"
	"slices"
	"strings"

	"firstfix/internal/talk/capture"
)

// watched is a source that also looks for a second device in what passes: logs
// of two devices are easily mixed, and then no sentence can be compared with the
// one before.
type watched struct {
	capture.Source
	seen devices
}

func watch(s capture.Source) capture.Source { return &watched{Source: s} }

// Next returns the next record.
func (w *watched) Next() (capture.Record, error) {
	r, err := w.Source.Next()
	if err == nil && r.Event == "" {
		w.seen.record(&r)
	}
	return r, err
}

// Info says what is known so far.
func (w *watched) Info() capture.Info {
	info := w.Source.Info()
	info.Mixed = w.seen.signs()
	info.Assumed = append(slices.Clip(info.Assumed), info.Mixed...)
	return info
}

// devices looks for signs of a second device. It sees only lines that lie whole
// in one record, which is enough for what goes on and on.
type devices struct {
	rows     [4]clockRow // time of day as receivers tell it
	count    int         // of rows in use
	row      int         // the row of the last sentence
	turns    int         // how often a row was left and taken up again
	pairs    [2]lastSeen // RMC, GGA
	clashes  int         // sentences of one kind and time that tell different places
	clashAt  int         // the time of the last one, so that it counts once
	asked    bool        // the identity was asked for
	identity string
	others   bool // another identity answered later
}

// A clockRow is a time of day that goes on.
type clockRow struct {
	ms    int // since midnight
	steps int // how often it went on
}

// lastSeen is the last sentence of a kind.
type lastSeen struct {
	ms      int
	address string
	rest    string // what stands behind the time
}

// Limits of the signs. They are our estimates: high enough that one receiver
// which starts anew, sets its clock or repeats itself is still one.
const (
	dayMS       = 24 * 3600 * 1000
	goesOnMS    = 10_000 // a row goes on when its time is at most this much later
	apartMS     = 30_000 // times nearer than this may be one receiver's, sent in another order
	enoughTurns = 6
	enoughSteps = 3
	enoughClash = 3
	farMinutes  = 0.05 // of arc: some 90 m, more than two sentences of one epoch differ
)

// record looks at the lines of a record.
func (d *devices) record(r *capture.Record) {
	s := r.Bytes
	for s != "" {
		line := s
		if i := strings.IndexByte(s, '\n'); i >= 0 {
			line, s = s[:i], s[i+1:]
		} else {
			s = ""
		}
		if len(line) < 4 {
			continue
		}
		switch c := line[0]; {
		case c == '$':
			if r.From != capture.Controller {
				d.sentence(line)
			}
		case c|0x20 == 'a':
			d.command(line)
		case r.From != capture.Controller && d.asked && (digit(c) || c == '+' || c == '"'):
			d.answer(line)
		}
	}
}

// command notes whether the identity is asked for: a bare number of 15 digits
// may also be the card's. +CGSN, +CGSN=1: 27.007 5.4, +GSN: V.250 6.1.7.
func (d *devices) command(line string) {
	line = strings.TrimRight(line, "\r ")
	if isCommand(line) {
		name := strings.ToUpper(strings.TrimSuffix(line[2:], "=1"))
		d.asked = name == "+CGSN" || name == "+GSN"
	}
}

func (d *devices) answer(line string) {
	if name, rest, ok := strings.Cut(line, ":"); ok && (name == "+CGSN" || name == "+GSN") {
		line = rest
	}
	t := strings.Trim(line, "\r \"")
	if len(t) != 15 || !luhn(t) {
		return
	}
	d.others = d.others || d.identity != "" && d.identity != t
	d.identity = strings.Clone(t)
	d.asked = false
}

// sentence follows the time of day and the place that sentences tell.
func (d *devices) sentence(t string) {
	if len(t) < 14 || t[6] != ',' {
		return
	}
	kind := 0
	switch t[3:6] {
	case "RMC":
	case "GGA":
		kind = 1
	default:
		return
	}
	ms, rest, ok := timeOfDay(t[7:])
	if !ok {
		return
	}
	d.follow(ms)
	last := &d.pairs[kind]
	if last.ms == ms && last.address == t[1:6] && d.clashAt != ms && apart(placeOf(kind, last.rest), placeOf(kind, rest)) {
		d.clashes++
		d.clashAt = ms
	}
	*last = lastSeen{ms, t[1:6], rest}
}

// follow finds the row that a time goes on with.
func (d *devices) follow(ms int) {
	if d.count == 0 {
		d.rows[0], d.count = clockRow{ms: ms}, 1
		return
	}
	r := &d.rows[d.row]
	if r.ms == ms {
		return
	}
	ahead := (ms - r.ms + dayMS) % dayMS
	switch {
	case ahead <= goesOnMS:
		r.ms = ms
		r.steps++
		return
	case ahead >= dayMS-apartMS, ahead <= apartMS:
		r.ms = ms // a gap, or sentences in another order
		return
	}
	for i := range d.count {
		if ahead := (ms - d.rows[i].ms + dayMS) % dayMS; i != d.row && ahead <= goesOnMS {
			d.row = i
			d.turns++
			if ahead > 0 {
				d.rows[i].ms = ms
				d.rows[i].steps++
			}
			return
		}
	}
	// A new row, in the place of the one that went on least when there is no more room.
	at := d.count
	if at < len(d.rows) {
		d.count++
	} else {
		at = 0
		for i := range d.rows {
			if d.rows[i].steps < d.rows[at].steps {
				at = i
			}
		}
	}
	d.rows[at], d.row = clockRow{ms: ms}, at
}

// signs says in sentences what speaks for more than one device.
func (d *devices) signs() []string {
	var out []string
	var rows []string
	for i := range d.count {
		if d.rows[i].steps >= enoughSteps {
			rows = append(rows, clockOfDay(d.rows[i].ms))
		}
	}
	if d.turns >= enoughTurns && len(rows) >= 2 {
		out = append(out, fmt.Sprintf("the times of day in the sentences run in %d rows that take turns (last at %s): more than one receiver speaks in this file",
			len(rows), strings.Join(rows, " and ")))
	} else if d.clashes >= enoughClash {
		out = append(out, fmt.Sprintf("sentences of the same moment tell different places, %d times: more than one receiver speaks in this file", d.clashes))
	}
	if d.others {
		out = append(out, "two device identities answer in this file: it may hold the talk of two modules")
	}
	return out
}

func clockOfDay(ms int) string {
	s := ms / 1000
	return fmt.Sprintf("%02d:%02d:%02d", s/3600, s/60%60, s%60)
}

// timeOfDay reads hhmmss[.s] and returns what stands behind it, from the comma.
func timeOfDay(t string) (ms int, rest string, ok bool) {
	if len(t) < 7 {
		return 0, "", false
	}
	var part [3]int
	for i := range part {
		a, b := t[2*i], t[2*i+1]
		if !digit(a) || !digit(b) {
			return 0, "", false
		}
		part[i] = int(a-'0')*10 + int(b-'0')
	}
	ms = ((part[0]*60+part[1])*60 + part[2]) * 1000
	i := 6
	if t[i] == '.' {
		for scale := 100; i+1 < len(t) && digit(t[i+1]); scale /= 10 {
			i++
			ms += int(t[i]-'0') * scale
		}
		i++
	}
	if i >= len(t) || t[i] != ',' || ms >= dayMS {
		return 0, "", false
	}
	return ms, t[i:], true
}

// placeOf returns the four fields of a place behind the time; "" for a void one.
// rest begins with the comma behind the time.
// RMC: status, then the place; GGA: the place, then the quality (IEC 61162-1).
func placeOf(kind int, rest string) string {
	rest = rest[1:]
	if kind == 0 {
		status, after, ok := strings.Cut(rest, ",")
		if !ok || status != "A" {
			return ""
		}
		rest = after
	}
	end, commas := 0, 0
	for ; end < len(rest); end++ {
		if rest[end] == ',' {
			if commas++; commas == 4 {
				break
			}
		}
	}
	if commas < 4 || kind == 1 && (end+1 >= len(rest) || rest[end+1] == '0' || rest[end+1] == ',') {
		return ""
	}
	return rest[:end]
}

// apart says whether two places of one moment cannot be one receiver's.
func apart(a, b string) bool {
	if a == b {
		return false
	}
	if a == "" || b == "" {
		return true // one has a fix, the other has none
	}
	fa, fb := strings.Split(a, ","), strings.Split(b, ",")
	if len(fa) != 4 || len(fb) != 4 || fa[1] != fb[1] || fa[3] != fb[3] {
		return true
	}
	for _, i := range [...]int{0, 2} {
		x, okx := minutes(fa[i])
		y, oky := minutes(fb[i])
		if !okx || !oky {
			return false // damaged, most likely
		}
		if x-y > farMinutes || y-x > farMinutes {
			return true
		}
	}
	return false
}

// minutes reads dddmm.mmmm as minutes of arc.
func minutes(s string) (float64, bool) {
	whole, frac, scale := 0, 0.0, 0.1
	i := 0
	for ; i < len(s) && digit(s[i]); i++ {
		whole = whole*10 + int(s[i]-'0')
	}
	if i < 3 || i > 5 {
		return 0, false
	}
	if i < len(s) && s[i] == '.' {
		for i++; i < len(s) && digit(s[i]); i++ {
			frac += float64(s[i]-'0') * scale
			scale /= 10
		}
	}
	return float64(whole/100*60+whole%100) + frac, i == len(s)
}

// luhn says whether digits end in their check digit, as an IMEI does (TS 23.003 annex B).
func luhn(t string) bool {
	sum := 0
	for i := range len(t) {
		if !digit(t[i]) {
			return false
		}
		d := int(t[i] - '0')
		if (len(t)-i)%2 == 0 {
			if d *= 2; d > 9 {
				d -= 9
			}
		}
		sum += d
	}
	return sum%10 == 0
}
