package geo

import "strings"

// When is a pair of numbers a position? A text that a device sends also holds
// prices, voltages, times, versions. The more a pair says about itself, the
// fewer decimals it needs. Our estimate, from texts of the trade.
const (
	pairDecimals   = 4  // "51.7102,-0.3073" with nothing around it
	spacedDecimals = 5  // "51.71022 -0.30737": a log is full of pairs with a blank
	hintedDecimals = 1  // "pos 51.7,-0.3"
	hintBytes      = 24 // how far before a pair a word such as "pos" still speaks of it
	commaDecimals  = 4  // "51,7102; -0,3073": a list of whole numbers looks like it
)

// FindAll returns the positions in a text, in order, at most max of them (max
// <= 0: all). It would rather miss a position than take something else for one.
// It takes time in proportion to the text. A pair whose first number fits only
// a longitude is returned as it stands: its Point is not valid and a note says so.
func FindAll(text string, max int) []Reading {
	var found []Reading
	f := finder{scanner: scanner{text: text}}
	for i := 0; i < len(text); {
		if max > 0 && len(found) >= max {
			break
		}
		if !f.mayBegin(i) {
			i++
			continue
		}
		r, ok := f.at(i)
		if !ok {
			i++
			continue
		}
		found = append(found, r)
		i = r.At + r.Len
	}
	return found
}

// finder walks through a text once.
type finder struct {
	scanner
	linkFrom, linkTo int // the link last passed
	sentenceTo       int // where the GNSS sentence last passed ends
}

// mayBegin says that a position can begin at i: cheap, as it is asked for every byte.
func (f *finder) mayBegin(i int) bool {
	c := f.text[i]
	switch {
	case isDigit(c), c == '-', c == '+', c == 0xE2: // 0xE2 begins the true minus sign
		return f.boundaryBefore(i)
	case c == '$':
		f.enterSentence(i)
		return false
	case c == ':':
		if i >= f.linkTo && strings.HasPrefix(f.text[i:], "://") {
			f.enterLink(i)
		}
		return false
	case isLetter(c):
		switch c | 0x20 {
		case 'g', 'l', 'm', 'n', 's', 'e', 'w':
			return !isLetter(f.byteAt(i-1)) && !isDigit(f.byteAt(i-1))
		}
	}
	return false
}

// enterSentence notes that a GNSS sentence begins: other pairs of numbers in it
// are times, errors and counts.
func (f *finder) enterSentence(i int) {
	const address = 5 // "$GPRMC": talker and formatter
	for k := 1; k <= address; k++ {
		if c := f.byteAt(i + k); !isLetter(c) && !isDigit(c) {
			return
		}
	}
	const longest = 120 // IEC 61162-1 allows 82; receivers with many decimals send more
	f.sentenceTo = i + 1
	for f.sentenceTo < len(f.text) && f.sentenceTo-i < longest && f.text[f.sentenceTo] != '*' && f.text[f.sentenceTo] >= ' ' {
		f.sentenceTo++
	}
}

// enterLink notes the extent of the link around "://" at i.
func (f *finder) enterLink(i int) {
	f.linkFrom, f.linkTo = i, i
	for f.linkTo < len(f.text) && f.text[f.linkTo] > ' ' && strings.IndexByte("\"<>", f.text[f.linkTo]) < 0 {
		f.linkTo++
	}
}

func (f *finder) inLink(i int) bool { return i >= f.linkFrom && i < f.linkTo }

// boundaryBefore says that no longer number or word runs into i.
func (f *finder) boundaryBefore(i int) bool {
	p := f.byteAt(i - 1)
	switch {
	case isDigit(p) || isLetter(p):
		// After a percent escape a number may begin: "%3D51.7".
		return i >= 3 && f.text[i-3] == '%' && isHex(f.text[i-2]) && isHex(p)
	case p == '.' || p == '_' || p == '*' || p == '#':
		return false
	case p == '-' || p == '+':
		return !isDigit(f.byteAt(i))
	case p == ':':
		return !isDigit(f.byteAt(i - 2)) // 10:15:30
	}
	return true
}

func isHex(b byte) bool { return isDigit(b) || (b|0x20) >= 'a' && (b|0x20) <= 'f' }

