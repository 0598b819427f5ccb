package at

// Values that several rows share.
var (
	operFormats = []ValueInfo{{0, 0, "", "long name, up to 16 characters"}, {1, 1, "", "short name, up to 8 characters"}, {2, 2, "", "number: country code, 3 digits, and network code, 2 or 3"}} // 7.3
	classBits   = []ValueInfo{{1, 1, "", "voice"}, {2, 2, "", "data"}, {4, 4, "", "fax"}, {8, 8, "", "texts"}, {16, 16, "", "synchronous data"}, {32, 32, "", "asynchronous data"}, {64, 64, "", "packet data"}, {128, 128, "", "packet assembly"}}
	facilities  = []ValueInfo{ // 7.4
		{Text: "SC", Meaning: "SIM card asks for its PIN"}, {Text: "PS", Meaning: "module locked to this card"}, {Text: "PF", Meaning: "module locked to its first card"}, {Text: "PN", Meaning: "module locked to the network"},
		{Text: "PU", Meaning: "module locked to part of the network"}, {Text: "PP", Meaning: "module locked to the service provider"}, {Text: "PC", Meaning: "module locked to the company"}, {Text: "FD", Meaning: "fixed-dial numbers only"},
		{Text: "AO", Meaning: "outgoing calls barred"}, {Text: "OI", Meaning: "outgoing international calls barred"}, {Text: "OX", Meaning: "outgoing international calls barred but home"},
		{Text: "AI", Meaning: "incoming calls barred"}, {Text: "IR", Meaning: "incoming calls barred when roaming"}, {Text: "AB", Meaning: "all barring"}, {Text: "AG", Meaning: "all outgoing barring"}, {Text: "AC", Meaning: "all incoming barring"},
		{Text: "AL", Meaning: "answering line switched"}, {Text: "P2", Meaning: "PIN2 of the card"}}
	presence = []ValueInfo{{0, 0, "", "not provided by the subscription"}, {1, 1, "", "provided"}, {2, 2, "", "not known"}}

	clipN = ParamInfo{Name: "n", Meaning: "show callers' numbers with RING", Default: "0", Values: onOff}
	clirN = ParamInfo{Name: "n", Meaning: "own number in calls made", Default: "0", Values: []ValueInfo{{0, 0, "", "as the subscription says"}, {1, 1, "", "hidden"}, {2, 2, "", "shown"}}}

	pNumber     = ParamInfo{Name: "number", Meaning: "telephone number"}
	pNumberType = ParamInfo{Name: "type", Meaning: "type of the number", Values: addressTypes}
	pClass      = ParamInfo{Name: "class", Meaning: "kinds of call, added up", Values: classBits, Sum: true, Default: "7", Optional: true}
	pOperFormat = ParamInfo{Name: "format", Meaning: "how the operator is written", Default: "0", Values: operFormats, Optional: true}
	pOper       = ParamInfo{Name: "oper", Meaning: "operator", Optional: true}
	pAcT        = ParamInfo{Name: "AcT", Meaning: "radio technology", Values: accessTechnologies, Optional: true}
	pStat       = ParamInfo{Name: "stat", Meaning: "registration", Values: registrationStats}
	pLAC        = ParamInfo{Name: "lac", Meaning: "location area, hexadecimal", Optional: true}
	pTAC        = ParamInfo{Name: "tac", Meaning: "tracking area, hexadecimal", Optional: true}
	pCI         = ParamInfo{Name: "ci", Meaning: "cell, hexadecimal", Optional: true}
	pCauseType  = ParamInfo{Name: "cause_type", Meaning: "what reject_cause counts", Optional: true, Values: []ValueInfo{{0, 0, "", "mobility management cause (3GPP TS 24.008 or 24.301)"}, {1, 1, "", "maker's own"}}}
	pReject     = ParamInfo{Name: "reject_cause", Meaning: "why the network refused", Optional: true, Values: rejectCauses, Open: true, Clause: "3GPP TS 24.008 10.5.3.6, from memory"}

	regN = []ValueInfo{{0, 0, "", "no report"}, {1, 1, "", "report on a change of registration"}, {2, 2, "", "report on a change of registration or cell"}, {3, 3, "", "as 2, with the cause of a refusal"}}

	// registrationStats: 7.2, 10.1.20, 10.1.22, 10.1.47; 11 from memory.
	registrationStats = []ValueInfo{{0, 0, "", "not registered, not searching"}, {1, 1, "", "registered, home network"}, {2, 2, "", "not registered, searching"}, {3, 3, "", "registration denied"},
		{4, 4, "", "not known, for example out of coverage"}, {5, 5, "", "registered, roaming"}, {6, 6, "", "registered for texts only, home network"}, {7, 7, "", "registered for texts only, roaming"},
		{8, 8, "", "emergency calls only"}, {9, 9, "", "registered, calls over the circuit network not preferred, home network"}, {10, 10, "", "registered, calls over the circuit network not preferred, roaming"}, {11, 11, "", "restricted local services only"}}

	// accessTechnologies: 7.2 and 7.3; 10 to 13 from memory.
	accessTechnologies = []ValueInfo{{0, 0, "", "GSM"}, {1, 1, "", "GSM Compact"}, {2, 2, "", "UTRAN (3G)"}, {3, 3, "", "GSM with EGPRS"}, {4, 4, "", "UTRAN with HSDPA"}, {5, 5, "", "UTRAN with HSUPA"}, {6, 6, "", "UTRAN with HSDPA and HSUPA"},
		{7, 7, "", "E-UTRAN (LTE)"}, {8, 8, "", "EC-GSM-IoT"}, {9, 9, "", "E-UTRAN, narrow band (NB-IoT)"}, {10, 10, "", "E-UTRA on a 5G core"}, {11, 11, "", "NR on a 5G core"}, {12, 12, "", "NG-RAN"}, {13, 13, "", "E-UTRA and NR together"}}

	// rejectCauses: 3GPP TS 24.008 10.5.3.6, from memory.
	rejectCauses = []ValueInfo{{2, 2, "", "subscription not known at home"}, {3, 3, "", "illegal mobile station"}, {5, 5, "", "IMEI not accepted"}, {6, 6, "", "illegal equipment"}, {7, 7, "", "packet service not allowed"}, {8, 8, "", "no service allowed"},
		{11, 11, "", "network not allowed"}, {12, 12, "", "location area not allowed"}, {13, 13, "", "roaming not allowed here"}, {14, 14, "", "packet service not allowed in this network"}, {15, 15, "", "no suitable cell"}, {17, 17, "", "network failure"}, {22, 22, "", "congestion"}}

	cregN = ParamInfo{Name: "n", Meaning: "which reports come unasked", Default: "0", Values: regN}

	eDRXMode   = ParamInfo{Name: "mode", Meaning: "long sleep between pagings (eDRX)", Default: "0", Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on"}, {2, 2, "", "on, with +CEDRXP reports"}, {3, 3, "", "off, values forgotten"}}}
	eDRXAccess = ParamInfo{Name: "AcT-type", Meaning: "radio technology it is for", Optional: true, Values: []ValueInfo{{0, 0, "", "none"}, {1, 1, "", "EC-GSM-IoT"}, {2, 2, "", "GSM"}, {3, 3, "", "UTRAN (3G)"}, {4, 4, "", "E-UTRAN (LTE)"}, {5, 5, "", "E-UTRAN, narrow band (NB-IoT)"}}}
	eDRXValue  = ParamInfo{Name: "Requested_eDRX_value", Meaning: "cycle asked for, four bits", Optional: true, Clause: "3GPP TS 24.008 10.5.5.32"}
	psmParams  = []ParamInfo{{Name: "mode", Meaning: "power saving between contacts (PSM)", Default: "0", Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on"}, {2, 2, "", "off, values forgotten"}}},
		{Name: "Requested_Periodic-RAU", Meaning: "period of updates, 2G and 3G, eight bits", Optional: true}, {Name: "Requested_GPRS-READY-timer", Meaning: "ready timer, eight bits", Optional: true},
		{Name: "Requested_Periodic-TAU", Meaning: "period of updates, eight bits", Optional: true, Clause: "3GPP TS 24.008 10.5.7.4a"}, {Name: "Requested_Active-Time", Meaning: "time reachable after a contact, eight bits", Optional: true, Clause: "3GPP TS 24.008 10.5.7.3"}}
	polParams = []ParamInfo{{Name: "index", Meaning: "place in the list of preferred operators"}, pOperFormat, pOper,
		{Name: "GSM_AcT", Meaning: "for GSM", Values: onOff, Optional: true}, {Name: "GSM_Compact_AcT", Meaning: "for GSM Compact", Values: onOff, Optional: true},
		{Name: "UTRAN_AcT", Meaning: "for UTRAN", Values: onOff, Optional: true}, {Name: "E-UTRAN_AcT", Meaning: "for E-UTRAN", Values: onOff, Optional: true}}
	ussdText = ParamInfo{Name: "str", Meaning: "the text", Optional: true}
	ussdDCS  = ParamInfo{Name: "dcs", Meaning: "alphabet of the text", Default: "0", Optional: true, Clause: "3GPP TS 23.038 5"}
)

// networkEntries: 3GPP TS 27.007 chapter 7, by name.
var networkEntries = []Entry{
	{Name: "+CEDRXP", Title: "sleep between pagings as agreed with the network", Clause: "3GPP TS 27.007 7.40", Confidence: FromMemory, Unsolicited: []ParamInfo{eDRXAccess, eDRXValue,
		{Name: "NW-provided_eDRX_value", Meaning: "cycle given, four bits", Optional: true, Clause: "3GPP TS 24.008 10.5.5.32"}, {Name: "Paging_time_window", Meaning: "window for paging, four bits", Optional: true}}},
	{Name: "+CEDRXS", Title: "long sleep between pagings (eDRX)", Clause: "3GPP TS 27.007 7.40", Confidence: FromMemory, Forms: parameter, Setting: true,
		Params: []ParamInfo{eDRXMode, eDRXAccess, eDRXValue}, Answer: []ParamInfo{eDRXAccess, eDRXValue}},
	{Name: "+CLCC", Title: "list present calls", Clause: "3GPP TS 27.007 7.18", Confidence: FromMemory, Forms: action, Answer: []ParamInfo{{Name: "ccid", Meaning: "number of the call"},
		{Name: "dir", Meaning: "direction", Values: []ValueInfo{{0, 0, "", "outgoing"}, {1, 1, "", "incoming"}}},
		{Name: "stat", Meaning: "state", Values: []ValueInfo{{0, 0, "", "active"}, {1, 1, "", "held"}, {2, 2, "", "dialling"}, {3, 3, "", "ringing at the far end"}, {4, 4, "", "incoming"}, {5, 5, "", "waiting"}}},
		{Name: "mode", Meaning: "kind", Values: []ValueInfo{{0, 0, "", "voice"}, {1, 1, "", "data"}, {2, 2, "", "fax"}, {3, 8, "", "voice and data in turn"}, {9, 9, "", "not known"}}},
		{Name: "mpty", Meaning: "part of a conference", Values: []ValueInfo{{0, 0, "", "no"}, {1, 1, "", "yes"}}}, pNumber, pNumberType, pAlpha}},
	{Name: "+CLCK", Title: "lock, unlock or ask about a lock", Clause: "3GPP TS 27.007 7.4", Confidence: FromMemory, Forms: hasSet | hasTest, Abortable: true, MaxWaitMS: 15_000, WaitSource: practiceNetwork,
		Params: []ParamInfo{{Name: "fac", Meaning: "which lock", Values: facilities, Open: true}, {Name: "mode", Meaning: "what to do", Values: []ValueInfo{{0, 0, "", "unlock"}, {1, 1, "", "lock"}, {2, 2, "", "ask"}}},
			{Name: "passwd", Meaning: "password, as for +CPWD", Optional: true}, pClass},
		Answer: []ParamInfo{{Name: "status", Meaning: "the lock", Values: []ValueInfo{{0, 0, "", "not active"}, {1, 1, "", "active"}}}, pClass},
		Note:   "wrong passwords use up tries"},
	{Name: "+CLIP", Title: "show callers' numbers", Clause: "3GPP TS 27.007 7.6", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, MaxWaitMS: 15_000, WaitSource: practiceNetwork,
		Params: []ParamInfo{clipN}, Answer: []ParamInfo{clipN, {Name: "m", Meaning: "service at the network", Values: presence}},
		Unsolicited: []ParamInfo{pNumber, pNumberType, {Name: "subaddr", Meaning: "subaddress", Optional: true}, {Name: "satype", Meaning: "type of the subaddress", Optional: true}, pAlpha,
			{Name: "CLI_validity", Meaning: "whether the number can be had", Optional: true, Values: []ValueInfo{{0, 0, "", "yes"}, {1, 1, "", "withheld by the caller"}, {2, 2, "", "not available from the caller's network"}, {3, 3, "", "a payphone"}, {4, 4, "", "not available, other reasons"}}}}},
	{Name: "+CLIR", Title: "hide or show the own number", Clause: "3GPP TS 27.007 7.7", Confidence: FromMemory, Forms: parameter, Setting: true, MaxWaitMS: 15_000, WaitSource: practiceNetwork,
		Params: []ParamInfo{clirN}, Answer: []ParamInfo{clirN, {Name: "m", Meaning: "service at the network", Values: []ValueInfo{{0, 0, "", "not provided by the subscription"}, {1, 1, "", "always hidden"}, {2, 2, "", "not known"}, {3, 3, "", "hidden unless asked otherwise"}, {4, 4, "", "shown unless asked otherwise"}}}}},
	{Name: "+CNUM", Title: "own numbers stored on the SIM card", Clause: "3GPP TS 27.007 7.1", Confidence: FromMemory, Forms: action, Answer: []ParamInfo{pAlpha, pNumber, pNumberType,
		{Name: "speed", Meaning: "speed", Optional: true}, {Name: "service", Meaning: "service", Optional: true, Values: []ValueInfo{{0, 1, "", "data"}, {2, 2, "", "packet assembly"}, {3, 3, "", "packet"}, {4, 4, "", "voice"}, {5, 5, "", "fax"}}}},
		Note: "often empty: the operator need not write it"},
	{Name: "+COPS", Title: "choose the operator", Clause: "3GPP TS 27.007 7.3", Confidence: FromText, Forms: parameter, Abortable: true, MaxWaitMS: 120_000, TestWaitMS: 180_000, WaitSource: practiceNetwork, Setting: true,
		Params: []ParamInfo{{Name: "mode", Meaning: "choice", Default: "0", Values: copsModes}, pOperFormat, pOper, pAcT},
		Answer: []ParamInfo{{Name: "mode", Meaning: "choice", Values: copsModes}, pOperFormat, pOper, pAcT}, TestAnswer: "a search: one bracket (stat,long name,short name,number,AcT) per network, then the modes and formats that may be set"},
	{Name: "+CPOL", Title: "list of preferred operators", Clause: "3GPP TS 27.007 7.19", Confidence: FromMemory, Forms: parameter, Setting: true, MaxWaitMS: 10_000, WaitSource: practice, Params: polParams, Answer: polParams},
	{Name: "+CPSMS", Title: "power saving between contacts (PSM)", Clause: "3GPP TS 27.007 7.38", Confidence: FromMemory, Forms: parameter, Setting: true, Params: psmParams, Answer: psmParams},
	{Name: "+CPWD", Title: "change a password", Clause: "3GPP TS 27.007 7.5", Confidence: FromMemory, Forms: hasSet | hasTest, MaxWaitMS: 15_000, WaitSource: practiceNetwork,
		Params: []ParamInfo{{Name: "fac", Meaning: "which lock", Values: facilities, Open: true}, {Name: "oldpwd", Meaning: "password until now"}, {Name: "newpwd", Meaning: "new password"}}, Note: "wrong passwords use up tries"},
	{Name: "+CREG", Title: "registration at the network, circuit side", Clause: "3GPP TS 27.007 7.2", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: []ParamInfo{cregN},
		Answer:      []ParamInfo{cregN, pStat, pLAC, pCI, pAcT, pCauseType, pReject},
		Unsolicited: []ParamInfo{pStat, pLAC, pCI, pAcT, pCauseType, pReject}},
	{Name: "+CUSD", Title: "codes such as *100# and their answers (USSD)", Clause: "3GPP TS 27.007 7.15", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Abortable: true, MaxWaitMS: 120_000, WaitSource: practiceNetwork,
		Params: []ParamInfo{{Name: "n", Meaning: "answers as +CUSD lines", Default: "0", Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on"}, {2, 2, "", "end the session"}}}, ussdText, ussdDCS},
		Answer: []ParamInfo{{Name: "n", Meaning: "answers as +CUSD lines", Values: onOff}},
		Unsolicited: []ParamInfo{{Name: "m", Meaning: "what the network wants", Values: []ValueInfo{{0, 0, "", "nothing more"}, {1, 1, "", "an answer"}, {2, 2, "", "ended by the network"},
			{3, 3, "", "another client answered"}, {4, 4, "", "not supported"}, {5, 5, "", "the network did not answer in time"}}}, ussdText, ussdDCS}},
}

var copsModes = []ValueInfo{{0, 0, "", "automatic"}, {1, 1, "", "the operator given, no other"}, {2, 2, "", "leave the network"}, {3, 3, "", "only sets the format of the read form"}, {4, 4, "", "the operator given, else automatic"}}
