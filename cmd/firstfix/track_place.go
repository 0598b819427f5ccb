package main

import (
	"errors"
	"fmt"
	"io"

	"firstfix/internal/earth/desk"
	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
	"firstfix/internal/report"

	"github.com/spf13/cobra"
)

const trackPlaceHelp = `
Take one coordinate apart: the place in every spelling, what its last digit is worth, and what
else its writer may have meant, with the error in metres.

Any spelling is read: decimal degrees, degrees and minutes, seconds, sentence fields, a geo:
URI, a web link, UTM, MGRS. With --near, about where it should be, the likely mistake is
found; with the true place there, to its last digit.

Each argument is one coordinate. Without arguments lines are read from standard input.`

// placeOutcome is one coordinate taken apart, as data.
type placeOutcome struct {
	Text      string               `json:"text"`
	Reads     string               `json:"reads"` // the spelling; "" when it is none
	LatDeg    maybe.Value[float64] `json:"lat_deg"`
	LonDeg    maybe.Value[float64] `json:"lon_deg"`
	Problem   string               `json:"problem"`
	Notes     []string             `json:"notes"`
	Spellings []desk.Spelling      `json:"spellings"`
	Worth     *desk.Worth          `json:"worth"`
	Doubts    []desk.Doubt         `json:"doubts"`
	NearM     maybe.Value[float64] `json:"near_m"`
	Mistakes  []placeMistake       `json:"mistakes"` // against the place of --near, to the last digit
}

type placeMistake struct {
	Kinds  []geo.Kind           `json:"kinds"`
	Exact  bool                 `json:"exact"`
	ErrorM maybe.Value[float64] `json:"error_m"`
	Says   string               `json:"says"`
}

func trackPlaceCommand(s *streams) *cobra.Command {
	var near string
	var asJSON bool
	c := &cobra.Command{
		Use:   "place [COORDINATE...]",
		Short: "one coordinate in every spelling, and what it may have meant",
		Long: exits(trackPlaceHelp, exit{statusFound, "a coordinate is no place on earth, or something else was likely meant"},
			exit{statusCannot, "a text is no coordinate"}),
		Example: `  firstfix track place '51 42.6130N 0 18.4420W'
  firstfix track place 51.426130,-0.184420 --near 51.71,-0.31
  firstfix track place 30UXC8602632240`,
		RunE: func(_ *cobra.Command, texts []string) error { return runTrackPlace(s, texts, near, asJSON) },
	}
	c.Flags().StringVar(&near, "near", "", "about where it should be, or the true place, in any spelling")
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON (docs/formats/track-place.schema.json)")
	return c
}

func runTrackPlace(s *streams, texts []string, near string, asJSON bool) error {
	var want maybe.Value[geo.Point]
	if near != "" {
		r, err := geo.Parse(near)
		if err != nil || !r.Point.Valid() {
			return cannot(fmt.Errorf("--near %q is no place on earth", near))
		}
		want = maybe.Known(r.Point)
	}
	if len(texts) == 0 {
		var err error
		if texts, err = linesOf(s.In); err != nil {
			return cannot(err)
		}
	}
	if len(texts) == 0 {
		return cannot(errors.New("no coordinate was given"), "firstfix track place 51.7102,-0.3074")
	}
	var all []placeOutcome
	found, unread := false, false
	for _, text := range texts {
		o := takeApart(text, want)
		found = found || !o.LatDeg.IsKnown() || o.suspicious()
		unread = unread || o.Reads == ""
		all = append(all, o)
	}
	if asJSON {
		if err := writeJSON(s.Out, all); err != nil {
			return err
		}
	} else {
		for i := range all {
			if i > 0 {
				fmt.Fprintln(s.Out)
			}
			all[i].show(s.Out)
		}
	}
	switch {
	case unread:
		return &stop{Status: statusCannot}
	case found:
		return &stop{Status: statusFound}
	}
	return nil
}

// suspicious: something else was certainly or likely meant.
func (o *placeOutcome) suspicious() bool {
	for i := range o.Doubts {
		if o.Doubts[i].Certain || o.Doubts[i].Likely {
			return true
		}
	}
	return len(o.Mistakes) > 0
}

func takeApart(text string, near maybe.Value[geo.Point]) placeOutcome {
	o := placeOutcome{Text: text, Notes: []string{}, Spellings: []desk.Spelling{}, Doubts: []desk.Doubt{}, Mistakes: []placeMistake{}}
	r, err := geo.Parse(text)
	if err != nil {
		o.Problem = err.Error()
		if found := geo.FindAll(text, 1); len(found) > 0 {
			r, o.Problem = found[0], ""
			o.Notes = append(o.Notes, "the first position in the text was taken: "+text[r.At:r.At+r.Len])
		} else if r.LatText == "" {
			return o
		}
	}
	o.Reads = r.Spelling
	o.Notes = append(o.Notes, r.Notes...)
	o.Doubts = append(o.Doubts, desk.Doubts(r, near)...)
	if !r.Point.Valid() {
		o.Problem = "latitude goes to 90 and longitude to 180 degrees: this is no place on earth"
		return o
	}
	o.LatDeg, o.LonDeg = maybe.Known(r.Point.LatDeg), maybe.Known(r.Point.LonDeg)
	step := 0.0
	if w, ok := desk.WorthOf(r); ok {
		o.Worth, step = &w, w.LatM
	}
	o.Spellings = append(o.Spellings, desk.Spellings(r.Point, step)...)
	if want, ok := near.Get(); ok {
		o.NearM = maybe.Known(geo.DistanceM(want, r.Point))
		for _, m := range geo.Mistakes(r.LatText, r.LonText, want) {
			mistake := placeMistake{Kinds: m.Kinds, Exact: m.Exact, Says: m.Explanation}
			if m.ErrorKnown {
				mistake.ErrorM = maybe.Known(m.ErrorM)
			}
			o.Mistakes = append(o.Mistakes, mistake)
		}
	}
	return o
}

// show writes the outcome for a person.
func (o *placeOutcome) show(w io.Writer) {
	fmt.Fprintln(w, report.Visible(o.Text))
	if o.Reads == "" {
		hanging(w, "  ", "no coordinate: "+o.Problem)
		return
	}
	fmt.Fprintf(w, "  read as %s\n", o.Reads)
	if o.Problem != "" {
		hanging(w, "  wrong: ", o.Problem)
	}
	for _, n := range o.Notes {
		hanging(w, "  note:  ", n)
	}
	for _, s := range o.Spellings {
		text := s.Text
		if text == "" {
			text = "none: " + s.Says
		}
		fmt.Fprintf(w, "    %s  %s\n", padded(s.Name, 24), text)
	}
	if o.Worth != nil {
		hanging(w, "  digits: ", o.Worth.Says)
	}
	if m, ok := o.NearM.Get(); ok {
		fmt.Fprintf(w, "  as written it is %s from where it should be\n", geo.FormatMetres(m))
	}
	for _, m := range o.Mistakes {
		hanging(w, "  mistake: ", m.Says)
	}
	for i := range o.Doubts {
		d := &o.Doubts[i]
		word := "  perhaps: "
		switch {
		case d.Likely:
			word = "  likely:  "
		case d.Certain:
			word = "  meant?   "
		}
		text := d.Says
		if m, ok := d.NearM.Get(); ok {
			text += "; that is " + geo.FormatMetres(m) + " from where it should be"
		}
		hanging(w, word, text)
	}
}
