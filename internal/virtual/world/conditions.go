package world

// Conditions is everything around the module that matters to it, at one instant.
// Faults change a copy of the world's own.
type Conditions struct {
	Place           Place         `yaml:"place"`
	Sky             Sky           `yaml:"sky"`
	AntennaGNSS     string        `yaml:"antenna_gnss"`     // one of AntennaStates
	AntennaCellular string        `yaml:"antenna_cellular"` // one of AntennaStates
	TemperatureC    float64       `yaml:"temperature_c"`    // of the air around the module
	GNSS            GNSS          `yaml:"gnss"`
	Coverage        Coverage      `yaml:"coverage"`
	Operators       []Operator    `yaml:"operators"`
	ServiceCentre   ServiceCentre `yaml:"service_centre"`
	Packet          Packet        `yaml:"packet"`
	Calls           Calls         `yaml:"calls"`
	Card            Card          `yaml:"card"`
	Supply          Supply        `yaml:"supply"`
	Line            Line          `yaml:"line"`
	Settings        Settings      `yaml:"settings"`
	Timing          Timing        `yaml:"timing"`
	Module          Manners       `yaml:"module"`
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
	HorizonDeg  []float64  `yaml:"horizon_deg"`   // how high the horizon stands, from north clockwise in equal steps
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
	Engine             string    `yaml:"engine"`                // one of EngineStates
	OnAtStart          bool      `yaml:"on_at_start"`           // the engine runs without being asked
	Backup             bool      `yaml:"backup"`                // memory and clock survive a restart
	KeepsNothing       bool      `yaml:"keeps_nothing"`         // every switching on is a cold start
	RateHz             float64   `yaml:"rate_hz"`               // positions a second
	WeekShift          int       `yaml:"week_shift"`            // weeks by which its date is wrong
	LeapErrorS         int       `yaml:"leap_error_s"`          // error of its UTC until it has the almanac
	ReflectionsM       float64   `yaml:"reflections_m"`         // size of range errors by reflected signals
	Frozen             bool      `yaml:"frozen"`                // it keeps telling the position it had
	Estimates          bool      `yaml:"estimates"`             // without satellites it goes on by estimate
	FalseEastM         float64   `yaml:"false_east_m"`          // false signals lead it astray by this
	FalseNorthM        float64   `yaml:"false_north_m"`         // and this
	Radio              string    `yaml:"radio"`                 // one of RadioSharings
	DropWhileSendingDB float64   `yaml:"drop_while_sending_db"` // what the module's own transmitter takes
	JammedDB           float64   `yaml:"jammed_db"`             // what somebody else's transmitter takes
	ReportsAntenna     bool      `yaml:"reports_antenna"`       // a TXT sentence says open or short
	Sentences          Sentences `yaml:"sentences"`
}

// Sentences is how the engine writes.
type Sentences struct {
	Talker             string  `yaml:"talker"`               // one of Talkers
	More               bool    `yaml:"more"`                 // GST and ZDA besides the usual ones
	DamagedPerThousand float64 `yaml:"damaged_per_thousand"` // a character is wrong, the checksum no longer fits
	MergedPerThousand  float64 `yaml:"merged_per_thousand"`  // the next one begins in its middle
	VoidFilled         bool    `yaml:"void_filled"`          // without a fix the last position stands there
	NoDate             bool    `yaml:"no_date"`              // the date is empty
	EarlyDate          bool    `yaml:"early_date"`           // before the time is known the engine's own clock is shown
}

// Coverage is what the network does at this place.
type Coverage struct {
	RSSIdBm               float64 `yaml:"rssi_dbm"`                 // with a good antenna
	Registration          string  `yaml:"registration"`             // one of Registrations
	DeniedCause           int     `yaml:"denied_cause"`             // reject cause, 3GPP TS 24.008 clause 10.5.3.6
	RegisterAfterS        float64 `yaml:"register_after_s"`         // from the first attempt to the answer
	Circuit               string  `yaml:"circuit"`                  // one of CircuitStates: texts and calls
	Stuck                 bool    `yaml:"stuck"`                    // the module loses the network and does not look for it
	Access                string  `yaml:"access"`                   // one of Accesses
	AreaCode              string  `yaml:"area_code"`                // four hexadecimal digits
	CellID                string  `yaml:"cell_id"`                  // eight hexadecimal digits
	NetworkTime           bool    `yaml:"network_time"`             // the network sets the module's clock
	ZoneQuarterHours      int     `yaml:"zone_quarter_hours"`       // local time less UTC
	ZoneErrorQuarterHours int     `yaml:"zone_error_quarter_hours"` // by which the network tells it wrong
}

