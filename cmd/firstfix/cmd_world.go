package main

import (
	"fmt"
	"io"

	"firstfix/internal/virtual/world"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"
)

// worldCommand shows the stand-in's worlds: `firstfix world list`, `firstfix world show NAME`.
func worldCommand(s *streams) *cobra.Command {
	return group("world", "show the worlds the stand-in can live in",
		"A world says what the stand-in lives through: place, sky, coverage, supply, card and\nfaults. Each states the fault that was planted, so that a verdict can be compared with it.",
		worldListCommand(s), worldShowCommand(s))
}

// worldJSON is docs/formats/world-list.schema.json.
type worldJSON struct {
	Name  string `json:"world"`
	Title string `json:"title"`
	Truth string `json:"truth"`
	Story string `json:"story"`
}

func worldListCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "list",
		Short: "list the built-in worlds and the fault planted in each",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			all := []worldJSON{}
			for _, e := range world.Builtin() {
				w := e.World()
				all = append(all, worldJSON{w.Name, w.Title, w.Truth, w.Story})
			}
			if asJSON {
				return writeJSON(s.Out, all)
			}
			for _, w := range all {
				fmt.Fprintf(s.Out, "%-20s %-22s %s\n", w.Name, w.Truth, w.Title)
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON (docs/formats/world-list.schema.json)")
	return c
}

func worldShowCommand(s *streams) *cobra.Command {
	var source bool
	c := &cobra.Command{
		Use:   "show NAME|FILE",
		Short: "say what a world holds and what goes wrong in it, when",
		Long: exits("Say what a world holds and what goes wrong in it, when. Everything in it is simulated.",
			exit{statusCannot, "there is no such world, or the file is wrong: each mistake with line and column"}),
		Example: "  firstfix world show antennas-swapped\n  firstfix world show antennas-swapped --source > my-world.yaml",
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			w, err := loadWorld(args[0])
			if err != nil {
				return err
			}
			if source {
				return writeWorldSource(s.Out, args[0])
			}
			showWorld(s.Out, w)
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return worldNames(), cobra.ShellCompDirectiveDefault
		},
	}
	c.Flags().BoolVar(&source, "source", false, "write a built-in world's file, to start your own from")
	return c
}

func writeWorldSource(w io.Writer, name string) error {
	for _, e := range world.Builtin() {
		if e.Name == name {
			_, err := w.Write(e.Source)
			return err
		}
	}
	return &stop{Status: statusCannot, Err: fmt.Errorf("%s is not a built-in world; its source is the file itself", name)}
}

func showWorld(out io.Writer, w *world.World) {
	c := w.Conditions
	fmt.Fprintf(out, "%s: %s\n\n%s\n", w.Name, w.Title, ansi.Wordwrap(w.Story, 90, ""))
	rows := []struct{ name, says string }{
		{"planted", w.Truth},
		{"begins", w.Start.Format("2006-01-02 15:04:05 MST") + fmt.Sprintf(", seed %d", w.Seed)},
		{"place", fmt.Sprintf("%s (%.4f, %.4f), %.0f m", c.Place.Name, c.Place.LatDeg, c.Place.LonDeg, c.Place.AltitudeM)},
		{"sky", fmt.Sprintf("%s, mask %.0f degrees; GNSS antenna %s, engine %s", c.Sky.View, c.Sky.MaskDeg, c.AntennaGNSS, c.GNSS.Engine)},
		{"network", fmt.Sprintf("%.0f dBm, %s after %.0f s, %s; cellular antenna %s", c.Coverage.RSSIdBm, c.Coverage.Registration, c.Coverage.RegisterAfterS, c.Coverage.Access, c.AntennaCellular)},
		{"card", cardSays(c.Card)},
		{"centre", fmt.Sprintf("service centre %q, a text takes about %.0f s", c.ServiceCentre.Number, c.ServiceCentre.DelayS)},
		{"supply", fmt.Sprintf("%.2f V behind %.0f mΩ, bursts of %.1f A, restarts below %.2f V at the pins", c.Supply.VoltageV, c.Supply.SourceOhm*1000, c.Supply.BurstA, c.Supply.RestartBelowV)},
		{"line", lineSays(c.Line)},
	}
	fmt.Fprintln(out)
	for _, r := range rows {
		fmt.Fprintf(out, "  %-9s %s\n", r.name, r.says)
	}
	if len(w.Faults) == 0 {
		fmt.Fprintln(out, "\nNothing goes wrong.")
		return
	}
	fmt.Fprintln(out, "\nWhat goes wrong:")
	for _, f := range w.Faults {
		title := f.Fault
		if known, ok := world.FaultNamed(f.Fault); ok {
			title = known.Title
		}
		fmt.Fprintf(out, "  %-28s %s\n", whenFault(f), title)
	}
}

func cardSays(c world.Card) string {
	if !c.Present {
		return "none"
	}
	says := fmt.Sprintf("present, %d of %d message places used", c.Store.Used, c.Store.Size)
	if c.PIN != "" {
		says += fmt.Sprintf(", asks a PIN, %d tries left", c.TriesLeft)
	}
	return says
}

func lineSays(l world.Line) string {
	if l.Baud == 0 {
		return "finds the speed itself"
	}
	return fmt.Sprintf("%d baud", l.Baud)
}

func whenFault(f world.Scheduled) string {
	switch {
	case f.EveryS > 0:
		return fmt.Sprintf("from %.0f s, every %.0f s for %.0f s", f.AtS, f.EveryS, f.ForS)
	case f.UntilS > 0:
		return fmt.Sprintf("from %.0f s to %.0f s", f.AtS, f.UntilS)
	case f.AtS > 0:
		return fmt.Sprintf("from %.0f s on", f.AtS)
	}
	return "from the start"
}
