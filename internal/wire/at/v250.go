package at

// v250Entries: ITU-T V.250 (07/2003) chapter 6, by name. The clauses of chapter
// 6 were read in a published table of contents; most values in manuals that
// restate it.
var v250Entries = []Entry{
	{Name: "&C", Title: "what the carrier-detect line (circuit 109) follows", Clause: "V.250 6.2.8", Confidence: FromText, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "carrier detect", Default: "1", Values: []ValueInfo{{0, 0, "", "always on"}, {1, 1, "", "on while there is a carrier"}}}}},
	{Name: "&D", Title: "what dropping the terminal-ready line (circuit 108) does", Clause: "V.250 6.2.9", Confidence: FromText, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "effect", Default: "2", Values: []ValueInfo{{0, 0, "", "nothing"}, {1, 1, "", "back to commands, the call stays"}, {2, 2, "", "the call ends, back to commands"}}}}},
	{Name: "&F", Title: "set all parameters to the maker's defaults", Clause: "V.250 6.1.2", Confidence: FromText, Forms: hasExecute, MaxWaitMS: usualWaitMS, WaitSource: practice,
		Params: []ParamInfo{{Name: "value", Meaning: "profile", Default: "0", Values: []ValueInfo{{0, 0, "", "the maker's defaults"}}}},
		Note:   "settings made before are lost; it does not erase texts"},
	{Name: "&W", Title: "keep the present settings over power off", Clause: "not in V.250", Confidence: Practice, Forms: hasExecute, MaxWaitMS: usualWaitMS, WaitSource: practice,
		Params: []ParamInfo{{Name: "value", Meaning: "profile", Default: "0", Clause: practice, Values: []ValueInfo{{0, 1, "", "number of the stored profile"}}}},
		Note:   "which settings are kept differs between makers; memory cells wear, so not in a loop"},
	{Name: "+GCAP", Title: "list what the device can do", Clause: "V.250 6.1.9", Confidence: FromText, Forms: action,
		Answer: []ParamInfo{{Name: "capabilities", Meaning: "names of command groups, such as +CGSM, +FCLASS"}}},
	{Name: "+GMI", Title: "who made the device", Clause: "V.250 6.1.4", Confidence: FromText, Forms: action, Note: "answers with bare text lines"},
	{Name: "+GMM", Title: "model of the device", Clause: "V.250 6.1.5", Confidence: FromText, Forms: action, Note: "answers with bare text lines"},
	{Name: "+GMR", Title: "revision of the device's firmware", Clause: "V.250 6.1.6", Confidence: FromText, Forms: action, Note: "answers with bare text lines"},
	{Name: "+GSN", Title: "serial number of the device", Clause: "V.250 6.1.7", Confidence: FromText, Forms: action, Note: "answers with bare text lines; on a cellular module usually the IMEI (common practice, no source)"},
	{Name: "+ICF", Title: "framing of characters on the line", Clause: "V.250 6.2.11", Confidence: FromText, Forms: parameter, Setting: true, Params: icfParams, Answer: icfParams},
	{Name: "+IFC", Title: "flow control between terminal and device", Clause: "V.250 6.2.12", Confidence: FromText, Forms: parameter, Setting: true, Params: ifcParams, Answer: ifcParams},
	{Name: "+ILRR", Title: "report the line's rate when a connection begins", Clause: "V.250 6.2.13", Confidence: FromText, Forms: parameter, Setting: true, Params: ilrrParams, Answer: ilrrParams},
	{Name: "+IPR", Title: "fixed rate of the line", Clause: "V.250 6.2.10", Confidence: FromMemory, Forms: parameter, Setting: true, Params: iprParams, Answer: iprParams,
		Note: "a new rate takes effect after the result code; 0 need only find 1200 and 9600 bit/s"},
	{Name: "A", Title: "answer a call", Clause: "V.250 6.3.5", Confidence: FromMemory, Forms: hasExecute, Abortable: true, MaxWaitMS: 60_000, WaitSource: practiceNetwork},
	{Name: "D", Title: "dial", Clause: "V.250 6.3.1", Confidence: FromMemory, Forms: hasExecute, Abortable: true, MaxWaitMS: 120_000, WaitSource: practiceNetwork,
		Note: "with ; at the end a voice call (3GPP TS 27.007 6.2), without it a data call"},
	{Name: "E", Title: "echo of commands", Clause: "V.250 6.2.4", Confidence: FromText, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "echo", Default: "1", Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on"}}}}},
	{Name: "H", Title: "end the call", Clause: "V.250 6.3.6", Confidence: FromMemory, Forms: hasExecute, MaxWaitMS: 20_000, WaitSource: practiceNetwork,
		Params: []ParamInfo{{Name: "value", Meaning: "hook", Default: "0", Values: []ValueInfo{{0, 0, "", "hang up"}}}}},
	{Name: "I", Title: "identification by the maker's choice", Clause: "V.250 6.1.3", Confidence: FromText, Forms: hasExecute,
		Params: []ParamInfo{{Name: "value", Meaning: "which text", Default: "0", Values: []ValueInfo{{0, 255, "", "set by the maker"}}}}},
	{Name: "L", Title: "loudness of the speaker", Clause: "V.250 6.3.13", Confidence: FromMemory, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "loudness", Values: []ValueInfo{{0, 1, "", "low"}, {2, 2, "", "medium"}, {3, 3, "", "high"}}}}},
	{Name: "M", Title: "when the speaker is on", Clause: "V.250 6.3.14", Confidence: FromMemory, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "speaker", Values: []ValueInfo{{0, 0, "", "always off"}, {1, 1, "", "on until the carrier comes"}, {2, 2, "", "always on"}}}}},
	{Name: "O", Title: "back from commands to the data of a call", Clause: "V.250 6.3.7", Confidence: FromMemory, Forms: hasExecute, MaxWaitMS: 10_000, WaitSource: practice,
		Params: []ParamInfo{{Name: "value", Meaning: "how", Default: "0", Values: []ValueInfo{{0, 0, "", "back to data"}}}}},
	{Name: "P", Title: "dial by pulses", Clause: "V.250 6.3.3", Confidence: FromMemory, Forms: hasExecute, Note: "without effect on a cellular module"},
	{Name: "Q", Title: "result codes sent or kept back", Clause: "V.250 6.2.5", Confidence: FromText, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "result codes", Default: "0", Values: []ValueInfo{{0, 0, "", "sent"}, {1, 1, "", "kept back: OK is never seen"}}}}},
	{Name: "S0", Title: "answer by itself after that many rings", Clause: "V.250 6.3.8", Confidence: FromMemory, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "rings", Meaning: "rings before answering", Default: "0", Unit: "rings", Values: []ValueInfo{{0, 0, "", "never answers by itself"}, {1, 255, "", "answers after that many"}}}}},
	{Name: "S10", Title: "time without carrier before the call is dropped", Clause: "V.250 6.3.12", Confidence: FromMemory, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "delay", Meaning: "delay", Unit: "0.1 s", Values: []ValueInfo{{1, 254, "", "tenths of a second"}}}}},
	{Name: "S3", Title: "character that ends a command line", Clause: "V.250 6.2.1", Confidence: FromText, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "character", Meaning: "code of the character", Default: "13", Values: []ValueInfo{{13, 13, "", "CR"}, {0, 127, "", "code of a character"}}}}},
	{Name: "S4", Title: "second character of a line end in answers", Clause: "V.250 6.2.2", Confidence: FromText, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "character", Meaning: "code of the character", Default: "10", Values: []ValueInfo{{10, 10, "", "LF"}, {0, 127, "", "code of a character"}}}}},
	{Name: "S5", Title: "character that takes back the one before it", Clause: "V.250 6.2.3", Confidence: FromText, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "character", Meaning: "code of the character", Default: "8", Values: []ValueInfo{{8, 8, "", "backspace"}, {0, 127, "", "code of a character"}}}}},
	{Name: "S6", Title: "pause before dialling without a dial tone", Clause: "V.250 6.3.9", Confidence: FromMemory, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "pause", Meaning: "pause", Default: "2", Unit: "s", Values: []ValueInfo{{2, 10, "", "seconds"}}}}},
	{Name: "S7", Title: "time for a call to be completed", Clause: "V.250 6.3.10", Confidence: FromMemory, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "time", Meaning: "time", Unit: "s", Values: []ValueInfo{{1, 255, "", "seconds"}}}}},
	{Name: "S8", Title: "pause for a comma in the dial string", Clause: "V.250 6.3.11", Confidence: FromMemory, Forms: hasSet | hasRead, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "pause", Meaning: "pause", Default: "2", Unit: "s", Values: []ValueInfo{{0, 255, "", "seconds"}}}}},
	{Name: "T", Title: "dial by tones", Clause: "V.250 6.3.2", Confidence: FromMemory, Forms: hasExecute, Note: "without effect on a cellular module"},
	{Name: "V", Title: "result codes as words or digits", Clause: "V.250 6.2.6", Confidence: FromText, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "format", Default: "1", Values: []ValueInfo{{0, 0, "", "digits: OK is 0, ERROR is 4"}, {1, 1, "", "words"}}}}},
	{Name: "X", Title: "which result codes a call may give", Clause: "V.250 6.2.7", Confidence: FromText, Forms: hasExecute, Setting: true, Volatile: true,
		Params: []ParamInfo{{Name: "value", Meaning: "call progress", Values: []ValueInfo{
			{0, 0, "", "CONNECT without text; no dial tone or busy detection"}, {1, 1, "", "CONNECT with text; no dial tone or busy detection"},
			{2, 2, "", "CONNECT with text; dial tone detection"}, {3, 3, "", "CONNECT with text; busy detection"}, {4, 4, "", "CONNECT with text; dial tone and busy detection"}}}}},
	{Name: "Z", Title: "reset to the stored settings", Clause: "V.250 6.1.1", Confidence: FromText, Forms: hasExecute, MaxWaitMS: usualWaitMS, WaitSource: practice,
		Params: []ParamInfo{{Name: "value", Meaning: "profile", Default: "0", Values: []ValueInfo{{0, 255, "", "number of the stored profile"}}}},
		Note:   "ends a call; the rest of the line may be ignored"},
}

