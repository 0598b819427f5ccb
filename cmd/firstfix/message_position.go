package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"firstfix/internal/earth/geo"
	"firstfix/internal/report"
	"firstfix/internal/script/message"

	"github.com/spf13/cobra"
)

const messagePositionHelp = `
Design the text that tells a position: how many digits the accuracy needs, the ways to
write it, whether the longest that can occur still fits in one part, and what the
recipient's telephone makes of it.

With --template your own text is filled with the fix and with the longest position there
can be. A web link is yours: no map service is built in.`

func messagePositionCommand(s *streams) *cobra.Command {
	var o positionOptions
	var template string
	var asJSON bool
	c := &cobra.Command{
		Use:   "position",
		Short: "design the text that tells a position",
		Long:  exits(messagePositionHelp, exit{statusFound, "the template's longest text takes more than one part"}, exit{statusCannot, "the position, the link or the template does not fit"}),
		Example: `  firstfix message position --fix 51.710217,-0.307367 --accuracy 5
  firstfix message position --fix 51.710217,-0.307367 --web 'https://example.org/?at={lat},{lon}' --template '{name} {web} {time}' --name 'trailer 07' --time 10:15Z`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return runMessagePosition(s, o, template, asJSON) },
	}
	o.flags(c.Flags())
	c.Flags().StringVar(&template, "template", "", "your own text, such as '{name} {geo} {time}'")
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON (docs/formats/message-position.schema.json)")
	return c
}

func runMessagePosition(s *streams, o positionOptions, template string, asJSON bool) error {
	if o.fix == "" {
		return &stop{Status: statusCannot, Err: errors.New("no position was given"), Hints: []string{"--fix 51.710217,-0.307367 is an example; your own place gives the right steps"}}
	}
	fix, err := message.ParseFix(o.fix)
	if err != nil {
		return &stop{Status: statusCannot, Err: err}
	}
	values, err := o.given()
	if err != nil {
		return err
	}
	d, err := message.DesignPosition(fix, o.accuracy, o.web, template, values)
	if err != nil {
		return cannotWrite(err)
	}
	if asJSON {
		err = writeJSON(s.Out, designJSON(d))
	} else {
		showDesign(s.Out, d)
	}
	if err == nil && d.Template != nil && d.Template.WorstParts > 1 {
		return &stop{Status: statusFound}
	}
	return err
}

func showDesign(out io.Writer, d *message.Design) {
	fmt.Fprintf(out, "For %s: %s of a degree, or %s of a minute.\n\n", geo.FormatMetres(d.AccuracyM), plural(d.Decimals, "decimal"), plural(d.Minutes, "decimal"))
	fmt.Fprintln(out, "  decimals  a step north  a step east   longest lat,lon")
	for _, st := range d.Steps {
		mark := ""
		if st.Decimals == d.Decimals {
			mark = "  enough"
		}
		fmt.Fprintf(out, "  %8d  %s  %s  %d characters%s\n", st.Decimals, padded(stepWords(st.StepLatM), 12), padded(stepWords(st.StepLonM), 12), st.WorstCharacters, mark)
	}
	fmt.Fprintln(out, "\nWays to write it:")
	for _, f := range d.Forms {
		fits := "fits in one part"
		if !f.Fits {
			fits = "does not fit in one part"
		}
		fmt.Fprintf(out, "\n  %s\n    %s\n", f.Name, report.Visible(f.Sample))
		hanging(out, "    longest  ", fmt.Sprintf("%s: %d of %d places, %s", report.Visible(f.Worst), f.Units, f.Room, fits))
		hanging(out, "    seen as  ", sourced(f.Recognised, f.Source))
		for _, p := range f.Problems {
			hanging(out, "    careful  ", p)
		}
	}
	if t := d.Template; t != nil {
		fmt.Fprintf(out, "\nYour text, %s:\n  %s\n", plural(t.Parts, "part"), report.Visible(t.Sample))
		fmt.Fprintf(out, "The longest it can get, %s (%d of %d places):\n  %s\n", plural(t.WorstParts, "part"), t.WorstUnits, t.WorstRoom, report.Visible(t.Worst))
		if t.WorstCharactersToSave > 0 {
			fmt.Fprintf(out, "  %d places less, and it is always one part.\n", t.WorstCharactersToSave)
		}
		for _, l := range t.LinksCut {
			hanging(out, "  careful: ", "where the parts are not joined, this link is cut: "+report.Visible(l))
		}
		showForcers(out, t.Forcers)
	}
	fmt.Fprintln(out)
	for _, n := range d.Notes {
		hanging(out, "  note: ", sourced(n.Text, n.Clause))
	}
}

// stepWords writes a step on the ground, also one of centimetres.
func stepWords(m float64) string {
	if m < 1 {
		return fmt.Sprintf("%.2g cm", m*100)
	}
	return geo.FormatMetres(m)
}

type stepJSON struct {
	Decimals        int     `json:"decimals"`
	StepLatM        float64 `json:"stepLatM"`
	StepLonM        float64 `json:"stepLonM"`
	WorstCharacters int     `json:"worstCharacters"`
	Enough          bool    `json:"enough"`
}

type formJSON struct {
	Name       string   `json:"name"`
	Sample     string   `json:"sample"`
	Worst      string   `json:"worst"`
	Units      int      `json:"units"`
	Room       int      `json:"room"`
	Fits       bool     `json:"fits"`
	StepM      float64  `json:"stepM"`
	Recognised string   `json:"recognised"`
	Source     string   `json:"source"`
	Problems   []string `json:"problems"`
}

type filledJSON struct {
	Sample     string   `json:"sample"`
	Worst      string   `json:"worst"`
	Parts      int      `json:"parts"`
	WorstParts int      `json:"worstParts"`
	WorstUnits int      `json:"worstUnits"`
	Room       int      `json:"room"`
	LinksCut   []string `json:"linksCut"`
	Forcers    string   `json:"forcers"`
}

type designShape struct {
	Version   int         `json:"version"`
	AccuracyM float64     `json:"accuracyM"`
	Decimals  int         `json:"decimals"`
	Minutes   int         `json:"minuteDecimals"`
	Steps     []stepJSON  `json:"steps"`
	Forms     []formJSON  `json:"forms"`
	Template  *filledJSON `json:"template"`
	Notes     []noteJSON  `json:"notes"`
}

func designJSON(d *message.Design) designShape {
	out := designShape{Version: 1, AccuracyM: d.AccuracyM, Decimals: d.Decimals, Minutes: d.Minutes, Notes: notesJSON(d.Notes)}
	for _, s := range d.Steps {
		out.Steps = append(out.Steps, stepJSON(s))
	}
	for _, f := range d.Forms {
		f.Problems = append([]string{}, f.Problems...)
		out.Forms = append(out.Forms, formJSON(f))
	}
	if t := d.Template; t != nil {
		var forcers strings.Builder
		for _, f := range t.Forcers {
			forcers.WriteRune(f.Rune)
		}
		out.Template = &filledJSON{t.Sample, t.Worst, t.Parts, t.WorstParts, t.WorstUnits, t.WorstRoom, append([]string{}, t.LinksCut...), forcers.String()}
	}
	return out
}
