package world

import (
	"fmt"
	"slices"
	"strings"

	"firstfix/internal/yamlfile"
)

// Validate returns what a world says that cannot be, in the order of the keys
// below. Line and column are known when the world was read by [Load].
func (w *World) Validate() Problems {
	c := checker{world: w}
	c.header()
	c.place()
	c.radio()
	c.card()
	c.supply()
	c.module()
	c.way()
	c.incoming()
	for i := range w.Faults {
		c.fault(fmt.Sprintf("faults[%d]", i), &w.Faults[i])
	}
	return c.problems
}

type checker struct {
	world    *World
	problems Problems
}

// must reports a key when what it should be is not so.
func (c *checker) must(ok bool, key, format string, args ...any) {
	if ok {
		return
	}
	p := &Problem{Key: key, Message: fmt.Sprintf(format, args...)}
	if read := c.world.read; read != nil {
		p.File = read.Name
		p.Line, p.Column = read.Place(key)
	}
	c.problems = append(c.problems, p)
}

func (c *checker) oneOf(got, key string, words []string) {
	if slices.Contains(words, got) {
		return
	}
	if near := yamlfile.Nearest(got, words); near != "" {
		c.must(false, key, "%q is not known; the nearest is %q", got, near)
		return
	}
	c.must(false, key, "%q is not known: want one of %s", got, strings.Join(words, ", "))
}

func (c *checker) between(got, low, high float64, key, unit string) {
	c.must(got >= low && got <= high, key, "%g%s does not fit: want %g to %g", got, unit, low, high)
}

// either is oneOf with "" besides.
func (c *checker) either(got, key string, words []string) {
	if got != "" {
		c.oneOf(got, key, words)
	}
}

func (c *checker) digits(got, key string, least, most int) {
	ok := len(got) >= least && len(got) <= most
	for i := range len(got) {
		ok = ok && got[i] >= '0' && got[i] <= '9'
	}
	c.must(ok, key, "%q does not fit: want %d to %d digits", got, least, most)
}

// number wants a telephone number in international form: "+" and at most 15
// digits (ITU-T E.164).
func (c *checker) number(got, key string) {
	rest, plus := strings.CutPrefix(got, "+")
	c.must(plus, key, "%q does not fit: want + and the country code first", got)
	c.digits(rest, key, 3, 15)
}

// peer wants a number, or a name of at most 11 characters: what fits into the
// address of a text (3GPP TS 23.040 clause 9.1.2.5).
func (c *checker) peer(got, key string) {
	if strings.HasPrefix(got, "+") {
		c.number(got, key)
		return
	}
	c.must(len(got) >= 1 && len(got) <= 11, key, "%q does not fit: want a number with + and the country code, or a name of at most 11 characters", got)
}

func (c *checker) hex(got, key string, digits int) {
	ok := len(got) == digits
	for i := range len(got) {
		ok = ok && strings.IndexByte("0123456789ABCDEF", got[i]) >= 0
	}
	c.must(ok, key, "%q does not fit: want %d hexadecimal digits, capital letters", got, digits)
}

func (c *checker) header() {
	w := c.world
	ok := w.Name != ""
	for i := range len(w.Name) {
		b := w.Name[i]
		ok = ok && (b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '-')
	}
	c.must(ok, "name", "%q does not fit: want small letters, digits and hyphens", w.Name)
	c.must(w.Title != "", "title", "is missing: want one line for a list")
	c.oneOf(w.Truth, "truth", Truths)
	c.must(!w.Start.IsZero(), "start", "is missing: want a date and time as 2026-03-04T10:15:00Z")
	c.must(w.Start.IsZero() || w.Start.Nanosecond() == 0, "start", "has a fraction of a second: want whole seconds")
}

func (c *checker) fault(key string, s *Scheduled) {
	f, ok := FaultNamed(s.Fault)
	if !ok {
		c.oneOf(s.Fault, key+".fault", faultNames())
		return
	}
	const longest = 100 * 365 * 86400 // a session of a hundred years
	c.between(s.AtS, 0, longest, key+".at_s", " s")
	c.must(s.UntilS == 0 || s.UntilS > s.AtS && s.UntilS <= longest, key+".until_s", "%g s does not fit: want more than at_s (%g s), or 0 for good", s.UntilS, s.AtS)
	if s.EveryS != 0 {
		c.between(s.EveryS, 0.001, longest, key+".every_s", " s")
		c.must(s.ForS > 0 && s.ForS+s.JitterS <= s.EveryS, key+".for_s", "%g s with jitter_s %g s does not fit: want more than 0, and both together within every_s (%g s)", s.ForS, s.JitterS, s.EveryS)
		c.between(s.JitterS, 0, s.EveryS, key+".jitter_s", " s")
	} else {
		c.must(s.ForS == 0 && s.JitterS == 0, key+".for_s", "has a meaning only with every_s; want until_s")
	}
	if s.Event != "" {
		c.oneOf(s.Event, key+".event", Events)
	}
	c.must(!s.Again || s.Event != "", key+".again", "has a meaning only with event")
	c.between(s.WithinM, 0, 1e7, key+".within_m", " m")
	c.between(s.NearLatDeg, -90, 90, key+".near_lat_deg", " degrees")
	c.between(s.NearLonDeg, -180, 180, key+".near_lon_deg", " degrees")
	c.must(s.WithinM > 0 || s.NearLatDeg == 0 && s.NearLonDeg == 0, key+".within_m", "is missing: a place without it is nowhere")
	for _, given := range s.given() {
		c.must(slices.Contains(f.Takes, given), key+"."+given, "the fault %s does not take it%s", f.Name, takes(f))
	}
	c.params(key, &s.Params)
}

func takes(f Fault) string {
	if len(f.Takes) == 0 {
		return "; it takes no figure"
	}
	return "; it takes " + strings.Join(f.Takes, ", ")
}

// params holds each figure to the limits of the condition that it changes.
func (c *checker) params(key string, p *Params) {
	for _, f := range p.figures() {
		c.between(f.value, f.low, f.high, key+"."+f.key, "")
	}
	if p.From != "" {
		c.peer(p.From, key+".from")
	}
	c.must(len(p.Text) <= maxIncomingBytes, key+".text", "has %d bytes: want at most %d", len(p.Text), maxIncomingBytes)
}
