package at

var (
	cfunFun = ParamInfo{Name: "fun", Meaning: "functionality", Values: []ValueInfo{{0, 0, "", "minimum"}, {1, 1, "", "full"}, {2, 2, "", "transmitter off"}, {3, 3, "", "receiver off"}, {4, 4, "", "transmitter and receiver off"},
		{5, 127, "", "set by the maker"}, {128, 128, "", "full, with radio access as set by +CSRA"}, {129, 129, "", "prepare for power off"}}}
	cpinCodes = []ValueInfo{{Text: "READY", Meaning: "no code wanted"}, {Text: "SIM PIN", Meaning: "PIN of the SIM card wanted"}, {Text: "SIM PUK", Meaning: "card blocked, its PUK wanted"},
		{Text: "PH-SIM PIN", Meaning: "module locked to another card, password wanted"}, {Text: "PH-FSIM PIN", Meaning: "module locked to its first card, password wanted"}, {Text: "PH-FSIM PUK", Meaning: "module locked to its first card, unblocking code wanted"},
		{Text: "SIM PIN2", Meaning: "PIN2 wanted"}, {Text: "SIM PUK2", Meaning: "PUK2 wanted"}, {Text: "PH-NET PIN", Meaning: "locked to a network, code wanted"}, {Text: "PH-NET PUK", Meaning: "locked to a network, unblocking code wanted"},
		{Text: "PH-NETSUB PIN", Meaning: "locked to part of a network, code wanted"}, {Text: "PH-NETSUB PUK", Meaning: "locked to part of a network, unblocking code wanted"},
		{Text: "PH-SP PIN", Meaning: "locked to a service provider, code wanted"}, {Text: "PH-SP PUK", Meaning: "locked to a service provider, unblocking code wanted"},
		{Text: "PH-CORP PIN", Meaning: "locked to a company, code wanted"}, {Text: "PH-CORP PUK", Meaning: "locked to a company, unblocking code wanted"}}
	cclkTime   = []ParamInfo{{Name: "time", Meaning: "local date and time"}}
	cmerParams = []ParamInfo{{Name: "mode", Meaning: "reports while data flow", Default: "0", Values: []ValueInfo{{0, 0, "", "kept"}, {1, 1, "", "thrown away"}, {2, 2, "", "kept, then sent"}, {3, 3, "", "sent, woven into the data"}}},
		{Name: "keyp", Meaning: "key presses", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "none"}, {1, 2, "", "as +CKEV"}}}, {Name: "disp", Meaning: "display", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "none"}, {1, 2, "", "as +CDEV"}}},
		{Name: "ind", Meaning: "indicators", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "none"}, {1, 1, "", "as +CIEV, but for those +CIND set"}, {2, 2, "", "as +CIEV"}}},
		{Name: "bfr", Meaning: "what was kept when a mode is set", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "thrown away"}, {1, 1, "", "sent"}}}}
	ctzuParams = []ParamInfo{{Name: "onoff", Meaning: "clock set by the network", Values: onOff}}
	ctzrParams = []ParamInfo{{Name: "reporting", Meaning: "reports of the time zone", Default: "0", Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "as +CTZV"}, {2, 2, "", "as +CTZE"}, {3, 3, "", "as +CTZEU, in universal time"}}}}
	cposr      = []ParamInfo{{Name: "mode", Meaning: "position reports", Default: "0", Values: onOff}}
	yesNo      = []ValueInfo{{0, 0, "", "no"}, {1, 1, "", "yes"}}
	molrParams = []ParamInfo{
		{Name: "enable", Meaning: "form of the position", Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "NMEA sentences, as +CMOLRN"}, {2, 2, "", "shapes, as +CMOLRG"}, {3, 3, "", "both"}}},
		{Name: "method", Meaning: "how it is found", Optional: true, Values: []ValueInfo{{0, 0, "", "GPS without assistance"}, {1, 1, "", "GPS with assistance"}, {2, 2, "", "other GNSS with assistance"}, {3, 3, "", "GPS and other GNSS with assistance"}, {4, 4, "", "as the network chooses"}, {5, 5, "", "sent to a third party"}, {6, 6, "", "asked of a third party"}}},
		{Name: "hor-acc-set", Meaning: "horizontal accuracy given", Optional: true, Values: yesNo},
		{Name: "hor-acc", Meaning: "horizontal accuracy k: radius 10 x (1.1^k - 1) m", Optional: true, Clause: "3GPP TS 23.032 6.2, from memory", Values: []ValueInfo{{0, 127, "", "exponent k"}}},
		{Name: "ver-req", Meaning: "altitude wanted", Optional: true, Values: yesNo},
		{Name: "ver-acc-set", Meaning: "vertical accuracy given", Optional: true, Values: yesNo},
		{Name: "ver-acc", Meaning: "vertical accuracy", Optional: true, Values: []ValueInfo{{0, 127, "", "exponent"}}},
		{Name: "vel-req", Meaning: "velocity wanted", Optional: true, Values: []ValueInfo{{0, 0, "", "none"}, {1, 1, "", "horizontal"}, {2, 2, "", "horizontal and vertical"}, {3, 3, "", "horizontal with uncertainty"}, {4, 4, "", "both with uncertainty"}}},
		{Name: "rep-mode", Meaning: "reports", Optional: true, Values: []ValueInfo{{0, 0, "", "one"}, {1, 1, "", "again and again"}}},
		{Name: "timeout", Meaning: "time to wait for an answer", Unit: "s", Optional: true, Values: []ValueInfo{{1, 65535, "", "seconds"}}},
		{Name: "interval", Meaning: "time between reports, not less than timeout", Unit: "s", Optional: true, Values: []ValueInfo{{1, 65535, "", "seconds"}}},
		{Name: "shape-rep", Meaning: "shapes wanted, added up", Optional: true, Sum: true, Values: []ValueInfo{{1, 1, "", "point"}, {2, 2, "", "point with circle"}, {4, 4, "", "point with ellipse"}, {8, 8, "", "polygon"}, {16, 16, "", "point with altitude"}, {32, 32, "", "point with ellipsoid"}, {64, 64, "", "arc"}}},
		{Name: "plane", Meaning: "way to the location server", Optional: true, Values: []ValueInfo{{0, 0, "", "control plane"}, {1, 1, "", "secure user plane"}}},
		{Name: "NMEA-rep", Meaning: "sentences wanted; empty for all", Optional: true},
		{Name: "third-party-address", Meaning: "third party, for methods 5 and 6", Optional: true},
	}
	pCPIN = ParamInfo{Name: "code", Meaning: "code wanted", Values: cpinCodes}
)