// at reads a position that begins at i.
func (f *finder) at(i int) (Reading, bool) {
	c := f.text[i] | 0x20
	if c == 'g' {
		return f.uriAt(i)
	}
	if isLetter(f.text[i]) {
		if r, ok := f.labelledReading(i); ok && i >= f.sentenceTo {
			return r, true
		}
		if c == 'l' || c == 'm' {
			return Reading{}, false
		}
	}
	if !isLetter(f.text[i]) && !f.promising(i) {
		return Reading{}, false
	}
	if p, end, ok := f.sentenceAt(i); ok && p.wrong == "" && f.endsAt(end) && f.sentenceLike(&p) {
		return p.reading(f.text), true
	}
	if i < f.sentenceTo {
		return Reading{}, false
	}
	for _, comma := range []bool{false, true} {
		f.comma = comma
		for _, parts := range []int{1, free, 2, 3} {
			p, end, ok := f.pairAt(i, parts)
			if ok && (parts == 1 || p.explicit()) && f.acceptable(&p, end) {
				f.comma = false
				return f.finish(&p), true
			}
		}
	}
	f.comma = false
	return Reading{}, false
}

// promising looks at the first number and what follows it: most numbers in a
// dialogue are counts and codes, and need no closer look.
func (f *finder) promising(i int) bool {
	f.comma = false
	n, ok := f.numberAt(i)
	if !ok {
		return false
	}
	if n.decimals > 0 || f.inLink(i) {
		return true
	}
	switch c := f.byteAt(n.end); {
	case c == ',': // perhaps a decimal comma
		digits := n.end + 1
		for digits-n.end <= commaDecimals && isDigit(f.byteAt(digits)) {
			digits++
		}
		letter, _ := f.hemisphereAt(n.end + 1)
		return digits-n.end > commaDecimals || letter != 0
	case c == ' ' || c == '\t':
		next := f.byteAt(f.blanks(n.end))
		return isDigit(next) || isLetter(next) || next == '\'' || next >= 0x80
	default: // a mark, a letter, a colon, the sign of ISO 6709
		return isLetter(c) || c >= 0x80 || c == ':' || c == '\'' || c == '+' || c == '-'
	}
}

// explicit says that marks or letters, and not only blanks, tell the parts apart.
func (p *pair) explicit() bool {
	return p.lat.marked && p.lon.marked || p.lat.hemisphere != 0 && p.lon.hemisphere != 0
}

// finish makes the reading, a link's own spelling included.
func (f *finder) finish(p *pair) Reading {
	r := p.reading(f.text)
	if f.inLink(r.At) {
		r.Spelling = WebLink
	}
	return r
}

func (f *finder) uriAt(i int) (Reading, bool) {
	if !hasSchemeGeo(f.text[i:]) {
		return Reading{}, false
	}
	u, err := geoURIAt(f.text[i:])
	if err != nil || !u.WGS84() {
		return Reading{}, false
	}
	r := u.reading(f.text[i:])
	r.At = i
	return r, true
}

func (f *finder) labelledReading(i int) (Reading, bool) {
	for _, comma := range []bool{false, true} {
		f.comma = comma
		p, end, ok := f.labelledAt(i)
		if ok && f.endsAt(end) && (p.wrong == "" || f.swapped(&p)) {
			f.comma = false
			r := f.finish(&p)
			r.Len += r.At - i
			r.At = i
			return r, true
		}
	}
	f.comma = false
	return Reading{}, false
}

// endsAt says that the position is over at end and does not run into a longer number or word.
func (f *finder) endsAt(end int) bool {
	c := f.byteAt(end)
	return !isDigit(c) && !isLetter(c) && c != '_' && !(c == '.' && isDigit(f.byteAt(end+1))) &&
		!(c == ':' && isDigit(f.byteAt(end+1)))
}

// sentenceLike keeps lists such as "10,N,20,E" out: a field of a sentence has
// minutes with decimals, or both whole parts in full width.
func (f *finder) sentenceLike(p *pair) bool {
	lat, lon := p.lat.part[0], p.lon.part[0]
	return lat.decimals > 0 && lon.decimals > 0 || lat.intDigits == 4 && lon.intDigits == 5
}

// swapped says that the pair is in range once its numbers change places.
func (f *finder) swapped(p *pair) bool {
	return p.lat.together == 0 && p.lat.parts == 1 && p.lon.parts == 1 &&
		p.lat.part[0].value <= 180 && p.lon.part[0].value <= 90 && p.lat.part[0].value > 90
}

