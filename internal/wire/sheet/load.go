package sheet

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"firstfix/internal/wire/at"
	"firstfix/internal/yamlfile"
)

// Load reads a sheet. The error holds a [*yamlfile.Problem] for each place that does not fit.
func Load(name string, src []byte) (*Sheet, error) {
	s := &Sheet{}
	f := yamlfile.Decode(name, src, s)
	if f.Err() == nil {
		s.check(f)
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	return s, nil
}

// check looks at what the keys and kinds cannot say.
func (s *Sheet) check(f *yamlfile.File) {
	if s.Name == "" || strings.ContainsFunc(s.Name, notNameRune) {
		f.Add("sheet", strconv.Quote(s.Name), "a name of small letters, digits and hyphens", "")
	}
	if !slices.Contains([]string{"", "cr", "crlf"}, s.LineEnd) {
		f.Add("line_end", strconv.Quote(s.LineEnd), "cr or crlf", "")
	}
	s.checkSupply(f)
	for i, b := range s.Banners {
		path := fmt.Sprintf("banners[%d]", i)
		if b.Text == "" {
			f.Add(path, "a banner without text", "the line as the module says it", "")
		}
		checkWord(f, path+".means", string(b.Means), meanings)
	}
	for _, name := range sortedKeys(s.MaxWaitMS) {
		if ms := s.MaxWaitMS[name]; ms <= 0 {
			f.Add("max_wait_ms."+name, strconv.Itoa(ms), "milliseconds above 0", "")
		}
	}
	for _, name := range sortedKeys(s.Duties) {
		checkDuty(f, name, s.Duties[name])
	}
}

func (s *Sheet) checkSupply(f *yamlfile.File) {
	low, lowKnown := s.Supply.MinV.Get()
	high, highKnown := s.Supply.MaxV.Get()
	if lowKnown && low <= 0 {
		f.Add("supply.min_v", fmt.Sprint(low), "volts above 0", "")
	}
	if lowKnown && highKnown && high <= low {
		f.Add("supply.max_v", fmt.Sprint(high), fmt.Sprintf("more than min_v, %g", low), "")
	}
	for i, c := range s.Supply.Currents {
		if c.State == "" {
			f.Add(fmt.Sprintf("supply.currents[%d]", i), "a current without state", "state: idle, or another word", "")
		}
	}
}

func checkDuty(f *yamlfile.File, name string, d Duty) {
	path := "duties." + name
	if !slices.Contains(dutyNames, name) {
		f.Add(path, fmt.Sprintf("unknown duty %q", name), "one of "+strings.Join(dutyNames, ", "), yamlfile.Nearest(name, dutyNames))
		return
	}
	switch l := at.ParseLine(d.Send); {
	case d.Send == "":
		f.Add(path, "a duty without send", "send: with a command line", "")
	case strings.ContainsFunc(d.Send, func(r rune) bool { return r < ' ' || r > '~' }):
		f.Add(path+".send", strconv.Quote(d.Send), "printable ASCII without a line end", "")
	case l.Err != nil:
		f.Add(path+".send", l.Err.Error(), "a command line", "")
	}
	if ms, known := d.MaxWaitMS.Get(); known && ms <= 0 {
		f.Add(path+".max_wait_ms", strconv.Itoa(ms), "milliseconds above 0", "")
	}
	checkAnswer(f, path+".answer", d.Answer)
}

func checkAnswer(f *yamlfile.File, path string, a Answer) {
	checkWord(f, path+".shape", string(a.Shape), append([]string{""}, shapes...))
	if a.Prefix != "" && (a.Prefix[0] != '+' || strings.ContainsAny(a.Prefix, " :,")) {
		f.Add(path+".prefix", strconv.Quote(a.Prefix), "a name as +DEMOPOS, without colon", "")
	}
	if (a.Shape == Fields) != (len(a.Fields) > 0) {
		f.Add(path, fmt.Sprintf("shape %q with %d fields", a.Shape, len(a.Fields)), "shape: fields together with a list of fields", "")
	}
	if a.Shape == Fields && a.Prefix == "" {
		f.Add(path, "fields without prefix", "prefix: the answer's name", "")
	}
	for i, x := range a.Fields {
		checkWord(f, fmt.Sprintf("%s.fields[%d].name", path, i), x.Name, FieldNames())
	}
}

func checkWord(f *yamlfile.File, path, word string, words []string) {
	if !slices.Contains(words, word) {
		shown := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "" })
		f.Add(path, strconv.Quote(word), "one of "+strings.Join(shown, ", "), yamlfile.Nearest(word, shown))
	}
}

func notNameRune(r rune) bool {
	return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-')
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