// controlEntries: 3GPP TS 27.007 chapter 8, by name.
var controlEntries = []Entry{
	{Name: "+CBC", Title: "battery", Clause: "3GPP TS 27.007 8.4", Confidence: FromText, Forms: action, Answer: []ParamInfo{
		{Name: "bcs", Meaning: "supply", Values: []ValueInfo{{0, 0, "", "from the battery"}, {1, 1, "", "battery connected, not in use"}, {2, 2, "", "no battery"}, {3, 3, "", "fault, calls inhibited"}}},
		{Name: "bcl", Meaning: "charge", Unit: "%", Values: []ValueInfo{{0, 0, "", "exhausted, or no battery"}, {1, 100, "", "percent left"}}},
		{Name: "voltage", Meaning: "voltage at the module", Unit: "mV", Optional: true, Clause: practice}}},
	{Name: "+CCLK", Title: "clock", Clause: "3GPP TS 27.007 8.15", Confidence: FromText, Forms: parameter, Setting: true, Params: cclkTime, Answer: cclkTime, Note: `written "yy/MM/dd,hh:mm:ss+zz", zz in quarter hours; the module's own clock until the network or GNSS sets it`},
	{Name: "+CESQ", Title: "signal quality, extended", Clause: "3GPP TS 27.007 8.69", Confidence: FromText, Forms: action, Answer: []ParamInfo{
		{Name: "rxlev", Meaning: "received level, GSM", Unit: "dBm", Values: unknown99}, {Name: "ber", Meaning: "bit error rate, GSM", Values: berValues},
		{Name: "rscp", Meaning: "received code power, UTRAN", Unit: "dBm", Values: unknown255}, {Name: "ecno", Meaning: "code power over noise, UTRAN", Unit: "dB", Values: unknown255},
		{Name: "rsrq", Meaning: "reference signal quality, E-UTRAN", Unit: "dB", Values: unknown255}, {Name: "rsrp", Meaning: "reference signal power, E-UTRAN", Unit: "dBm", Values: unknown255},
		{Name: "ss_rsrq", Meaning: "reference signal quality, NR", Unit: "dB", Optional: true, Values: unknown255}, {Name: "ss_rsrp", Meaning: "reference signal power, NR", Unit: "dBm", Optional: true, Values: unknown255}, {Name: "ss_sinr", Meaning: "signal over noise, NR", Unit: "dB", Optional: true, Values: unknown255}}},
	{Name: "+CFUN", Title: "how much of the module is on", Clause: "3GPP TS 27.007 8.2", Confidence: FromText, Forms: parameter, MaxWaitMS: 15_000, WaitSource: practice, Setting: true,
		Params: []ParamInfo{cfunFun, {Name: "rst", Meaning: "restart first", Default: "0", Optional: true, Values: yesNo}}, Answer: []ParamInfo{cfunFun},
		Unsolicited: []ParamInfo{{Name: "fun", Meaning: "functionality reached at start-up", Values: cfunFun.Values, Clause: practice}}},
	{Name: "+CIEV", Title: "an indicator changed", Clause: "3GPP TS 27.007 8.10", Confidence: FromMemory, Unsolicited: []ParamInfo{{Name: "ind", Meaning: "place of the indicator in the list of +CIND=?"}, {Name: "value", Meaning: "its value"}}},
	{Name: "+CIND", Title: "indicators", Clause: "3GPP TS 27.007 8.9", Confidence: FromMemory, Forms: parameter, TestAnswer: "the indicators by name, with their values; the read form answers in this order",
		Answer: []ParamInfo{{Name: "ind", Meaning: "value of the first indicator of +CIND=?; the others follow"}}},
	{Name: "+CLAC", Title: "list all commands", Clause: "3GPP TS 27.007 8.37", Confidence: FromMemory, Forms: action, MaxWaitMS: 10_000, WaitSource: practice, Note: "answers with one bare line per command"},
	{Name: "+CMER", Title: "which events are reported", Clause: "3GPP TS 27.007 8.10", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: cmerParams, Answer: cmerParams},
	{Name: "+CMOLR", Title: "ask for the own position", Clause: "3GPP TS 27.007 8.50", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Abortable: true, MaxWaitMS: usualWaitMS, WaitSource: practice, Params: molrParams, Answer: molrParams, Note: "the position comes unasked, as +CMOLRN or +CMOLRG"},
	{Name: "+CMOLRG", Title: "position as a shape (XML)", Clause: "3GPP TS 27.007 8.50", Confidence: FromText, Unsolicited: []ParamInfo{{Name: "location_parameters", Meaning: "shape, XML"}}},
	{Name: "+CMOLRN", Title: "position as an NMEA sentence", Clause: "3GPP TS 27.007 8.50", Confidence: FromText, Unsolicited: []ParamInfo{{Name: "NMEA-string", Meaning: "one sentence"}}},
	{Name: "+CPAS", Title: "what the module is doing", Clause: "3GPP TS 27.007 8.1", Confidence: FromText, Forms: action, Answer: []ParamInfo{{Name: "pas", Meaning: "activity", Values: []ValueInfo{{0, 0, "", "ready"}, {1, 1, "", "unavailable, takes no commands"}, {2, 2, "", "not known"}, {3, 3, "", "ringing"}, {4, 4, "", "a call is on"}, {5, 5, "", "asleep"}}}}},
	{Name: "+CPIN", Title: "PIN of the SIM card", Clause: "3GPP TS 27.007 8.3", Confidence: FromText, Forms: parameter, MaxWaitMS: usualWaitMS, WaitSource: practice,
		Params: []ParamInfo{{Name: "pin", Meaning: "PIN, or PUK when that is wanted"}, {Name: "newpin", Meaning: "new PIN, with a PUK", Optional: true}}, Answer: []ParamInfo{pCPIN},
		Unsolicited: []ParamInfo{{Name: "code", Meaning: "state of the card", Clause: practice, Values: cpinCodes}}, Note: "a wrong PIN uses up one of three tries"},
	{Name: "+CPINR", Title: "tries left for each code", Clause: "3GPP TS 27.007 8.65", Confidence: FromMemory, Forms: hasExecute | hasSet | hasTest, Params: []ParamInfo{{Name: "sel_code", Meaning: "which codes", Optional: true}},
		Answer: []ParamInfo{{Name: "code", Meaning: "code", Values: cpinCodes}, {Name: "retries", Meaning: "tries left", Unit: "tries"}, {Name: "default_retries", Meaning: "tries when fresh", Unit: "tries", Optional: true}}},
	{Name: "+CPOS", Title: "exchange positioning data with the module (XML)", Clause: "3GPP TS 27.007 8.55", Confidence: FromText, Forms: action, Note: "XML follows, up to Ctrl-Z"},
	{Name: "+CPOSR", Title: "position reports", Clause: "3GPP TS 27.007 8.56", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: cposr, Answer: cposr,
		Unsolicited: []ParamInfo{{Name: "XML", Meaning: "a line of XML"}}},
	{Name: "+CSQ", Title: "signal quality", Clause: "3GPP TS 27.007 8.5", Confidence: FromText, Forms: action, Answer: []ParamInfo{
		{Name: "rssi", Meaning: "received signal", Unit: "dBm", Open: true, Values: []ValueInfo{{0, 0, "", "-113 dBm or less"}, {31, 31, "", "-51 dBm or more"}, {99, 99, "", "not known or not detectable"}}},
		{Name: "ber", Meaning: "bit error rate", Values: berValues, Clause: "3GPP TS 45.008 8.2.4"}}},
	{Name: "+CTZE", Title: "the time zone changed", Clause: "3GPP TS 27.007 8.41", Confidence: FromMemory, Unsolicited: []ParamInfo{{Name: "tz", Meaning: "zone, quarter hours from universal time"}, {Name: "dst", Meaning: "summer time in it", Unit: "h"}, {Name: "time", Meaning: "local time", Optional: true}}},
	{Name: "+CTZR", Title: "reports of the time zone", Clause: "3GPP TS 27.007 8.41", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: ctzrParams, Answer: ctzrParams},
	{Name: "+CTZU", Title: "clock set by the network", Clause: "3GPP TS 27.007 8.40", Confidence: FromMemory, Forms: parameter, Setting: true, Params: ctzuParams, Answer: ctzuParams},
	{Name: "+CTZV", Title: "the time zone changed", Clause: "3GPP TS 27.007 8.41", Confidence: FromMemory, Unsolicited: []ParamInfo{{Name: "tz", Meaning: "zone, quarter hours from universal time"}}},
}