// Operator is one network that a search finds.
type Operator struct {
	Long    string `yaml:"long"`    // at most 16 characters, 27.007 clause 7.3
	Short   string `yaml:"short"`   // at most 8 characters
	Numeric string `yaml:"numeric"` // country code and network code
}

// ServiceCentre forwards texts.
type ServiceCentre struct {
	Number         string  `yaml:"number"`          // "" when none is stored on the card
	DelayS         float64 `yaml:"delay_s"`         // from the module to the recipient
	RefusesPercent float64 `yaml:"refuses_percent"` // of the texts that are sent
	RefusesCause   int     `yaml:"refuses_cause"`   // 3GPP TS 24.011 annex E-2
	LosesPercent   float64 `yaml:"loses_percent"`   // taken, and never delivered
	DoublesPercent float64 `yaml:"doubles_percent"` // delivered twice
	Shuffles       bool    `yaml:"shuffles"`        // what comes later may be delivered earlier
	Report         string  `yaml:"report"`          // one of DeliveryReports
	MostAnHour     int     `yaml:"most_an_hour"`    // it takes no more texts than this in an hour; 0: any number
}

// Packet is what the network does for packet data.
type Packet struct {
	Attach      string  `yaml:"attach"`        // one of Answers
	Activate    string  `yaml:"activate"`      // one of Answers
	Cause       int     `yaml:"cause"`         // of a refusal: 27.007 clause 9.2.2
	NoAddress   bool    `yaml:"no_address"`    // the context is active and has the address 0.0.0.0
	DropsAfterS float64 `yaml:"drops_after_s"` // the network ends a context then; 0: it does not
}

// Calls is what the network does for calls.
type Calls struct {
	Voice  bool   `yaml:"voice"`  // calls are possible at all
	Caller string `yaml:"caller"` // one of CallerStates
}

// Card is the SIM card.
type Card struct {
	Present      bool     `yaml:"present"`
	Contact      bool     `yaml:"contact"` // the springs touch
	Lock         string   `yaml:"lock"`    // one of Locks
	BusyS        float64  `yaml:"busy_s"`  // after a start, until it can be used
	PIN          string   `yaml:"pin"`     // "" when none is asked
	TriesLeft    int      `yaml:"tries_left"`
	PUK          string   `yaml:"puk"`
	PUKTriesLeft int      `yaml:"puk_tries_left"`
	Number       string   `yaml:"number"`
	IMSI         string   `yaml:"imsi"`
	Contract     Contract `yaml:"contract"`
	Store        Store    `yaml:"store"`
}

// Contract is what the card's owner pays for.
type Contract struct {
	Texts bool `yaml:"texts"`
	Data  bool `yaml:"data"`
}

// Store is the card's room for texts.
type Store struct {
	Size  int  `yaml:"size"`
	Used  int  `yaml:"used"`  // old read texts that lie there from the start
	Fails bool `yaml:"fails"` // reading and writing end with an error
}

// Supply is the module's source of power, seen from its pins.
type Supply struct {
	VoltageV       float64 `yaml:"voltage_v"`        // without load
	SourceOhm      float64 `yaml:"source_ohm"`       // source, leads and contacts together
	CapacitorUF    float64 `yaml:"capacitor_uf"`     // at the pins; 0: none that counts
	IdleA          float64 `yaml:"idle_a"`           // while the module only listens
	BurstA         float64 `yaml:"burst_a"`          // in a transmit burst at full power
	RestartBelowV  float64 `yaml:"restart_below_v"`  // at the pins
	ShutdownAboveV float64 `yaml:"shutdown_above_v"` // at the pins
}

