package at

// Values that several rows share. Clauses are those of TS 27.005 unless said.
var (
	storeValues = []ValueInfo{ // 3.1
		{Text: "BM", Meaning: "broadcast messages"}, {Text: "ME", Meaning: "memory of the module"}, {Text: "MT", Meaning: "card and module together"},
		{Text: "SM", Meaning: "SIM card"}, {Text: "TA", Meaning: "memory of the adapter"}, {Text: "SR", Meaning: "status reports"}}
	statusValues = []ValueInfo{ // 3.1, text mode
		{Text: "REC UNREAD", Meaning: "received, not read"}, {Text: "REC READ", Meaning: "received, read"},
		{Text: "STO UNSENT", Meaning: "stored, not sent"}, {Text: "STO SENT", Meaning: "stored, sent"}, {Text: "ALL", Meaning: "all"}}
	statusValuesPDU = []ValueInfo{ // 3.1, PDU mode
		{0, 0, "", "received, not read"}, {1, 1, "", "received, read"}, {2, 2, "", "stored, not sent"}, {3, 3, "", "stored, sent"}, {4, 4, "", "all"}}
	addressTypes = []ValueInfo{ // 3GPP TS 24.008 10.5.4.7
		{129, 129, "", "unknown or national: number as dialled"}, {145, 145, "", "international number, with +"}, {161, 161, "", "national number"},
		{177, 177, "", "network-specific number"}, {208, 208, "", "letters"}, {128, 255, "", "another type of number"}}
	onOff         = []ValueInfo{{0, 0, "", "off"}, {1, 1, "", "on"}}
	supportValues = []ValueInfo{{0, 0, "", "not supported"}, {1, 1, "", "supported"}}
)

