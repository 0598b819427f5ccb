// Package sheet says how one module spells the duties the standards leave to vendors.
//
// # What it promises
//
// A [Sheet] is read from YAML (docs/formats/sheet.md). An unknown key is an
// error with file, line, column and the nearest known key; all mistakes of a
// file are told at once. Two sheets are built in: "standard" holds what 3GPP
// TS 27.007 offers, "demo" an invented module with invented commands.
//
// # What it leaves to others
//
// It spells; it sends nothing. Holding a duty's exchange is the work of
// script/procedure, judging its answer that of judge/bringup.
//
// # Where to start
//
// Read [Sheet] and demo.yaml, then [Sheet.ReadPosition].
package sheet

import (
	"embed"
	"slices"
	"strings"

	"firstfix/internal/maybe"
)

// Sheet is what one module's manual says about the things the standards leave open.
type Sheet struct {
	Name    string  `yaml:"sheet"`   // short, small letters: "demo"
	Title   string  `yaml:"title"`   // for people
	Version string  `yaml:"version"` // of the sheet, or of the manual it was made from
	Source  string  `yaml:"source"`  // where its facts come from: a manual, a live module, "invented"
	Notes   string  `yaml:"notes"`
	Supply  Supply  `yaml:"supply"`
	Banners Banners `yaml:"banners"`
	LineEnd string  `yaml:"line_end"` // "cr" (the default) or "crlf"
	// MaxWaitMS is how long a command may take, by its name: {"+DEMOGNSS": 2000}.
	// It overrides what the standards or common practice give.
	MaxWaitMS map[string]int  `yaml:"max_wait_ms"`
	Duties    map[string]Duty `yaml:"duties"`
}

// Supply is what the module needs at its supply pins.
type Supply struct {
	MinV     maybe.Value[float64] `yaml:"min_v"`
	NominalV maybe.Value[float64] `yaml:"nominal_v"`
	MaxV     maybe.Value[float64] `yaml:"max_v"`
	Currents []Current            `yaml:"currents"`
}

// Current is what the module draws in one state.
type Current struct {
	State  string               `yaml:"state"` // "idle", "transmit burst", "position engine on"…
	MeanMA maybe.Value[float64] `yaml:"mean_ma"`
	PeakMA maybe.Value[float64] `yaml:"peak_ma"`
}

// Meaning says what a banner tells.
type Meaning string

// What a module may say unasked about itself.
const (
	Ready        Meaning = "ready"        // it has started and listens
	Undervoltage Meaning = "undervoltage" // its supply is too low
	Overvoltage  Meaning = "overvoltage"
	PowerDown    Meaning = "power-down" // it is switching itself off
	CardReady    Meaning = "card-ready"
)

var meanings = []string{string(Ready), string(Undervoltage), string(Overvoltage), string(PowerDown), string(CardReady)}

// Banner is a line the module says unasked about itself.
type Banner struct {
	Text  string  `yaml:"text"` // the whole line
	Means Meaning `yaml:"means"`
}

// Banners are the banners of a sheet, in its order.
type Banners []Banner

// Find returns what a line means, if it is one of the banners.
func (b Banners) Find(line string) (Meaning, bool) {
	line = strings.TrimSpace(line)
	for _, x := range b {
		if x.Text == line {
			return x.Means, true
		}
	}
	return "", false
}

// Shape is how the answer to a duty looks.
type Shape string

// The shapes of an answer.
const (
	None      Shape = "none"      // only the final result
	Sentences Shape = "sentences" // GNSS sentences follow, bare or quoted after Answer.Prefix
	Fields    Shape = "fields"    // one line "Prefix: a,b,c" of Answer.Fields
	XML       Shape = "xml"       // lines of XML after Answer.Prefix; passed on unread
)

var shapes = []string{string(None), string(Sentences), string(Fields), string(XML)}

// Duty is one thing the module can be told to do.
type Duty struct {
	Send      string           `yaml:"send"` // the command line, without its end
	MaxWaitMS maybe.Value[int] `yaml:"max_wait_ms"`
	Answer    Answer           `yaml:"answer"`
	Cites     string           `yaml:"cites"` // clause or page
	Notes     string           `yaml:"notes"`
}

// Answer is the shape of a duty's answer.
type Answer struct {
	Shape  Shape   `yaml:"shape"`
	Prefix string  `yaml:"prefix"` // "+DEMOPOS"
	Fields []Field `yaml:"fields"`
}

// Field is one comma-separated value of an answer. Its name says its unit, see
// the table in position.go.
type Field struct {
	Name    string `yaml:"name"`
	Meaning string `yaml:"meaning"`
}

// Duties a sheet may spell, in the order they are shown.
const (
	PositionOn          = "position.on"
	PositionOff         = "position.off"
	PositionState       = "position.state"
	PositionRead        = "position.read"
	PositionStream      = "position.stream"
	PositionStreamOff   = "position.stream-off"
	PositionRestartCold = "position.restart-cold"
	PositionRestartWarm = "position.restart-warm"
	PositionRestartHot  = "position.restart-hot"
	SleepOn             = "sleep.on"
	SleepOff            = "sleep.off"
	PowerOff            = "power.off"
)

var dutyNames = []string{
	PositionOn, PositionOff, PositionState, PositionRead, PositionStream, PositionStreamOff,
	PositionRestartCold, PositionRestartWarm, PositionRestartHot, SleepOn, SleepOff, PowerOff,
}

// Duty returns the spelling of a duty; false when this module has none or the sheet does not say.
func (s *Sheet) Duty(name string) (Duty, bool) {
	d, ok := s.Duties[name]
	return d, ok
}

// DutyNames returns the duties this sheet spells, in the order they are shown.
func (s *Sheet) DutyNames() []string {
	var names []string
	for _, n := range dutyNames {
		if _, ok := s.Duties[n]; ok {
			names = append(names, n)
		}
	}
	return names
}

// End returns the bytes that end a command line.
func (s *Sheet) End() string {
	if s.LineEnd == "crlf" {
		return "\r\n"
	}
	return "\r"
}

// builtin holds the sheets that come with the program.
//
//go:embed standard.yaml demo.yaml
var builtin embed.FS

// Names returns the names of the built-in sheets.
func Names() []string { return []string{"standard", "demo"} }

// Builtin returns the built-in sheet of that name.
func Builtin(name string) (*Sheet, bool) {
	if !slices.Contains(Names(), name) {
		return nil, false
	}
	src, err := builtin.ReadFile(name + ".yaml")
	if err != nil {
		panic("sheet: built-in " + name + " is not embedded: " + err.Error())
	}
	s, err := Load(name+".yaml", src)
	if err != nil {
		panic("sheet: built-in does not load: " + err.Error())
	}
	return s, true
}
