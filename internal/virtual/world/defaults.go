package world

// Default returns the conditions that a world file need not write down: a good
// bench on a good day.
func Default() Conditions {
	return Conditions{
		Place:           Place{Name: "the yard of the Quellmoor machinery ring", LatDeg: 52.6184, LonDeg: 9.2735, AltitudeM: 41, GeoidM: 43.5},
		Sky:             Sky{View: "open", MaskDeg: 5},
		AntennaGNSS:     "good",
		AntennaCellular: "good",
		TemperatureC:    18,
		GNSS:            GNSS{Engine: "good", RateHz: 1, Radio: "own", Sentences: Sentences{Talker: "GP"}},
		Coverage: Coverage{RSSIdBm: -71, Registration: "home", DeniedCause: 13, RegisterAfterS: 6, Circuit: "same", Access: "gsm",
			AreaCode: "00C3", CellID: "0000A1F2", NetworkTime: true, ZoneQuarterHours: 4},
		Operators:     []Operator{{Long: "Moorfunk", Short: "Moorfnk", Numeric: "00101"}, {Long: "Heidenetz", Short: "Heide", Numeric: "00102"}},
		ServiceCentre: ServiceCentre{Number: "+447700900001", DelayS: 4, RefusesCause: 38, Report: "delivered"},
		Packet:        Packet{Attach: "accepted", Activate: "accepted", Cause: 148},
		Calls:         Calls{Voice: true, Caller: "shown"},
		Card: Card{Present: true, Contact: true, Lock: "none", TriesLeft: 3, PUK: "12345678", PUKTriesLeft: 10,
			Number: "+447700900707", IMSI: "001010123456789", Contract: Contract{Texts: true, Data: true}, Store: Store{Size: 20, Used: 1}},
		Supply:   Supply{VoltageV: 3.9, SourceOhm: 0.08, IdleA: 0.02, BurstA: 2, RestartBelowV: 3.3, ShutdownAboveV: 4.6},
		Line:     Line{Baud: 9600, Frame: "8N1", Broken: "none", ControllerReadsEveryMS: 50},
		Settings: Settings{Echo: true, CFUN: 1, CSCS: "GSM", CSMP: []int{17, 167, 0, 0}, CNMI: []int{0, 0, 0, 0, 0}, Memory: "SM"},
		Timing:   Timing{BootS: 2.5, Slower: 1},
		Module:   Manners{Banner: true, SleepAfterS: 5},
	}
}

// The words that a world file may use; the first of a list is the healthy one.
var (
	AntennaStates   = []string{"good", "missing", "swapped", "short"}
	SkyViews        = []string{"open", "yard", "indoor", "none"}
	EngineStates    = []string{"good", "silent", "stopped"}
	RadioSharings   = []string{"own", "shared"}
	Talkers         = []string{"GP", "GN"}
	Registrations   = []string{"home", "roaming", "denied", "none", "limited"}
	CircuitStates   = []string{"same", "denied", "none"}
	Accesses        = []string{"gsm", "lte"}
	DeliveryReports = []string{"delivered", "failed", "trying", "none"}
	Answers         = []string{"accepted", "refused"}
	CallerStates    = []string{"shown", "withheld", "missing"}
	Locks           = []string{"none", "network", "device"}
	Frames          = []string{"8N1", "8N2", "8E1", "8O1", "7E1", "7O1", "7N2"}
	Breaks          = []string{"none", "to-module", "to-controller", "both"}
	Charsets        = []string{"GSM", "IRA", "UCS2", "HEX"}
	Memories        = []string{"SM", "ME"}
)
