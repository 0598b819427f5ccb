package sky

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
)

// An Almanac is what an almanac file says.
type Almanac struct {
	Format  string // "YUMA", "SEM"
	Title   string // of a SEM file
	Entries []Entry
}

// An Entry is one satellite of an almanac.
type Entry struct {
	PRN    int
	Health int
	Week   int // as written: usually ten bits, see [FullWeek]
	Orbit  Orbit
	Line   int // where its record begins
}

// A Problem is a place in an almanac that could not be read.
type Problem struct {
	Line int
	Was  string
	Want string
}

func (p *Problem) Error() string {
	return fmt.Sprintf("sky: line %d of the almanac, %q: want %s", p.Line, p.Was, p.Want)
}

// Limits of an almanac, each with its reason.
const (
	maxAlmanacBytes = 1 << 20 // 32 satellites take 20 kB in either format
	maxEntries      = 256     // all systems together have half of it
	maxProblems     = 50      // a file with more is something else
	// MaxAge is how far from its date an almanac is still used without a word. It is
	// "coarse, useful for weeks" (from memory): our estimate.
	MaxAge = 30 * 24 * time.Hour
)

// ReadAlmanac reads a YUMA or a SEM file, the two text formats in which the almanac of
// the legacy message is published (ICD-GPS-870, appendix; field names from memory). It returns
// all records that are whole, and what it could not read. The error is the reader's.
func ReadAlmanac(r io.Reader) (Almanac, []Problem, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxAlmanacBytes+1))
	if err != nil {
		return Almanac{}, nil, fmt.Errorf("sky: read the almanac: %w", err)
	}
	if len(text) > maxAlmanacBytes {
		return Almanac{}, []Problem{{1, "", fmt.Sprintf("a file of at most %d bytes", maxAlmanacBytes)}}, nil
	}
	lines := strings.Split(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n")
	p := almanacReader{lines: lines}
	switch {
	case p.looksYUMA():
		p.out.Format = "YUMA"
		p.yuma()
	case p.looksSEM():
		p.out.Format = "SEM"
		p.sem()
	default:
		p.complain(1, first(lines), `a YUMA file ("ID:", "Eccentricity:", …) or a SEM file (a count and a title, then a week and seconds)`)
	}
	return p.out, p.problems, nil
}

func first(lines []string) string {
	for _, l := range lines {
		if l = strings.TrimSpace(l); l != "" {
			return l[:min(len(l), 60)]
		}
	}
	return ""
}

type almanacReader struct {
	lines    []string
	out      Almanac
	problems []Problem
}

func (p *almanacReader) complain(line int, was, want string) {
	if len(p.problems) < maxProblems {
		p.problems = append(p.problems, Problem{line, was, want})
	}
}

// add keeps an entry when an orbit can be made of it.
func (p *almanacReader) add(e Entry) {
	for _, check := range entryRanges {
		if v := check.of(&e); !(v >= check.from && v <= check.to) {
			p.complain(e.Line, check.name+" "+strconv.FormatFloat(v, 'g', -1, 64), fmt.Sprintf("%g to %g", check.from, check.to))
			return
		}
	}
	for i := range p.out.Entries {
		if old := &p.out.Entries[i]; old.PRN == e.PRN {
			p.complain(e.Line, fmt.Sprintf("PRN %d again", e.PRN), fmt.Sprintf("each satellite once; the first is on line %d", old.Line))
			return
		}
	}
	if len(p.out.Entries) == maxEntries {
		p.complain(e.Line, fmt.Sprintf("PRN %d", e.PRN), fmt.Sprintf("at most %d satellites", maxEntries))
		return
	}
	p.out.Entries = append(p.out.Entries, e)
}

// entryRanges are what an orbit of a navigation satellite can have. They are wider than the ranges
// of IS-GPS-200, table 20-VI, so that almanacs of other systems are read too: our estimate.
var entryRanges = []struct {
	name     string
	from, to float64
	of       func(*Entry) float64
}{
	{"satellite number", 1, 255, func(e *Entry) float64 { return float64(e.PRN) }},
	{"health", 0, 255, func(e *Entry) float64 { return float64(e.Health) }},
	{"week", 0, 8191, func(e *Entry) float64 { return float64(e.Week) }},
	{"eccentricity", 0, 0.5, func(e *Entry) float64 { return e.Orbit.Eccentricity }},
	{"time of applicability (s)", 0, weekS, func(e *Entry) float64 { return e.Orbit.OfWeekS }},
	{"inclination (rad)", -math.Pi, math.Pi, func(e *Entry) float64 { return e.Orbit.InclinationRad }},
	{"rate of right ascension (rad/s)", -1e-6, 1e-6, func(e *Entry) float64 { return e.Orbit.NodeRateRadS }},
	{"root of the semi-major axis", 2530, 8192, func(e *Entry) float64 { return e.Orbit.SqrtA }},
	{"right ascension (rad)", -7, 7, func(e *Entry) float64 { return e.Orbit.NodeRad }},
	{"argument of perigee (rad)", -7, 7, func(e *Entry) float64 { return e.Orbit.PerigeeRad }},
	{"mean anomaly (rad)", -7, 7, func(e *Entry) float64 { return e.Orbit.AnomalyRad }},
}

// Constellation makes orbits of an almanac. A week of ten bits is taken to be the one
// nearest to a date; assumed says so, and whether the almanac is old by then.
func (a *Almanac) Constellation(near time.Time) (c *Constellation, assumed []string) {
	c = &Constellation{Name: a.Format + " almanac", Source: "the almanac file"}
	if a.Title != "" {
		c.Name += " " + a.Title
	}
	told := false
	for i := range a.Entries {
		e := &a.Entries[i]
		week := e.Week
		if week < RoundWeeks {
			week = FullWeek(e.Week, near)
			if !told {
				assumed = append(assumed, fmt.Sprintf("Week %d of the almanac is taken to be week %d, the nearest of those that are 1024 weeks apart.", e.Week, week))
				told = true
			}
		}
		c.Satellites = append(c.Satellites, Satellite{
			Name: fmt.Sprintf("PRN %d", e.PRN), PRN: e.PRN, Healthy: e.Health == 0, Health: e.Health, Orbit: e.Orbit, week: week})
		if i == 0 {
			c.Applies = FromGPSTime(week, time.Duration(e.Orbit.OfWeekS*float64(time.Second)))
		}
	}
	if age := near.Sub(c.Applies).Abs(); len(a.Entries) > 0 && age > MaxAge {
		assumed = append(assumed, fmt.Sprintf("The almanac is of %s, %.0f days away: directions may be off by degrees.", c.Applies.Format("2006-01-02"), age.Hours()/24))
	}
	return c, assumed
}
