package sky

import (
	"math"
	"strconv"
	"strings"
)

// semicircle is the unit of angles in a SEM file.
const semicircle = math.Pi

// inclinationOffset is what the inclinations of a SEM file are counted from: 0.30 semicircles,
// IS-GPS-200, table 20-VI, note.
const inclinationOffset = 0.30 * semicircle

// semRecord is how many numbers one record has: PRN; SVN; range accuracy; three times three
// orbit and clock values; health; configuration. ICD-GPS-870, the SEM description.
const semRecord = 14

func (p *almanacReader) looksSEM() bool {
	head := p.head()
	if len(head) < 2 {
		return false
	}
	count := strings.Fields(head[0].text)
	week := strings.Fields(head[1].text)
	_, err1 := strconv.Atoi(count[0])
	if err1 != nil || len(week) != 2 {
		return false
	}
	_, err2 := strconv.Atoi(week[0])
	_, err3 := strconv.ParseFloat(week[1], 64)
	return err2 == nil && err3 == nil
}

type numbered struct {
	line int
	text string
}

// head returns the first two lines that are not blank.
func (p *almanacReader) head() (out []numbered) {
	for n, l := range p.lines {
		if strings.TrimSpace(l) != "" {
			out = append(out, numbered{n + 1, strings.TrimSpace(l)})
			if len(out) == 2 {
				return out
			}
		}
	}
	return out
}

func (p *almanacReader) sem() {
	head := p.head()
	countText, title, _ := strings.Cut(head[0].text, " ")
	count, _ := strconv.Atoi(countText)
	p.out.Title = strings.TrimSpace(title)
	fields := strings.Fields(head[1].text)
	week, _ := strconv.Atoi(fields[0])
	ofWeekS, _ := strconv.ParseFloat(fields[1], 64)

	var v [semRecord]float64
	n, began := 0, 0
	broken := false
	for i := head[1].line; i < len(p.lines); i++ {
		words := strings.Fields(p.lines[i])
		if len(words) == 0 {
			if n > 0 && n < semRecord {
				p.complain(began, "a record of "+strconv.Itoa(n)+" numbers", strconv.Itoa(semRecord))
			}
			n, broken = 0, false
			continue
		}
		for _, w := range words {
			if broken {
				break
			}
			x, err := strconv.ParseFloat(w, 64)
			if err != nil {
				p.complain(i+1, w, "a number")
				n, broken = 0, true // the rest of the record is lost, the next begins behind a blank line
				break
			}
			if n == 0 {
				began = i + 1
			}
			v[n] = x
			if n++; n == semRecord {
				p.add(semEntry(&v, week, ofWeekS, began))
				n = 0
			}
		}
	}
	if n > 0 {
		p.complain(began, "a record of "+strconv.Itoa(n)+" numbers", strconv.Itoa(semRecord))
	}
	if got := len(p.out.Entries); got != count {
		p.complain(head[0].line, head[0].text, strconv.Itoa(got)+" records, which could be read")
	}
}

func semEntry(v *[semRecord]float64, week int, ofWeekS float64, line int) Entry {
	return Entry{PRN: whole(v[0]), Health: whole(v[12]), Week: week, Line: line, Orbit: Orbit{
		Eccentricity:   v[3],
		InclinationRad: inclinationOffset + v[4]*semicircle,
		NodeRateRadS:   v[5] * semicircle,
		SqrtA:          v[6],
		NodeRad:        v[7] * semicircle,
		PerigeeRad:     v[8] * semicircle,
		AnomalyRad:     v[9] * semicircle,
		OfWeekS:        ofWeekS,
	}}
}
