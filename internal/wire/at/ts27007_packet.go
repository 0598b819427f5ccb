package at

var (
	pCID    = ParamInfo{Name: "cid", Meaning: "number of the packet context", Default: "1", Optional: true}
	pPType  = ParamInfo{Name: "PDP_type", Meaning: "kind of addresses", Optional: true, Open: true, Values: []ValueInfo{{Text: "IP", Meaning: "IPv4"}, {Text: "IPV6", Meaning: "IPv6"}, {Text: "IPV4V6", Meaning: "IPv4 and IPv6"}, {Text: "PPP", Meaning: "point-to-point protocol"}, {Text: "Non-IP", Meaning: "no addresses"}}}
	pAPN    = ParamInfo{Name: "APN", Meaning: "access point; empty for the subscription's own", Optional: true}
	cgdcont = []ParamInfo{pCID, pPType, pAPN, {Name: "PDP_addr", Meaning: "address; empty to be given one", Optional: true},
		{Name: "d_comp", Meaning: "compression of data", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on"}, {2, 2, "", "V.42bis"}, {3, 3, "", "V.44"}}},
		{Name: "h_comp", Meaning: "compression of headers", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on"}, {2, 2, "", "RFC 1144"}, {3, 3, "", "RFC 2507"}, {4, 4, "", "RFC 3095"}}}}
	cgattState = []ParamInfo{{Name: "state", Meaning: "packet service", Values: []ValueInfo{{0, 0, "", "detached"}, {1, 1, "", "attached"}}}}
	cgactState = []ParamInfo{{Name: "state", Meaning: "packet context", Values: []ValueInfo{{0, 0, "", "not active"}, {1, 1, "", "active"}}}, pCID}
	cgerep     = []ParamInfo{{Name: "mode", Meaning: "reports while data flow", Default: "0", Values: []ValueInfo{{0, 0, "", "kept"}, {1, 1, "", "thrown away while data flow, else sent"}, {2, 2, "", "kept while data flow, then sent"}}},
		{Name: "bfr", Meaning: "what was kept when a mode is set", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "thrown away"}, {1, 1, "", "sent"}}}}
	cgauth = []ParamInfo{pCID, {Name: "auth_prot", Meaning: "kind of login", Optional: true, Values: []ValueInfo{{0, 0, "", "none"}, {1, 1, "", "PAP"}, {2, 2, "", "CHAP"}}},
		{Name: "userid", Meaning: "user", Optional: true}, {Name: "password", Meaning: "password", Optional: true}}
	ceregN = ParamInfo{Name: "n", Meaning: "which reports come unasked", Default: "0", Values: []ValueInfo{regN[0], regN[1], regN[2], regN[3], {4, 4, "", "as 2, with power-saving timers"}, {5, 5, "", "as 3, with power-saving timers"}}}

	pActiveTime  = ParamInfo{Name: "Active-Time", Meaning: "time reachable after a contact, eight bits", Optional: true, Clause: "3GPP TS 24.008 10.5.7.3"}
	pPeriodicTAU = ParamInfo{Name: "Periodic-TAU", Meaning: "period of updates, eight bits", Optional: true, Clause: "3GPP TS 24.008 10.5.7.4a"}
	pRAC         = ParamInfo{Name: "rac", Meaning: "routing area, hexadecimal", Optional: true}
	pNSSAILength = ParamInfo{Name: "Allowed_NSSAI_length", Meaning: "octets of the allowed slices", Optional: true}
	pNSSAI       = ParamInfo{Name: "Allowed_NSSAI", Meaning: "allowed slices", Optional: true}

	cgevEvents = []ValueInfo{ // longest first where one begins with another
		{Text: "REJECT", Meaning: "the network asked for a context and was refused"}, {Text: "NW REACT", Meaning: "the network asked to activate a context again"},
		{Text: "NW PDN ACT", Meaning: "the network activated a connection"}, {Text: "ME PDN ACT", Meaning: "the module activated a connection"},
		{Text: "NW PDN DEACT", Meaning: "the network ended a connection"}, {Text: "ME PDN DEACT", Meaning: "the module ended a connection"},
		{Text: "NW ACT", Meaning: "the network activated a context"}, {Text: "ME ACT", Meaning: "the module activated a context"},
		{Text: "NW DEACT", Meaning: "the network ended a context"}, {Text: "ME DEACT", Meaning: "the module ended a context"},
		{Text: "NW MODIFY", Meaning: "the network changed a context"}, {Text: "ME MODIFY", Meaning: "the module changed a context"},
		{Text: "NW DETACH", Meaning: "the network detached the module"}, {Text: "ME DETACH", Meaning: "the module detached itself"},
		{Text: "NW CLASS", Meaning: "the network changed the mobile class"}, {Text: "ME CLASS", Meaning: "the module changed the mobile class"}}
)

// packetEntries: 3GPP TS 27.007 chapter 10, by name; Release 18 numbering.
var packetEntries = []Entry{
	{Name: "+C5GREG", Title: "registration at a 5G network", Clause: "3GPP TS 27.007 10.1.47", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: []ParamInfo{cregN},
		Answer: []ParamInfo{cregN, pStat, pTAC, pCI, pAcT, pNSSAILength, pNSSAI, pCauseType, pReject}, Unsolicited: []ParamInfo{pStat, pTAC, pCI, pAcT, pNSSAILength, pNSSAI, pCauseType, pReject}},
	{Name: "+CEREG", Title: "registration at an LTE network", Clause: "3GPP TS 27.007 10.1.22", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: []ParamInfo{ceregN},
		Answer: []ParamInfo{ceregN, pStat, pTAC, pCI, pAcT, pCauseType, pReject, pActiveTime, pPeriodicTAU}, Unsolicited: []ParamInfo{pStat, pTAC, pCI, pAcT, pCauseType, pReject, pActiveTime, pPeriodicTAU}},
	{Name: "+CGACT", Title: "activate or end a packet context", Clause: "3GPP TS 27.007 10.1.10", Confidence: FromMemory, Forms: parameter, Abortable: true, MaxWaitMS: 150_000, WaitSource: practiceNetwork,
		Params: cgactState, Answer: []ParamInfo{pCID, cgactState[0]}},
	{Name: "+CGATT", Title: "attach to or leave the packet service", Clause: "3GPP TS 27.007 10.1.9", Confidence: FromMemory, Forms: parameter, Abortable: true, MaxWaitMS: 140_000, WaitSource: practiceNetwork, Params: cgattState, Answer: cgattState},
	{Name: "+CGAUTH", Title: "login of a packet context", Clause: "3GPP TS 27.007 10.1.31", Confidence: FromMemory, Forms: parameter, Setting: true, Params: cgauth, Answer: cgauth},
	{Name: "+CGCONTRDP", Title: "what the network gave a packet context", Clause: "3GPP TS 27.007 10.1.23", Confidence: FromMemory, Forms: hasExecute | hasSet | hasTest, Params: []ParamInfo{pCID},
		Answer: []ParamInfo{pCID, {Name: "bearer_id", Meaning: "bearer"}, pAPN, {Name: "local_addr", Meaning: "own address and mask", Optional: true}, {Name: "gw_addr", Meaning: "gateway", Optional: true},
			{Name: "DNS_prim_addr", Meaning: "first name server", Optional: true}, {Name: "DNS_sec_addr", Meaning: "second name server", Optional: true}}},
	{Name: "+CGDATA", Title: "data state over a packet context", Clause: "3GPP TS 27.007 10.1.12", Confidence: FromMemory, Forms: hasExecute | hasSet | hasTest, Abortable: true, MaxWaitMS: 150_000, WaitSource: practiceNetwork,
		Params: []ParamInfo{{Name: "L2P", Meaning: "protocol between controller and module", Optional: true, Open: true, Values: []ValueInfo{{Text: "PPP", Meaning: "point-to-point protocol"}, {Text: "NULL", Meaning: "none"}}}, pCID}},
	{Name: "+CGDCONT", Title: "describe a packet context", Clause: "3GPP TS 27.007 10.1.1", Confidence: FromMemory, Forms: parameter, Setting: true, Params: cgdcont, Answer: cgdcont},
	{Name: "+CGEREP", Title: "report packet events", Clause: "3GPP TS 27.007 10.1.19", Confidence: FromMemory, Forms: hasExecute | parameter, Setting: true, Volatile: true, Params: cgerep, Answer: cgerep},
	{Name: "+CGEV", Title: "a packet event", Clause: "3GPP TS 27.007 10.1.19", Confidence: FromMemory, Unsolicited: []ParamInfo{{Name: "event", Meaning: "what happened", Open: true, Values: cgevEvents}}},
	{Name: "+CGPADDR", Title: "address of a packet context", Clause: "3GPP TS 27.007 10.1.14", Confidence: FromMemory, Forms: hasExecute | hasSet | hasTest, Params: []ParamInfo{pCID},
		Answer: []ParamInfo{pCID, {Name: "PDP_addr_1", Meaning: "address", Optional: true}, {Name: "PDP_addr_2", Meaning: "second address, IPv6", Optional: true}}},
	{Name: "+CGREG", Title: "registration at a packet network, 2G and 3G", Clause: "3GPP TS 27.007 10.1.20", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: []ParamInfo{ceregN},
		Answer: []ParamInfo{ceregN, pStat, pLAC, pCI, pAcT, pRAC, pCauseType, pReject}, Unsolicited: []ParamInfo{pStat, pLAC, pCI, pAcT, pRAC, pCauseType, pReject}},
}