var (
	icfParams = []ParamInfo{
		{Name: "format", Meaning: "bits of a character", Default: "3", Values: []ValueInfo{{0, 0, "", "found automatically"}, {1, 1, "", "8 data, 2 stop"},
			{2, 2, "", "8 data, 1 parity, 1 stop"}, {3, 3, "", "8 data, 1 stop"}, {4, 4, "", "7 data, 2 stop"}, {5, 5, "", "7 data, 1 parity, 1 stop"}, {6, 6, "", "7 data, 1 stop"}}},
		{Name: "parity", Meaning: "parity bit, where the format has one", Default: "3", Optional: true, Values: []ValueInfo{{0, 0, "", "odd"}, {1, 1, "", "even"}, {2, 2, "", "mark"}, {3, 3, "", "space"}}},
	}
	ifcParams = []ParamInfo{
		{Name: "by_terminal", Meaning: "how the controller stops the module", Default: "2", Values: []ValueInfo{{0, 0, "", "not at all"}, {1, 1, "", "XON/XOFF"}, {2, 2, "", "wire, circuit 133 (ready for receiving)"}, {3, 3, "", "XON/XOFF, passed on"}}},
		{Name: "by_device", Meaning: "how the module stops the controller", Default: "2", Optional: true, Values: []ValueInfo{{0, 0, "", "not at all"}, {1, 1, "", "XON/XOFF"}, {2, 2, "", "wire, circuit 106 (clear to send)"}}},
	}
	ilrrParams = []ParamInfo{{Name: "value", Meaning: "report", Default: "0", Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on, before CONNECT"}}}}
	iprParams  = []ParamInfo{{Name: "rate", Meaning: "rate", Default: "0", Unit: "bit/s", Values: []ValueInfo{{0, 0, "", "found automatically"}}}}
)
