package message

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"firstfix/internal/earth/geo"
	"firstfix/internal/wire/sms"
)

// TemplateFields are the names that may stand in braces in a template, and what they
// become. Those that are not worked out from the fix are given by the caller.
var TemplateFields = []struct{ Name, Means string }{
	{"lat", "latitude in degrees"},
	{"lon", "longitude in degrees"},
	{"alt", "altitude in metres"},
	{"pos", "latitude and longitude, with a comma"},
	{"geo", "the geo: link"},
	{"web", "the web link of one's own"},
	{"dm", "degrees and minutes"},
	{"time", "when it was measured"},
	{"speed", "with its unit"},
	{"course", "with its unit"},
	{"battery", "with its unit"},
	{"place", "a name for the place"},
	{"accuracy", "how far off it may be, with its unit"},
	{"age", "how old the fix is, with its unit"},
	{"name", "which device it is"},
}

// TemplateError is a place of a template that does not fit.
type TemplateError struct {
	At   int
	Had  string
	Want string
}

func (e *TemplateError) Error() string {
	return fmt.Sprintf("message: template, byte %d: %s: want %s", e.At, e.Had, e.Want)
}

// Fill puts a fix and values into a template: "{name}: {lat},{lon} {time}". A field without a
// value is an error, not an empty place or a 0. "{{" is a brace.
func Fill(template string, f Fix, decimals int, web string, values map[string]string) (text string, used []string, err error) {
	var b strings.Builder
	for i := 0; i < len(template); i++ {
		c := template[i]
		if c != '{' {
			b.WriteByte(c)
			continue
		}
		if i+1 < len(template) && template[i+1] == '{' {
			b.WriteByte('{')
			i++
			continue
		}
		end := strings.IndexByte(template[i:], '}')
		if end < 0 {
			return "", nil, &TemplateError{i, "{ without }", "a field such as {lat}, or {{ for a brace"}
		}
		name := template[i+1 : i+end]
		value, known := f.value(name, decimals, web, values)
		switch {
		case !slices.ContainsFunc(TemplateFields, func(t struct{ Name, Means string }) bool { return t.Name == name }):
			return "", nil, &TemplateError{i, fmt.Sprintf("{%s}", short(name)), "one of " + fieldNames()}
		case !known || value == "":
			return "", nil, &TemplateError{i, fmt.Sprintf("{%s} has no value", name), "a value for it: what is not known is never written as 0"}
		}
		b.WriteString(value)
		if !slices.Contains(used, name) {
			used = append(used, name)
		}
		i += end
	}
	return b.String(), used, nil
}

func fieldNames() string {
	var names []string
	for _, t := range TemplateFields {
		names = append(names, "{"+t.Name+"}")
	}
	return strings.Join(names, " ")
}

// value is what a field becomes.
func (f Fix) value(name string, decimals int, web string, values map[string]string) (string, bool) {
	switch name {
	case "lat":
		return string(geo.AppendDecimal(nil, f.Point.LatDeg, decimals)), true
	case "lon":
		return string(geo.AppendDecimal(nil, f.Point.LonDeg, decimals)), true
	case "pos":
		return geo.FormatDecimal(f.Point, decimals), true
	case "geo":
		return geo.FormatGeoURI(f.Point, decimals), true
	case "dm":
		return geo.FormatDM(f.Point, max(decimals-2, 0), geo.Blanks), true
	case "alt":
		return strconv.FormatFloat(f.AltitudeM, 'f', 0, 64), f.HasAltitude
	case "web":
		t, err := geo.ParseTemplate(web)
		return t.Link(f.Point, decimals), err == nil
	}
	v, ok := values[name]
	return v, ok
}

// fillBoth fills the person's template with the fix and with the longest one there can be.
func fillBoth(template string, f Fix, d *Design, web string, values map[string]string) (*Filled, error) {
	sample, used, err := Fill(template, f, d.Decimals, web, values)
	if err != nil {
		return nil, err
	}
	far := Fix{Point: worst(d.Decimals), AltitudeM: -9999, HasAltitude: f.HasAltitude}
	longest, _, err := Fill(template, far, d.Decimals, web, values)
	if err != nil {
		return nil, err
	}
	a, b := sms.Measure(sample), sms.Measure(longest)
	out := &Filled{Sample: sample, Worst: longest, Parts: a.Parts, WorstParts: b.Parts, Units: a.Units, WorstUnits: b.Units, Room: roomAlone(&a), WorstRoom: roomAlone(&b), Forcers: Forcers(longest), FieldsUsed: used}
	if b.Parts > 1 {
		out.WorstCharactersToSave = b.Units - roomAlone(&b)
		if parts, err := separate(longest, &b); err == nil {
			out.LinksCut = cutLinks(longest, parts)
		}
	}
	return out, nil
}

// cutLinks finds the links that the borders between parts would cut: harmless where the
// telephone joins the parts, and the end of the link where it does not.
func cutLinks(text string, parts []Part) []string {
	var found []string
	for _, at := range aLink.FindAllStringIndex(text, -1) {
		for _, p := range parts {
			if p.To > at[0] && p.To < at[1] {
				found = append(found, text[at[0]:at[1]])
				break
			}
		}
	}
	return found
}
