package sms

import "testing"

// TestPlainer: what comes out costs less and means the same.
func TestPlainer(t *testing.T) {
	for _, c := range []struct {
		text, plain string
		changed     int
		foreign     string
	}{
		{"21 °C – “ok”…", `21  degC - "ok"...`, 5, ""},
		{"Größe: 3 €", "Größe: 3 €", 0, ""}, // all in the default alphabet
		{"façade", "facade", 1, ""},
		{"Привет…", "Привет...", 1, "Привет"},
	} {
		plain, changed, foreign := Plainer(c.text)
		if plain != c.plain || changed != c.changed || string(foreign) != c.foreign {
			t.Errorf("%q: %q %d %q", c.text, plain, changed, string(foreign))
		}
	}
	// Every replacement is itself in the default alphabet (TS 23.038 clause 6.2.1), and
	// nothing is replaced that needs no replacement.
	for r, with := range plainer {
		if septetCost(r) > 0 {
			t.Errorf("%q needs no replacement", r)
		}
		if _, stopped := (Shift{}).AppendSeptets(nil, with); stopped >= 0 {
			t.Errorf("%q is replaced by %q, which is not in the alphabet", r, with)
		}
	}
}