// Line is the module's end of the serial line, and what the line does to bytes.
type Line struct {
	Baud                    int     `yaml:"baud"`                       // 0: the module finds the speed itself
	Frame                   string  `yaml:"frame"`                      // one of Frames
	TrainingLines           int     `yaml:"training_lines"`             // command lines that pass until it has found the speed
	Broken                  string  `yaml:"broken"`                     // one of Breaks
	LostPerMillion          float64 `yaml:"lost_per_million"`           // bytes that vanish on the wire
	BitErrorsPerMillion     float64 `yaml:"bit_errors_per_million"`     // bytes with a wrong bit
	SendingErrorsPerMillion float64 `yaml:"sending_errors_per_million"` // the same while the module transmits
	EatsFlowCharacters      bool    `yaml:"eats_flow_characters"`       // 0x11 and 0x13 do not pass
	StallsAfterBytes        int     `yaml:"stalls_after_bytes"`         // that the module says in one go; 0: never
	StallS                  float64 `yaml:"stall_s"`                    // until it goes on
	ControllerBufferBytes   int     `yaml:"controller_buffer_bytes"`    // 0: as many as come
	ControllerReadsEveryMS  float64 `yaml:"controller_reads_every_ms"`
	DeafAfterSendingMS      float64 `yaml:"deaf_after_sending_ms"` // of the controller's port, that cannot send and receive at once
	OtherMaster             bool    `yaml:"other_master"`          // another program talks to the module
}

// Settings is what the module holds when it starts.
type Settings struct {
	Echo    bool   `yaml:"echo"`
	Numeric bool   `yaml:"numeric"` // results as digits, ATV0
	Quiet   bool   `yaml:"quiet"`   // no results, ATQ1
	Sleep   bool   `yaml:"sleep"`   // it sleeps when nothing is said
	CFUN    int    `yaml:"cfun"`    // 1 is full functionality, 27.007 clause 8.2
	COPS    int    `yaml:"cops"`    // 0: it chooses an operator itself; 2: it stays out of the network
	CMEE    int    `yaml:"cmee"`
	CMGF    int    `yaml:"cmgf"`
	CSCS    string `yaml:"cscs"`
	CSMP    []int  `yaml:"csmp"` // first octet, validity, protocol, coding: 27.005 clause 3.3.2
	CNMI    []int  `yaml:"cnmi"` // mode, mt, bm, ds, bfr: 27.005 clause 3.4.1
	Memory  string `yaml:"memory"`
}

// Timing is how fast the module is.
type Timing struct {
	BootS        float64 `yaml:"boot_s"`         // from power to its banner
	Slower       float64 `yaml:"slower"`         // every answer takes this many times as long
	PromptS      float64 `yaml:"prompt_s"`       // by how much the prompt for a text comes later
	PromptDeafMS float64 `yaml:"prompt_deaf_ms"` // bytes this soon after the prompt are dropped
}

// Manners is what the module does that no standard asks for.
type Manners struct {
	Banner             bool    `yaml:"banner"`              // it says when it has started
	BootText           bool    `yaml:"boot_text"`           // its start-up program talks on the same wires
	StartNoise         bool    `yaml:"start_noise"`         // the line wavers while the supply comes up
	Hangs              bool    `yaml:"hangs"`               // its program has stopped
	Resets             bool    `yaml:"resets"`              // it starts anew when this comes on
	KeyPressed         bool    `yaml:"key_pressed"`         // its power key: each press switches it off or on
	EchoStays          bool    `yaml:"echo_stays"`          // ATE0 is answered with OK and changes nothing
	PromptLost         bool    `yaml:"prompt_lost"`         // the prompt does not reach the line
	BreaksIn           bool    `yaml:"breaks_in"`           // unsolicited lines come in the middle of answers
	ForgetsIndications bool    `yaml:"forgets_indications"` // +CNMI is what it was at the start when this comes on
	SleepAfterS        float64 `yaml:"sleep_after_s"`       // of silence, when sleep is on
}
