package bringup

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"firstfix/internal/judge/verdict"
	"firstfix/internal/yamlfile"
)

// Observation is what a person saw or measured, by the name of the measurement and of the answer.
type Observation struct{ Name, Answer string }

// measurement is one thing a person can do or look at. It has two answers or more.
type measurement struct {
	verdict.Measurement
	answers []answer
	// number reads a figure as an answer's index, where a person may give one.
	number func(f float64) int
	unit   string
	// told says that the dialogue tells it already: then it is neither asked nor counted twice.
	told func(f *Facts) bool
}

// answer is one outcome of a measurement, and how often it comes when no listed cause
// that names the measurement is true (our estimate).
type answer struct {
	verdict.Answer
	base float64
}

func (m *measurement) toldBy(f *Facts) bool { return m.told != nil && m.told(f) }

func (m *measurement) answerNamed(name string) int {
	return slices.IndexFunc(m.answers, func(a answer) bool { return a.Name == name })
}

func measurementNamed(name string) *measurement {
	for _, m := range measurements {
		if m.Name == name {
			return m
		}
	}
	return nil
}

// Measurements lists everything that a person can be asked for, in the order of the chain.
func Measurements() []verdict.Measurement {
	all := make([]verdict.Measurement, len(measurements))
	for i, m := range measurements {
		all[i] = m.Measurement
	}
	return all
}

// An UnknownObservation says that no measurement or no answer has such a name.
type UnknownObservation struct {
	Was     string   // what was given
	Want    []string // the names that would have fitted
	Nearest string
}

func (e *UnknownObservation) Error() string {
	if e.Nearest != "" {
		return fmt.Sprintf("%q is not known; the nearest is %q", e.Was, e.Nearest)
	}
	return fmt.Sprintf("%q is not known: want one of %s", e.Was, strings.Join(e.Want, ", "))
}

// Observe reads what a person saw: the name of a measurement, and an answer of it or, where
// it has one, a figure ("3.21", "3.21 V").
func Observe(name, said string) (Observation, error) {
	name, said = strings.TrimSpace(name), strings.TrimSpace(said)
	m := measurementNamed(name)
	if m == nil {
		var names []string
		for _, m := range measurements {
			names = append(names, m.Name)
		}
		return Observation{}, &UnknownObservation{name, names, yamlfile.Nearest(name, names)}
	}
	if m.answerNamed(said) >= 0 {
		return Observation{name, said}, nil
	}
	if m.number != nil {
		figure := strings.TrimSpace(strings.TrimSuffix(said, m.unit))
		if x, err := strconv.ParseFloat(figure, 64); err == nil {
			return Observation{name, m.answers[m.number(x)].Name}, nil
		}
	}
	var names []string
	for _, a := range m.answers {
		names = append(names, a.Name)
	}
	if m.number != nil {
		names = append(names, "a figure in "+m.unit)
	}
	return Observation{}, &UnknownObservation{name + "=" + said, names, yamlfile.Nearest(said, names)}
}

// ReadObservations reads a file of observations, docs/formats/observations.md.
func ReadObservations(name string, src []byte) ([]Observation, error) {
	var file struct {
		Saw   map[string]string `yaml:"saw"`
		Notes string            `yaml:"notes"`
	}
	f := yamlfile.Decode(name, src, &file)
	var all []Observation
	for _, m := range measurements { // in our order: a map has none
		said, ok := file.Saw[m.Name]
		if !ok {
			continue
		}
		delete(file.Saw, m.Name)
		o, err := Observe(m.Name, said)
		if err != nil {
			f.Fail("saw."+m.Name, err.Error())
			continue
		}
		all = append(all, o)
	}
	var unknown []string
	for key := range file.Saw {
		unknown = append(unknown, key)
	}
	slices.Sort(unknown)
	for _, key := range unknown {
		_, err := Observe(key, "")
		f.Fail("saw."+key, err.Error())
	}
	return all, f.Err()
}

// observations are what a person saw, as a report has it.
func (f *Facts) observations() []verdict.Observation {
	out := []verdict.Observation{}
	for _, o := range f.Saw {
		if m := measurementNamed(o.Name); m != nil {
			if i := m.answerNamed(o.Answer); i >= 0 {
				out = append(out, verdict.Observation{Name: o.Name, Answer: o.Answer, Means: m.answers[i].Means})
			}
		}
	}
	return out
}
