// Package world says what the stand-in lives through: place, sky, coverage,
// supply, card, faults, in time.
//
// # What it promises
//
// A [World] is read from YAML (docs/formats/world.md) and gives the same life
// for the same seed: [World.Begin] returns a [Life], which is asked what holds
// at an instant and when that changes next. Each world states its truth: the
// fault that was planted. Nothing here moves by itself and nothing reads a clock.
//
// # What it leaves to others
//
// How a module behaves under these conditions is the work of virtual/module.
// Whether anybody finds the planted fault is the work of those who never see
// this package.
//
// # Where to start
//
// Read [World], [Conditions], then worlds/healthy.yaml.
package world

import (
	"time"

	"firstfix/internal/yamlfile"
)

// World is one scenario: what holds from the start, and what goes wrong when.
type World struct {
	Name  string    `yaml:"name"`  // file name without .yaml; small letters and hyphens
	Title string    `yaml:"title"` // one line for a list
	Story string    `yaml:"story"` // what a person would have seen
	Truth string    `yaml:"truth"` // one of Truths
	Seed  uint64    `yaml:"seed"`  // used when the caller gives none
	Start time.Time `yaml:"start"` // date and time of day when the module gets power, RFC 3339

	Conditions `yaml:",inline"`

	Faults []Scheduled `yaml:"faults"`

	read *yamlfile.File // where each key stood, for Validate; nil when built in code
}

// Conditions is everything around the module that matters to it, at one instant.
// Faults change a copy of the world's own.
type Conditions struct {
	Place           Place         `yaml:"place"`
	Sky             Sky           `yaml:"sky"`
	AntennaGNSS     string        `yaml:"antenna_gnss"`     // one of AntennaStates
	AntennaCellular string        `yaml:"antenna_cellular"` // one of AntennaStates
	GNSS            GNSS          `yaml:"gnss"`
	Coverage        Coverage      `yaml:"coverage"`
	Operators       []Operator    `yaml:"operators"`
	ServiceCentre   ServiceCentre `yaml:"service_centre"`
	Card            Card          `yaml:"card"`
	Supply          Supply        `yaml:"supply"`
	Line            Line          `yaml:"line"`
	Settings        Settings      `yaml:"settings"`
	Timing          Timing        `yaml:"timing"`
}

// Place is where the module stands.
type Place struct {
	Name      string  `yaml:"name"`
	LatDeg    float64 `yaml:"lat_deg"`
	LonDeg    float64 `yaml:"lon_deg"`
	AltitudeM float64 `yaml:"altitude_m"` // above mean sea level
	GeoidM    float64 `yaml:"geoid_m"`    // geoid above the ellipsoid
}

// Sky is what stands between the GNSS antenna and the satellites.
type Sky struct {
	View        string     `yaml:"view"` // one of SkyViews
	MaskDeg     float64    `yaml:"mask_deg"`
	CN0OffsetDB float64    `yaml:"cn0_offset_db"` // added to every satellite, on top of the view's own
	Obstacles   []Obstacle `yaml:"obstacles"`
}

// Obstacle weakens the satellites behind it: a barn, a hedge.
type Obstacle struct {
	FromDeg float64 `yaml:"from_deg"`  // azimuth, clockwise from north
	ToDeg   float64 `yaml:"to_deg"`    // azimuth; smaller than from_deg when north lies between
	UpToDeg float64 `yaml:"up_to_deg"` // elevation of its upper edge
	LossDB  float64 `yaml:"loss_db"`
}

// GNSS is the state of the module's position engine.
type GNSS struct {
	Engine    string `yaml:"engine"`      // one of EngineStates
	OnAtStart bool   `yaml:"on_at_start"` // the engine runs without being asked
	Backup    bool   `yaml:"backup"`      // memory and clock survive a restart
}

// Coverage is what the network does at this place.
type Coverage struct {
	RSSIdBm          float64 `yaml:"rssi_dbm"`           // with a good antenna
	Registration     string  `yaml:"registration"`       // one of Registrations
	DeniedCause      int     `yaml:"denied_cause"`       // reject cause, 3GPP TS 24.008 clause 10.5.3.6
	RegisterAfterS   float64 `yaml:"register_after_s"`   // from the first attempt to the answer
	Access           string  `yaml:"access"`             // one of Accesses
	AreaCode         string  `yaml:"area_code"`          // four hexadecimal digits
	CellID           string  `yaml:"cell_id"`            // eight hexadecimal digits
	NetworkTime      bool    `yaml:"network_time"`       // the network sets the module's clock
	ZoneQuarterHours int     `yaml:"zone_quarter_hours"` // local time less UTC
}

// Operator is one network that a search finds.
type Operator struct {
	Long    string `yaml:"long"`    // at most 16 characters, 27.007 clause 7.3
	Short   string `yaml:"short"`   // at most 8 characters
	Numeric string `yaml:"numeric"` // country code and network code
}

