package track

import (
	"strings"
	"testing"
	"time"

	"firstfix/internal/maybe"
)

// Week 0 began on 1980-01-06; the ten-bit number began again on 1999-08-22 and on 2019-04-07
// (IS-GPS-200, 20.3.3.3.1.1; both dates are published with the system's notices).
func TestRollovers(t *testing.T) {
	zero := time.Date(1980, time.January, 6, 0, 0, 0, 0, time.UTC)
	for i, r := range Rollovers {
		if want := zero.Add(time.Duration(i+1) * Round); !r.Equal(want) {
			t.Errorf("rollover %d is %s, want %s", i+1, r, want)
		}
		if r.Weekday() != time.Sunday {
			t.Errorf("%s is no Sunday", r)
		}
	}
	for was, is := range map[string]string{"1980-01-06": "1999-08-22", "1999-08-22": "2019-04-07", "2006-07-19": "2026-03-04"} {
		then, _ := time.Parse(time.DateOnly, was)
		if got := then.Add(Round).Format(time.DateOnly); got != is {
			t.Errorf("%s and 7168 days is %s, want %s", was, got, is)
		}
		var s Sighting
		s.UTC = maybe.Known(then)
		if s.AddRounds(1); s.UTC.Or(then).Format(time.DateOnly) != is {
			t.Errorf("AddRounds made %s of %s", s.UTC, was)
		}
	}
}

func watch(heard string, change func(i int, j *Judged)) []Proposal {
	w := new(ClockWatch)
	if day, err := time.Parse(time.DateOnly, heard); err == nil {
		w.Heard = maybe.Known(day)
	}
	for i := range 100 {
		j := Judged{Sighting: at(float64(i), 0)}
		change(i, &j)
		w.Add(&j)
	}
	return w.Proposals()
}

func TestProposals(t *testing.T) {
	old := func(j *Judged) { j.AddRounds(-1) }
	wall := func(i int, j *Judged, ahead time.Duration) {
		j.Wall = maybe.Known(noon.Add(time.Duration(i)*time.Second + ahead))
	}
	tests := []struct {
		name, heard string
		change      func(i int, j *Judged)
		want        string // kinds, proven ones with "!"
	}{
		{"clocks agree", "", func(i int, j *Judged) { wall(i, j, 300*time.Millisecond) }, ""},
		{"no clock, a date of today", "", func(i int, j *Judged) {}, ""},
		{"a round early", "", func(i int, j *Judged) { old(j); wall(i, j, time.Second) }, "weeks+1!"},
		{"two rounds early", "", func(i int, j *Judged) { j.AddRounds(-2); wall(i, j, time.Second) }, "weeks+2!"},
		{"a round late", "", func(i int, j *Judged) { j.AddRounds(1); wall(i, j, time.Second) }, "weeks-1!"},
		{"local time", "", func(i int, j *Judged) { wall(i, j, 2*time.Hour) }, "zone+120!"},
		{"local time in the west, half an hour", "", func(i int, j *Judged) { wall(i, j, -3*time.Hour-30*time.Minute) }, "zone-210!"},
		{"both", "", func(i int, j *Judged) { old(j); wall(i, j, 5*time.Hour+45*time.Minute) }, "weeks+1! zone+345!"},
		{"a clock that is wrong by days", "", func(i int, j *Judged) { wall(i, j, 100*time.Hour) }, ""},
		{"a clock that runs wild", "", func(i int, j *Judged) { wall(i, j, time.Duration(i)*time.Hour) }, ""},
		{"the day is named", "2026-03-04", func(i int, j *Judged) { old(j) }, "weeks+1!"},
		{"the day is named and differs", "2026-05-04", func(i int, j *Judged) { old(j) }, ""},
		{"nobody knows", "", func(i int, j *Judged) { old(j) }, "weeks+1"},
		{"older than its form", "", func(i int, j *Judged) {
			old(j)
			j.Born = &Birth{time.Date(2012, 6, 1, 0, 0, 0, 0, time.UTC), "RMC with 13 fields"}
		}, "weeks+1!"},
		{"old and true", "", func(i int, j *Judged) { j.UTC = maybe.Known(time.Date(1994, 3, 23, 12, 35, i%60, 0, time.UTC)) }, ""},
	}
	for _, test := range tests {
		var words []string
		for _, p := range watch(test.heard, test.change) {
			word := p.Kind
			switch p.Kind {
			case "weeks":
				word += sign(p.Rounds)
			case "zone":
				word += sign(p.ZoneMin)
			}
			if p.Proven {
				word += "!"
			}
			words = append(words, word)
			if p.Says == "" || len(p.Because) == 0 {
				t.Errorf("%s: without words: %+v", test.name, p)
			}
		}
		if got := strings.Join(words, " "); got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}

func sign(n int) string {
	text := zoneWords(n * 60)
	digits := strings.TrimLeft(text[1:strings.IndexByte(text, ':')], "0")
	return text[:1] + digits
}

// A receiver that repairs its date in the middle: the line of time goes on.
func TestRoundInTheMiddle(t *testing.T) {
	var list []Sighting
	for i := range 20 {
		s := at(float64(i), float64(i)*10)
		if i < 10 {
			s.AddRounds(-1)
		}
		list = append(list, s)
	}
	words, out := sift(t, list)
	if words != strings.TrimSpace(strings.Repeat(". ", 20)) {
		t.Error(words)
	}
	if got := out[19].Moment.Sub(out[0].Moment); got != 19*time.Second {
		t.Errorf("%s long, want 19 s", got)
	}
	if out[10].Note == "" {
		t.Error("the change is not noted")
	}
}
