package procedure

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sheet"
)

// missed says in words that an until was not reached.
func (u *Until) missed() string {
	if u.Fix {
		return "the answer holds no valid position"
	}
	return fmt.Sprintf("%s value %d is not %s", u.Answer, u.Param, strings.Join(u.OneOf, " or "))
}

// position reads the last position of the answer as the sheet spells it.
func (m *Machine) position() (sheet.Position, bool) {
	if m.options.Sheet == nil {
		return sheet.Position{}, false
	}
	for _, line := range slices.Backward(m.current.Info) {
		a, ok := at.ParseAnswer(line)
		if !ok {
			continue
		}
		// A field that could not be read is not known; the others still count.
		p, _ := m.options.Sheet.ReadPosition(a)
		if p.LatDeg.IsKnown() && p.LonDeg.IsKnown() {
			return p, true
		}
	}
	return sheet.Position{}, false
}

// hasFix: latitude and longitude are there, and the module does not call them void.
func (m *Machine) hasFix() bool {
	p, ok := m.position()
	return ok && p.Valid.Or(true)
}

// field returns a field of the answer to a duty: the module's own digits where
// the sheet has a field of that name, else decimal degrees worked out from the
// fields it has. Seven decimals are 1 cm, finer than any fix.
func (m *Machine) field(duty, name string) (string, bool) {
	if m.options.Sheet == nil || duty == sheet.PositionRead && !m.hasFix() {
		return "", false // a void position is no position, whatever digits stand there
	}
	d, _ := m.options.Sheet.Duty(duty)
	for i, f := range d.Answer.Fields {
		if f.Name == name {
			v, ok := m.value(d.Answer.Prefix, i+1)
			return v, ok && v != ""
		}
	}
	p, ok := m.position()
	switch {
	case ok && name == "lat_deg":
		return degrees(p.LatDeg.Or(0)), true
	case ok && name == "lon_deg":
		return degrees(p.LonDeg.Or(0)), true
	}
	return "", false
}

func degrees(v float64) string { return strconv.FormatFloat(v, 'f', 7, 64) }
