package trackfile

import (
	"bytes"
	"testing"

	"firstfix/internal/earth/track"
)

// hold checks what must be true of every reader's output, whatever goes in: a point is a
// place on earth, or there is none; a sighting that is odd has no place; and what is
// written of it can be read back, equal.
func hold(t *testing.T, src track.Source, err error) {
	if err != nil {
		return
	}
	var list []track.Sighting
	for range 10_000 {
		var s track.Sighting
		if err := src.Next(&s); err != nil {
			break
		}
		p, ok := s.Point.Get()
		if ok && !p.Valid() || ok && s.Odd != "" {
			t.Fatalf("%+v", s)
		}
		if s.Valid == (s.Void != "") {
			t.Fatalf("valid %v, void %q", s.Valid, s.Void)
		}
		list = append(list, s)
	}
	src.About()
	var kept []track.Judged
	for _, s := range list {
		if s.Point.IsKnown() {
			kept = append(kept, track.Judged{Sighting: s})
		}
	}
	for _, f := range Formats {
		text := write(t, f, kept)
		again, err := open[f.Name](bytes.NewReader(text))
		if err != nil {
			if len(kept) == 0 {
				continue
			}
			t.Fatalf("%s: %v\n%s", f.Name, err, text)
		}
		got, err := readAll(again)
		if err != nil || len(got) != len(kept) {
			t.Fatalf("%s: %d of %d: %v\n%s", f.Name, len(got), len(kept), err, text)
		}
	}
}

func FuzzGPX(f *testing.F) {
	for _, c := range gpxCases {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) { hold(t, NewGPX(bytes.NewReader([]byte(text)), "f"), nil) })
}

func FuzzKML(f *testing.F) {
	for _, c := range kmlCases {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) { hold(t, NewKML(bytes.NewReader([]byte(text)), "f"), nil) })
}

func FuzzGeoJSON(f *testing.F) {
	for _, c := range geoJSONCases {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) { hold(t, NewGeoJSON(bytes.NewReader([]byte(text)), "f"), nil) })
}

func FuzzTable(f *testing.F) {
	for _, c := range tableCases {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		src, err := NewTable(bytes.NewReader([]byte(text)), "f", TableOptions{})
		hold(t, src, err)
	})
}

func FuzzFences(f *testing.F) {
	f.Add(`{"type":"Feature","properties":{"name":"yard","radius_m":150},"geometry":{"type":"Point","coordinates":[-0.3074,51.7102]}}`)
	f.Add(`{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1],[0,0]]]]}`)
	f.Fuzz(func(t *testing.T, text string) {
		fences, err := ReadFences(bytes.NewReader([]byte(text)), "f")
		if err != nil {
			return
		}
		g, err := track.NewGuard(fences, track.UsualHysteresis)
		if err != nil {
			return
		}
		var j track.Judged
		j.Point = knownPoint(51.7, -0.3)
		g.Add(&j, nil)
	})
}
