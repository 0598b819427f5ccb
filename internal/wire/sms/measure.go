package sms

import (
	"unicode/utf16"

	"firstfix/internal/maybe"
)

// Fit says how a text travels and what it costs.
type Fit struct {
	Coding            // data coding 0 when the 7-bit alphabet holds the text, otherwise 8 (UCS2)
	Shift      Shift  // national tables, when they were allowed and save messages
	Units      int    // septets or 16-bit units in all
	Septets    int    // the same for 7-bit texts, escapes counted; 0 for UCS2
	Parts      int    // messages to pay for; 1 for an empty text
	PerPart    int    // units that fit in each: 160 or 70 alone, 153 or 67 in a long message
	Left       int    // units free in the last part
	Foreign    []rune // characters outside the default alphabet, each once, in order: they force UCS2
	Extension  int    // characters that cost two septets
	Surrogates int    // characters that cost two UCS2 units
}

// Options say how a text may be cut into parts. The zero Options are the usual
// way: default alphabet or UCS2, an 8-bit reference.
type Options struct {
	Reference int              // the same number in all parts of one text
	Wide      bool             // 16-bit reference: one septet less per part, but it wraps late
	National  bool             // allow national tables where they save messages; old receivers show other letters
	ForceUCS2 bool             // data coding 8 whatever the text
	Class     maybe.Value[int] // message class, 0 to 3
	Header    Header           // further elements in every part, application ports for instance
}

// maxForeign bounds the list of foreign characters: enough to show a person.
const maxForeign = 64

// Measure says how text would be sent with data coding 0 or, where it must, 8.
// No national tables: many receivers do not know them.
func Measure(text string) Fit { return MeasureWith(text, Options{}) }

// MeasureWith says how [Split] would cut text.
func MeasureWith(text string, o Options) Fit {
	f, p := o.plan(text)
	f.Parts, f.PerPart = 1, p.alone
	if f.Units > p.alone {
		f.PerPart, f.Parts = p.long, 0
	}
	rest, used := text, 0
	for {
		var n int
		n, used = p.next(rest, f.PerPart)
		rest = rest[n:]
		if f.PerPart == p.long {
			f.Parts++
		}
		if rest == "" || n == 0 {
			break
		}
	}
	f.Left = f.PerPart - used
	return f
}

// plan is how much goes into a part and what each character costs.
type plan struct {
	main, shift *table // nil for UCS2
	alone, long int    // units that fit in the only part, and in one of several
}

// cost is what r takes in units.
func (p plan) cost(r rune) int {
	if p.main == nil {
		return unitsOf(r)
	}
	_, n := septetsOf(r, p.main, p.shift)
	return n
}

// next returns how many octets of text go into a part of room units, and how many
// units they take. A character is never cut: no escape pair, no surrogate pair
// (TS 23.040 clause 9.2.3.24.1).
func (p plan) next(text string, room int) (octets, used int) {
	for i, r := range text {
		n := p.cost(r)
		if used+n > room {
			return i, used
		}
		used += n
	}
	return len(text), used
}

// unitsOf is how many 16-bit units r takes.
func unitsOf(r rune) int {
	if n := utf16.RuneLen(r); n > 0 {
		return n
	}
	return 1
}

// plan chooses alphabet and tables.
func (o Options) plan(text string) (Fit, plan) {
	var f Fit
	septets, units := 0, 0
	for _, r := range text {
		switch _, n := septetsOf(r, &defaultMain, &defaultShift); n {
		case 0:
			f.addForeign(r)
		case 2:
			f.Extension++
			septets += 2
		default:
			septets++
		}
		units += unitsOf(r)
		if r > 0xFFFF {
			f.Surrogates++
		}
	}
	if len(f.Foreign) == 0 && !o.ForceUCS2 {
		f.Coding, f.Units, f.Septets, f.Surrogates = ReadDCS(o.dcs(0)), septets, septets, 0
		return f, o.septetPlan(Shift{})
	}
	wide := o.ucs2Plan()
	if o.National && !o.ForceUCS2 {
		if shift, septets, extension, ok := nationalFit(text); ok {
			p := o.septetPlan(shift)
			if partsOf(septets, p) < partsOf(units, wide) {
				f.Coding, f.Shift, f.Units, f.Septets, f.Extension, f.Surrogates = ReadDCS(o.dcs(0)), shift, septets, septets, extension, 0
				return f, p
			}
		}
	}
	f.Coding, f.Units, f.Extension = ReadDCS(o.dcs(8)), units, 0
	return f, wide
}