var (
	pStore1   = ParamInfo{Name: "mem1", Meaning: "store that is read and deleted from", Values: storeValues}
	pStore2   = ParamInfo{Name: "mem2", Meaning: "store that is written to and sent from", Values: storeValues, Optional: true}
	pStore3   = ParamInfo{Name: "mem3", Meaning: "store where arriving texts go", Values: storeValues, Optional: true}
	pUsed     = ParamInfo{Name: "used", Meaning: "messages in that store now", Unit: "messages"}
	pTotal    = ParamInfo{Name: "total", Meaning: "messages that fit in", Unit: "messages"}
	pStatus   = ParamInfo{Name: "stat", Meaning: "state of the message", Values: statusValues}
	pStatusP  = ParamInfo{Name: "stat", Meaning: "state of the message", Values: statusValuesPDU}
	pIndex    = ParamInfo{Name: "index", Meaning: "place in the store"}
	pMem      = ParamInfo{Name: "mem", Meaning: "store", Values: storeValues}
	pOrigin   = ParamInfo{Name: "oa", Meaning: "number of the sender"}
	pDest     = ParamInfo{Name: "da", Meaning: "number of the receiver"}
	pAnyone   = ParamInfo{Name: "oa/da", Meaning: "number of the sender or receiver"}
	pAlpha    = ParamInfo{Name: "alpha", Meaning: "name of that number in the phone book", Optional: true}
	pSCTS     = ParamInfo{Name: "scts", Meaning: "time at the service centre"}
	pTOOA     = ParamInfo{Name: "tooa", Meaning: "type of the number", Values: addressTypes, Optional: true}
	pTODA     = ParamInfo{Name: "toda", Meaning: "type of the number", Values: addressTypes, Optional: true, Default: "145 when the number has a +, else 129"}
	pFO       = ParamInfo{Name: "fo", Meaning: "first octet of the message", Default: "17", Optional: true, Clause: "3GPP TS 23.040 9.2.2"}
	pVP       = ParamInfo{Name: "vp", Meaning: "how long the service centre tries", Default: "167 (24 h)", Optional: true, Clause: "3GPP TS 23.040 9.2.3.12"}
	pPID      = ParamInfo{Name: "pid", Meaning: "protocol identifier", Default: "0", Optional: true, Clause: "3GPP TS 23.040 9.2.3.9"}
	pDCS      = ParamInfo{Name: "dcs", Meaning: "alphabet and class of the text", Default: "0", Optional: true, Clause: "3GPP TS 23.038 4"}
	pSCA      = ParamInfo{Name: "sca", Meaning: "number of the service centre", Optional: true}
	pTOSCA    = ParamInfo{Name: "tosca", Meaning: "type of that number", Values: addressTypes, Optional: true}
	pLength   = ParamInfo{Name: "length", Meaning: "characters of the text that follows", Optional: true}
	pLengthP  = ParamInfo{Name: "length", Meaning: "octets of the PDU without the service-centre part", Unit: "octets"}
	pMR       = ParamInfo{Name: "mr", Meaning: "reference of the message, 0 to 255: a status report quotes it"}
	pAckTime  = ParamInfo{Name: "scts", Meaning: "time at the service centre", Optional: true}
	pAckPDU   = ParamInfo{Name: "ackpdu", Meaning: "report of the service centre, in hex", Optional: true}
	pProfile  = ParamInfo{Name: "profile", Meaning: "number of the profile", Default: "0", Optional: true}
	pModeText = ParamInfo{Name: "mode", Meaning: "format of messages", Default: "0", Values: []ValueInfo{{0, 0, "", "PDU: hex digits"}, {1, 1, "", "text"}}}

	pdu       = []ParamInfo{pLengthP}
	sentText  = []ParamInfo{pMR, pAckTime}
	sentPDU   = []ParamInfo{pMR, pAckPDU}
	csmsBasis = []ParamInfo{{Name: "mt", Meaning: "messages to the module", Values: supportValues}, {Name: "mo", Meaning: "messages from the module", Values: supportValues}, {Name: "bm", Meaning: "broadcast messages", Values: supportValues}}
	csmsServe = ParamInfo{Name: "service", Meaning: "rules for messages", Values: []ValueInfo{{0, 0, "", "phase 2"}, {1, 1, "", "phase 2+: texts routed directly must be acknowledged with +CNMA"}, {128, 255, "", "set by the maker"}}}
	csmpAll   = []ParamInfo{pFO, pVP, pPID, pDCS}
	cnmiAll   = []ParamInfo{
		{Name: "mode", Meaning: "what happens to reports while the line is busy with data", Values: []ValueInfo{{0, 0, "", "kept in the module"}, {1, 1, "", "thrown away while data flow, else sent"}, {2, 2, "", "kept while data flow, then sent"}, {3, 3, "", "sent, woven into the data"}}},
		{Name: "mt", Meaning: "arriving texts", Optional: true, Values: []ValueInfo{{0, 0, "", "no report"}, {1, 1, "", "stored, reported as +CMTI"}, {2, 2, "", "not stored, sent as +CMT (class 2: as +CMTI)"}, {3, 3, "", "class 3 as +CMT, others as +CMTI"}}},
		{Name: "bm", Meaning: "broadcast messages", Optional: true, Values: []ValueInfo{{0, 0, "", "no report"}, {1, 1, "", "stored, reported as +CBMI"}, {2, 2, "", "sent as +CBM"}, {3, 3, "", "class 3 as +CBM"}}},
		{Name: "ds", Meaning: "status reports", Optional: true, Values: []ValueInfo{{0, 0, "", "none"}, {1, 1, "", "sent as +CDS"}, {2, 2, "", "stored, reported as +CDSI"}}},
		{Name: "bfr", Meaning: "what was kept when a mode is set", Optional: true, Values: []ValueInfo{{0, 0, "", "sent"}, {1, 1, "", "thrown away"}}},
	}
	cpmsRead = []ParamInfo{pStore1, pUsed, pTotal, pStore2, pUsed, pTotal, pStore3, pUsed, pTotal}
	cpmsSet  = []ParamInfo{pUsed, pTotal, pUsed, pTotal, pUsed, pTotal}
	cmtText  = []ParamInfo{pOrigin, pAlpha, pSCTS, pTOOA, pFO, pPID, pDCS, pSCA, pTOSCA, pLength}
	cdsText  = []ParamInfo{{Name: "fo", Meaning: "first octet of the report", Clause: "3GPP TS 23.040 9.2.2.3"}, pMR,
		{Name: "ra", Meaning: "number of the receiver", Optional: true}, {Name: "tora", Meaning: "type of that number", Values: addressTypes, Optional: true},
		pSCTS, {Name: "dt", Meaning: "time of delivery or of the last try"}, {Name: "st", Meaning: "outcome", Clause: "3GPP TS 23.040 9.2.3.15", Values: statusReport}}
	statusReport = []ValueInfo{{0, 0, "", "delivered"}, {1, 1, "", "forwarded, delivery not confirmed"}, {2, 2, "", "replaced at the service centre"}, {3, 31, "", "done"},
		{32, 63, "", "not yet delivered, the service centre still tries"}, {64, 95, "", "failed for good"}, {96, 127, "", "failed, the service centre has given up"}}
	cmglText = []ParamInfo{pIndex, pStatus, pAnyone, pAlpha, {Name: "scts", Meaning: "time at the service centre, of received messages", Optional: true}, {Name: "tooa/toda", Meaning: "type of the number", Values: addressTypes, Optional: true}, pLength}
	indexTwo = []ParamInfo{pMem, pIndex}
)

