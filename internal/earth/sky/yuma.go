package sky

import (
	"strconv"
	"strings"
)

// yumaField is one line of a YUMA record: a name, a colon, a number. Names vary between
// publishers behind the part that is compared.
type yumaField struct {
	begins string // of the name, in small letters and without blanks
	name   string
	set    func(e *Entry, v float64)
}

// yumaFields are a record, in order. All are needed but the clock.
var yumaFields = []yumaField{
	{"id", "ID", func(e *Entry, v float64) { e.PRN = whole(v) }},
	{"health", "Health", func(e *Entry, v float64) { e.Health = whole(v) }},
	{"eccentricity", "Eccentricity", func(e *Entry, v float64) { e.Orbit.Eccentricity = v }},
	{"timeofapplicability", "Time of Applicability", func(e *Entry, v float64) { e.Orbit.OfWeekS = v }},
	{"orbitalinclination", "Orbital Inclination", func(e *Entry, v float64) { e.Orbit.InclinationRad = v }},
	{"rateofrightascen", "Rate of Right Ascension", func(e *Entry, v float64) { e.Orbit.NodeRateRadS = v }},
	{"sqrt(a)", "SQRT(A)", func(e *Entry, v float64) { e.Orbit.SqrtA = v }},
	{"rightascen", "Right Ascension", func(e *Entry, v float64) { e.Orbit.NodeRad = v }},
	{"argumentofperigee", "Argument of Perigee", func(e *Entry, v float64) { e.Orbit.PerigeeRad = v }},
	{"meananom", "Mean Anomaly", func(e *Entry, v float64) { e.Orbit.AnomalyRad = v }},
	{"week", "week", func(e *Entry, v float64) { e.Week = whole(v) }},
}

// whole turns a number without decimals into an int; -1, which no field allows, otherwise.
func whole(v float64) int {
	if n := int(v); float64(n) == v {
		return n
	}
	return -1
}

func (p *almanacReader) looksYUMA() bool {
	for _, l := range p.lines {
		name, _, ok := strings.Cut(l, ":")
		if ok && flat(name) == "id" {
			return true
		}
	}
	return false
}

func flat(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), "")) }

func (p *almanacReader) yuma() {
	var e Entry
	var have uint
	open := false
	close := func() {
		if !open {
			return
		}
		for i, f := range yumaFields {
			if have&(1<<i) == 0 {
				p.complain(e.Line, "a record without "+f.name, "every field but Af0 and Af1")
				open = false
				return
			}
		}
		p.add(e)
		open = false
	}
	for n, l := range p.lines {
		name, value, ok := strings.Cut(l, ":")
		if !ok {
			continue // the line of asterisks, a blank one
		}
		name = flat(name)
		i := yumaIndex(name)
		if i == 0 {
			close()
			e, have, open = Entry{Line: n + 1}, 0, true
		}
		if i < 0 || !open {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
		if err != nil {
			p.complain(n+1, strings.TrimSpace(l), "a number for "+yumaFields[i].name)
			continue
		}
		yumaFields[i].set(&e, v)
		have |= 1 << i
	}
	close()
}

func yumaIndex(name string) int {
	for i, f := range yumaFields {
		if strings.HasPrefix(name, f.begins) && (i > 0 || name == "id") {
			return i
		}
	}
	return -1
}