// ServiceCentre forwards texts.
type ServiceCentre struct {
	Number string  `yaml:"number"`  // "" when none is stored on the card
	DelayS float64 `yaml:"delay_s"` // from the module to the recipient
}

// Card is the SIM card.
type Card struct {
	Present      bool   `yaml:"present"`
	Contact      bool   `yaml:"contact"` // the springs touch
	PIN          string `yaml:"pin"`     // "" when none is asked
	TriesLeft    int    `yaml:"tries_left"`
	PUK          string `yaml:"puk"`
	PUKTriesLeft int    `yaml:"puk_tries_left"`
	Number       string `yaml:"number"`
	IMSI         string `yaml:"imsi"`
	Store        Store  `yaml:"store"`
}

// Store is the card's room for texts.
type Store struct {
	Size int `yaml:"size"`
	Used int `yaml:"used"` // old read texts that lie there from the start
}

// Supply is the module's source of power, seen from its pins.
type Supply struct {
	VoltageV      float64 `yaml:"voltage_v"`       // without load
	SourceOhm     float64 `yaml:"source_ohm"`      // source, leads and contacts together
	IdleA         float64 `yaml:"idle_a"`          // while the module only listens
	BurstA        float64 `yaml:"burst_a"`         // in a transmit burst at full power
	RestartBelowV float64 `yaml:"restart_below_v"` // at the pins
}

// Line is the module's end of the serial line.
type Line struct {
	Baud           int     `yaml:"baud"`             // 0: the module finds the speed itself
	LostPerMillion float64 `yaml:"lost_per_million"` // bytes that vanish on the wire
}

// Settings is what the module holds when it starts.
type Settings struct {
	Echo   bool   `yaml:"echo"`
	CMEE   int    `yaml:"cmee"`
	CMGF   int    `yaml:"cmgf"`
	CSCS   string `yaml:"cscs"`
	CSMP   []int  `yaml:"csmp"` // first octet, validity, protocol, coding: 27.005 clause 3.3.2
	CNMI   []int  `yaml:"cnmi"` // mode, mt, bm, ds, bfr: 27.005 clause 3.4.1
	Memory string `yaml:"memory"`
}

// Timing is how fast the module is.
type Timing struct {
	BootS  float64 `yaml:"boot_s"` // from power to its banner
	Slower float64 `yaml:"slower"` // every answer takes this many times as long
}

// Default returns the conditions that a world file need not write down: a good
// bench on a good day.
func Default() Conditions {
	return Conditions{
		Place:           Place{Name: "the yard of the Quellmoor machinery ring", LatDeg: 52.6184, LonDeg: 9.2735, AltitudeM: 41, GeoidM: 43.5},
		Sky:             Sky{View: "open", MaskDeg: 5},
		AntennaGNSS:     "good",
		AntennaCellular: "good",
		GNSS:            GNSS{Engine: "good"},
		Coverage: Coverage{RSSIdBm: -71, Registration: "home", DeniedCause: 13, RegisterAfterS: 6, Access: "gsm",
			AreaCode: "00C3", CellID: "0000A1F2", NetworkTime: true, ZoneQuarterHours: 4},
		Operators:     []Operator{{Long: "Moorfunk", Short: "Moorfnk", Numeric: "00101"}, {Long: "Heidenetz", Short: "Heide", Numeric: "00102"}},
		ServiceCentre: ServiceCentre{Number: "+447700900001", DelayS: 4},
		Card: Card{Present: true, Contact: true, TriesLeft: 3, PUK: "12345678", PUKTriesLeft: 10,
			Number: "+447700900707", IMSI: "001010123456789", Store: Store{Size: 20, Used: 1}},
		Supply:   Supply{VoltageV: 3.9, SourceOhm: 0.08, IdleA: 0.02, BurstA: 2, RestartBelowV: 3.3},
		Line:     Line{Baud: 9600},
		Settings: Settings{Echo: true, CSCS: "GSM", CSMP: []int{17, 167, 0, 0}, CNMI: []int{0, 0, 0, 0, 0}, Memory: "SM"},
		Timing:   Timing{BootS: 2.5, Slower: 1},
	}
}

// The words that a world file may use; the first of a list is the healthy one.
var (
	AntennaStates = []string{"good", "missing", "swapped"}
	SkyViews      = []string{"open", "yard", "indoor", "none"}
	EngineStates  = []string{"good", "silent"}
	Registrations = []string{"home", "roaming", "denied", "none"}
	Accesses      = []string{"gsm", "lte"}
	Charsets      = []string{"GSM", "IRA", "UCS2", "HEX"}
	Memories      = []string{"SM", "ME"}
)

// Truths are the names of what can be planted. A judge uses the same names for
// its causes, which is the only thing the two have in common.
var Truths = []string{
	"none", "no-card", "pin-wanted", "registration-denied", "weak-signal", "supply-sags",
	"blank-text-parameters", "antennas-swapped", "no-sky", "store-full", "wrong-speed",
	"no-service-centre", "card-contact", "never-registers", "engine-off", "registration-flaps",
}