// textEntries: 3GPP TS 27.005, by name. Chapter headings and 3.2.5, 3.3.2, 3.4.1
// read; the other third-level numbers from memory.
var textEntries = []Entry{
	{Name: "+CBM", Title: "a broadcast message", Clause: "3GPP TS 27.005 3.4.1", Confidence: FromText,
		Unsolicited: []ParamInfo{{Name: "sn", Meaning: "serial number"}, {Name: "mid", Meaning: "kind of message"}, pDCS, {Name: "page", Meaning: "page"}, {Name: "pages", Meaning: "of how many"}}, UnsolicitedPDU: pdu},
	{Name: "+CBMI", Title: "a broadcast message was stored", Clause: "3GPP TS 27.005 3.4.1", Confidence: FromText, Unsolicited: indexTwo},
	{Name: "+CDS", Title: "a status report", Clause: "3GPP TS 27.005 3.4.1", Confidence: FromText, Unsolicited: cdsText, UnsolicitedPDU: pdu},
	{Name: "+CDSI", Title: "a status report was stored", Clause: "3GPP TS 27.005 3.4.1", Confidence: FromText, Unsolicited: indexTwo},
	{Name: "+CMGC", Title: "send a command to the service centre", Clause: "3GPP TS 27.005 3.5.5, 4.5", Confidence: FromMemory, Forms: hasSet | hasTest, Prompt: true, Abortable: true, MaxWaitMS: 60_000, WaitSource: textTimers,
		Params:    []ParamInfo{{Name: "fo", Meaning: "first octet", Default: "2"}, {Name: "ct", Meaning: "kind of command", Default: "0"}, pPID, {Name: "mn", Meaning: "message meant", Optional: true}, pDest, pTODA},
		ParamsPDU: pdu, Answer: sentText, AnswerPDU: sentPDU},
	{Name: "+CMGD", Title: "delete messages", Clause: "3GPP TS 27.005 3.5.4", Confidence: FromMemory, Forms: hasSet | hasTest, MaxWaitMS: 25_000, WaitSource: practice,
		Params: []ParamInfo{pIndex, {Name: "delflag", Meaning: "what to delete", Default: "0", Optional: true, Values: []ValueInfo{{0, 0, "", "the one at the index"}, {1, 1, "", "all that were read"},
			{2, 2, "", "all that were read and sent"}, {3, 3, "", "all that were read, sent and not sent"}, {4, 4, "", "all, unread ones too"}}}}},
	{Name: "+CMGF", Title: "format of messages", Clause: "3GPP TS 27.005 3.2.3", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: []ParamInfo{pModeText}, Answer: []ParamInfo{pModeText}},
	{Name: "+CMGL", Title: "list messages", Clause: "3GPP TS 27.005 3.4.2, 4.1", Confidence: FromText, Forms: hasExecute | hasSet | hasTest, MaxWaitMS: 25_000, WaitSource: practice,
		Params:    []ParamInfo{{Name: "stat", Meaning: "which messages", Default: `"REC UNREAD"`, Values: statusValues, Optional: true}},
		ParamsPDU: []ParamInfo{{Name: "stat", Meaning: "which messages", Default: "0", Values: statusValuesPDU, Optional: true}},
		Answer:    cmglText, AnswerPDU: []ParamInfo{pIndex, pStatusP, pAlpha, pLengthP}, Note: "unread messages become read by listing them"},
	{Name: "+CMGR", Title: "read a message", Clause: "3GPP TS 27.005 3.4.3, 4.2", Confidence: FromText, Forms: hasSet | hasTest, MaxWaitMS: usualWaitMS, WaitSource: practice,
		Params: []ParamInfo{pIndex}, Answer: []ParamInfo{pStatus, pOrigin, pAlpha, pSCTS, pTOOA, pFO, pPID, pDCS, pSCA, pTOSCA, pLength},
		AnswerPDU: []ParamInfo{pStatusP, pAlpha, pLengthP}, Note: "an unread message becomes read by reading it"},
	{Name: "+CMGS", Title: "send a text", Clause: "3GPP TS 27.005 3.5.1, 4.3", Confidence: FromText, Forms: hasSet | hasTest, Prompt: true, Abortable: true, MaxWaitMS: 60_000, WaitSource: textTimers,
		Params: []ParamInfo{pDest, pTODA}, ParamsPDU: pdu, Answer: sentText, AnswerPDU: sentPDU,
		Note: `after "> " comes the text, then Ctrl-Z (0x1A) to send or ESC (0x1B) to leave it`},
	{Name: "+CMGW", Title: "write a text into the store", Clause: "3GPP TS 27.005 3.5.3, 4.4", Confidence: FromText, Forms: hasExecute | hasSet | hasTest, Prompt: true, MaxWaitMS: usualWaitMS, WaitSource: practice,
		Params:    []ParamInfo{pAnyone, pTODA, {Name: "stat", Meaning: "state it gets", Default: `"STO UNSENT"`, Values: statusValues, Optional: true}},
		ParamsPDU: []ParamInfo{pLengthP, {Name: "stat", Meaning: "state it gets", Default: "2", Values: statusValuesPDU, Optional: true}}, Answer: []ParamInfo{pIndex},
		Note: `after "> " comes the text, then Ctrl-Z (0x1A) to store or ESC (0x1B) to leave it`},
	{Name: "+CMMS", Title: "keep the connection between texts", Clause: "3GPP TS 27.005 3.5.6", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: cmmsParams, Answer: cmmsParams},
	{Name: "+CMSS", Title: "send a text from the store", Clause: "3GPP TS 27.005 3.5.2, 4.7", Confidence: FromText, Forms: hasSet | hasTest, Abortable: true, MaxWaitMS: 60_000, WaitSource: textTimers,
		Params: []ParamInfo{pIndex, {Name: "da", Meaning: "number of the receiver, when not the stored one", Optional: true}, pTODA}, Answer: sentText, AnswerPDU: sentPDU},
	{Name: "+CMT", Title: "a text arrived, sent straight to the line", Clause: "3GPP TS 27.005 3.4.1", Confidence: FromText,
		Unsolicited: cmtText, UnsolicitedPDU: []ParamInfo{pAlpha, pLengthP}, Note: "the text or the PDU follows on the next line; it is not in the store"},
	{Name: "+CMTI", Title: "a text arrived and was stored", Clause: "3GPP TS 27.005 3.4.1", Confidence: FromText, Unsolicited: indexTwo},
	{Name: "+CNMA", Title: "acknowledge a text", Clause: "3GPP TS 27.005 3.4.4, 4.6", Confidence: FromText, Forms: hasExecute | hasSet | hasTest, Prompt: true, MaxWaitMS: usualWaitMS, WaitSource: practice,
		ParamsPDU: []ParamInfo{{Name: "n", Meaning: "answer", Default: "0", Values: []ValueInfo{{0, 0, "", "as in text mode"}, {1, 1, "", "received"}, {2, 2, "", "not received"}}}, {Name: "length", Meaning: "octets of the PDU that follows", Optional: true}},
		Params:    []ParamInfo{{Name: "n", Meaning: "answer", Default: "0", Values: []ValueInfo{{0, 0, "", "as in text mode"}, {1, 1, "", "received"}, {2, 2, "", "not received"}}}, {Name: "length", Meaning: "octets of the PDU that follows", Optional: true}},
		Note:      "with +CSMS=1, a +CMT or +CDS without it in time makes the module set mt and ds of +CNMI to 0"},
	{Name: "+CNMI", Title: "how arriving messages are reported", Clause: "3GPP TS 27.005 3.4.1", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: cnmiAll, Answer: cnmiAll},
	{Name: "+CPMS", Title: "which message stores are used", Clause: "3GPP TS 27.005 3.2.2", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true,
		Params: []ParamInfo{pStore1, pStore2, pStore3}, Answer: cpmsRead, SetAnswer: cpmsSet, MaxWaitMS: usualWaitMS, WaitSource: practice},
	{Name: "+CRES", Title: "take the stored message settings back", Clause: "3GPP TS 27.005 3.3.6", Confidence: FromMemory, Forms: hasExecute | hasSet | hasTest, Params: []ParamInfo{pProfile}},
	{Name: "+CSAS", Title: "store the message settings", Clause: "3GPP TS 27.005 3.3.5", Confidence: FromMemory, Forms: hasExecute | hasSet | hasTest, Params: []ParamInfo{pProfile}, Note: "+CSCA, +CSMP and +CSCB are kept"},
	{Name: "+CSCA", Title: "number of the service centre", Clause: "3GPP TS 27.005 3.3.1", Confidence: FromText, Forms: parameter, Setting: true,
		Params: []ParamInfo{{Name: "sca", Meaning: "number of the service centre"}, pTOSCA}, Answer: []ParamInfo{{Name: "sca", Meaning: "number of the service centre"}, pTOSCA}},
	{Name: "+CSCB", Title: "which broadcast messages are taken", Clause: "3GPP TS 27.005 3.3.4", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: cscbParams, Answer: cscbParams},
	{Name: "+CSDH", Title: "show all header fields in text mode", Clause: "3GPP TS 27.005 3.3.3", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: csdhParams, Answer: csdhParams},
	{Name: "+CSMP", Title: "header of texts that are sent in text mode", Clause: "3GPP TS 27.005 3.3.2", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: csmpAll, Answer: csmpAll,
		Note: "text mode only; lost at power off unless +CSAS was used (from memory)"},
	{Name: "+CSMS", Title: "rules for messages", Clause: "3GPP TS 27.005 3.2.1", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true,
		Params: []ParamInfo{csmsServe}, Answer: []ParamInfo{csmsServe, csmsBasis[0], csmsBasis[1], csmsBasis[2]}, SetAnswer: csmsBasis},
}

var (
	cmmsParams = []ParamInfo{{Name: "n", Meaning: "connection", Default: "0", Values: []ValueInfo{{0, 0, "", "closed after each text"}, {1, 1, "", "kept until a pause of 1 to 5 s"}, {2, 2, "", "kept"}}}}
	cscbParams = []ParamInfo{{Name: "mode", Meaning: "the list", Default: "0", Values: []ValueInfo{{0, 0, "", "taken"}, {1, 1, "", "refused"}}},
		{Name: "mids", Meaning: "kinds of message", Optional: true}, {Name: "dcss", Meaning: "alphabets and languages", Optional: true}}
	csdhParams = []ParamInfo{{Name: "show", Meaning: "optional fields", Default: "0", Values: []ValueInfo{{0, 0, "", "hidden"}, {1, 1, "", "shown"}}}}
)