// acceptable is the judgement described at the constants above.
func (f *finder) acceptable(p *pair, end int) bool {
	if !f.endsAt(end) || strings.ContainsAny(p.gap, "\r\n|") {
		return false
	}
	if p.wrong != "" && !f.swapped(p) {
		return false
	}
	if p.lat.hemisphere != 0 && p.lon.hemisphere != 0 {
		return f.lettersConvince(p)
	}
	if p.lat.marked && p.lon.marked {
		return p.lat.hemisphere == p.lon.hemisphere // both without: signs carry the side
	}
	if p.lat.hemisphere != 0 || p.lon.hemisphere != 0 || p.lat.marked || p.lon.marked {
		return false
	}
	decimals := min(p.lat.part[0].decimals, p.lon.part[0].decimals)
	switch {
	case f.comma && !(p.lat.part[0].comma && p.lon.part[0].comma && decimals >= commaDecimals):
		return false
	case f.comma && p.gap == ",":
		return decimals > commaDecimals && f.byteAt(end) != ','
	case p.lat.together > 0:
		return p.lat.part[0].intDigits == 4 && p.lon.part[0].intDigits == 5 && decimals >= 2
	case p.gap == "":
		return decimals >= pairDecimals // ISO 6709: both signs are there
	case decimals >= spacedDecimals, decimals >= pairDecimals && p.gap != " ":
		return true
	}
	return decimals >= hintedDecimals && f.hinted(p, end) || f.linkKey(p)
}

// lettersConvince: letters N and W at both numbers say much, but "5 E, 3 N" may
// be anything: decimals, marks or the full width must join in, and a letter in
// lower case must touch its number.
func (f *finder) lettersConvince(p *pair) bool {
	for _, a := range []*angle{&p.lat, &p.lon} {
		last := a.part[a.parts-1]
		if last.decimals == 0 && !a.marked && a.together == 0 && a.parts == 1 {
			return false
		}
		before, after := f.text[a.start], f.text[a.end-1]
		if !isLetter(before) && isLetter(after) && after >= 'a' && a.end-last.end > 1 && a.end-last.end < 4 && !a.marked {
			return false
		}
	}
	return true
}

// hints are words that announce a position.
var hints = []string{"pos", "gps", "gnss", "lat", "loc", "coord", "fix", "map", "where", "geo", "here"}

// hinted says that a word before the pair announces it, or that there is nothing else in the text.
func (f *finder) hinted(p *pair, end int) bool {
	start := min(p.lat.start, p.lon.start)
	if strings.TrimSpace(f.text[:min(start, hintBytes)]) == "" && start <= hintBytes &&
		len(f.text)-end <= hintBytes && strings.TrimSpace(f.text[end:]) == "" {
		return true
	}
	if f.inLink(start) {
		return true
	}
	before := f.text[max(0, start-hintBytes):start]
	if cut := strings.LastIndexAny(before, "\r\n"); cut >= 0 {
		before = before[cut:]
	}
	for _, h := range hints {
		if at := indexFold(before, h); at >= 0 && (at == 0 || !isLetter(before[at-1])) {
			return true
		}
	}
	return false
}

// linkKeys are the names of queries that take a pair: whole degrees are enough
// there. Common practice, no source.
var linkKeys = []string{"q", "ll", "loc", "location", "query", "center", "centre", "point", "pos", "position", "coords", "daddr", "at"}

// linkKey says that the pair is the value of such a query, or follows an "@".
func (f *finder) linkKey(p *pair) bool {
	start := min(p.lat.start, p.lon.start)
	if !f.inLink(start) {
		return false
	}
	if f.byteAt(start-1) != '=' {
		return f.byteAt(start-1) == '@'
	}
	key := start - 1
	for key > f.linkFrom && isLetter(f.text[key-1]) {
		key--
	}
	name := f.text[key : start-1]
	for _, k := range linkKeys {
		if strings.EqualFold(k, name) {
			return true
		}
	}
	return false
}

// indexFold is strings.Index for short texts of ASCII letters in either case.
func indexFold(text, word string) int {
	for i := 0; i+len(word) <= len(text); i++ {
		if strings.EqualFold(text[i:i+len(word)], word) {
			return i
		}
	}
	return -1
}