// partsOf is how many parts n units take, near enough to choose between alphabets.
func partsOf(n int, p plan) int {
	if n <= p.alone || p.long <= 0 {
		return 1
	}
	return (n + p.long - 1) / p.long
}

// dcs is the data coding with the class, TS 23.038 clause 4, group 00xx.
func (o Options) dcs(alphabet byte) byte {
	if class, ok := o.Class.Get(); ok {
		return alphabet | 0x10 | byte(class&3)
	}
	return alphabet
}

// septetPlan is the room for septets beside the header.
func (o Options) septetPlan(shift Shift) plan {
	room := func(h Header) int {
		if size := h.size(); size > 0 {
			return max(maxUserSeptets-headSeptets(size), 0)
		}
		return maxUserSeptets
	}
	main, single := shift.tables()
	return plan{main: main, shift: single, alone: room(o.header(shift, Concat{})), long: room(o.header(shift, Concat{Wide: o.Wide, Total: 2}))}
}

// ucs2Plan is the room for 16-bit units beside the header.
func (o Options) ucs2Plan() plan {
	room := func(h Header) int { return max((maxUserOctets-h.size())/2, 0) }
	return plan{alone: room(o.header(Shift{}, Concat{})), long: room(o.header(Shift{}, Concat{Wide: o.Wide, Total: 2}))}
}

// header is the header of one part; a Total of 0 is the only part.
func (o Options) header(shift Shift, c Concat) Header {
	var h Header
	if c.Total > 0 {
		h = append(h, ConcatElement(c))
	}
	h = append(h, ShiftElements(shift)...)
	return append(h, o.Header...)
}

func (f *Fit) addForeign(r rune) {
	for _, have := range f.Foreign {
		if have == r {
			return
		}
	}
	if len(f.Foreign) < maxForeign {
		f.Foreign = append(f.Foreign, r)
	}
}

// nationalFit finds the pair of tables that writes text in the fewest septets;
// false when none holds it. Of equals the one with the fewer shifts and the lower
// identifier wins.
func nationalFit(text string) (best Shift, septets, extension int, ok bool) {
	type count struct {
		r      rune
		n      int
		main   uint16 // bit i: locking table i holds it
		single uint16
	}
	var counts []count
	index := map[rune]int{}
	for _, r := range text {
		i, have := index[r]
		if !have {
			c := count{r: r}
			for l := range languages {
				if t := languages[l].main; t != nil {
					if _, in := t.find(r); in {
						c.main |= 1 << l
					}
				}
				if _, in := languages[l].shift.find(r); in {
					c.single |= 1 << l
				}
			}
			i = len(counts)
			index[r] = i
			counts = append(counts, c)
		}
		counts[i].n++
	}
	elements := 3
	for l := range languages {
		if languages[l].main == nil {
			continue
		}
		for s := range languages {
			total, extra, shifts, fits := 0, 0, 0, true
			for _, c := range counts {
				switch {
				case c.main>>l&1 == 1:
					total += c.n
				case c.single>>s&1 == 1:
					total += 2 * c.n
					extra += c.n
				default:
					fits = false
				}
			}
			if l > 0 {
				shifts++
			}
			if s > 0 {
				shifts++
			}
			if fits && (!ok || total < septets || total == septets && shifts < elements) {
				best, septets, extension, elements, ok = Shift{Locking: Language(l), Single: Language(s)}, total, extra, shifts, true
			}
		}
	}
	return best, septets, extension, ok
}
