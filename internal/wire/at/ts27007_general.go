package at

var (
	crcParams  = []ParamInfo{{Name: "mode", Meaning: "RING in the long form", Default: "0", Values: []ValueInfo{{0, 0, "", "RING"}, {1, 1, "", "+CRING: and the kind of call"}}}}
	cmeeParams = []ParamInfo{{Name: "n", Meaning: "detail of errors", Default: "0", Values: []ValueInfo{{0, 0, "", "ERROR only"}, {1, 1, "", "+CME ERROR with a number"}, {2, 2, "", "+CME ERROR with words"}}}}
	cscsParams = []ParamInfo{{Name: "chset", Meaning: "alphabet of strings on this line", Open: true, Values: []ValueInfo{
		{Text: "GSM", Meaning: "GSM 7-bit default alphabet (3GPP TS 23.038)"}, {Text: "IRA", Meaning: "7-bit ASCII (ITU-T T.50)"}, {Text: "HEX", Meaning: "hex digits, two per character"},
		{Text: "UCS2", Meaning: "hex digits, four per 16-bit character"}, {Text: "UTF-8", Meaning: "UTF-8"}, {Text: "8859-1", Meaning: "Latin 1"}, {Text: "PCCP437", Meaning: "PC code page 437"}, {Text: "PCDN", Meaning: "PC code page for Danish and Norwegian"}}}}
	cmolreParams = []ParamInfo{{Name: "n", Meaning: "form of error reports", Default: "0", Values: []ValueInfo{{0, 0, "", "number"}, {1, 1, "", "words"}}}}
	imsiAnswer   = "answers with a bare line of digits"
)

// generalEntries: 3GPP TS 27.007 chapters 5, 6 and 9, by name.
var generalEntries = []Entry{
	{Name: "+CCID", Title: "serial number of the SIM card", Clause: "not in TS 27.007 under this name", Confidence: Practice, Forms: hasExecute | hasRead | hasTest,
		Answer: []ParamInfo{{Name: "iccid", Meaning: "19 or 20 digits, 89 first", Clause: "ITU-T E.118"}}, Note: "makers differ in name and form"},
	{Name: "+CEER", Title: "why the last call or activation failed", Clause: "3GPP TS 27.007 6.10", Confidence: FromText, Forms: action, Answer: []ParamInfo{{Name: "report", Meaning: "text of the maker's choice, at most 2041 characters"}}},
	{Name: "+CGMI", Title: "who made the module", Clause: "3GPP TS 27.007 5.1", Confidence: FromText, Forms: action, Note: "answers with bare text lines; allowed while the PIN is wanted"},
	{Name: "+CGMM", Title: "model of the module", Clause: "3GPP TS 27.007 5.2", Confidence: FromText, Forms: action, Note: "answers with bare text lines; allowed while the PIN is wanted"},
	{Name: "+CGMR", Title: "revision of the module's firmware", Clause: "3GPP TS 27.007 5.3", Confidence: FromText, Forms: action, Note: "answers with bare text lines; allowed while the PIN is wanted"},
	{Name: "+CGSN", Title: "serial number of the module", Clause: "3GPP TS 27.007 5.4", Confidence: FromText, Forms: hasExecute | hasSet | hasTest,
		Params: []ParamInfo{{Name: "snt", Meaning: "which number", Default: "0", Optional: true, Clause: "from memory", Values: []ValueInfo{{0, 0, "", "serial number, usually the IMEI"}, {1, 1, "", "IMEI"}, {2, 2, "", "IMEI with software version"}, {3, 3, "", "software version"}}}},
		Answer: []ParamInfo{{Name: "sn", Meaning: "serial number"}}, Note: "without a parameter it answers with a bare line of digits"},
	{Name: "+CHUP", Title: "end all calls", Clause: "3GPP TS 27.007 6.5", Confidence: FromMemory, Forms: action, MaxWaitMS: 20_000, WaitSource: practiceNetwork},
	{Name: "+CIMI", Title: "number of the subscription on the SIM card (IMSI)", Clause: "3GPP TS 27.007 5.6", Confidence: FromMemory, Forms: action, Note: imsiAnswer},
	{Name: "+CMEE", Title: "detail of error results", Clause: "3GPP TS 27.007 9.1", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: cmeeParams, Answer: cmeeParams},
	{Name: "+CMOLRE", Title: "form of positioning errors, and such an error", Clause: "3GPP TS 27.007 9.1A, 9.3", Confidence: FromText, Forms: parameter, Setting: true, Volatile: true, Params: cmolreParams, Answer: cmolreParams,
		Unsolicited: []ParamInfo{{Name: "err", Meaning: "why no position came"}}},
	{Name: "+CRC", Title: "RING in the long form", Clause: "3GPP TS 27.007 6.11", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: crcParams, Answer: crcParams},
	{Name: "+CRING", Title: "a call comes in", Clause: "3GPP TS 27.007 6.11", Confidence: FromMemory, Unsolicited: []ParamInfo{{Name: "type", Meaning: "kind of call", Open: true, Values: []ValueInfo{
		{Text: "VOICE", Meaning: "voice"}, {Text: "FAX", Meaning: "fax"}, {Text: "ASYNC", Meaning: "data"}, {Text: "REL ASYNC", Meaning: "data, error-corrected"}, {Text: "SYNC", Meaning: "synchronous data"}, {Text: "GPRS", Meaning: "the network asks for a packet context"}}}}},
	{Name: "+CSCS", Title: "alphabet of strings on this line", Clause: "3GPP TS 27.007 5.5", Confidence: FromMemory, Forms: parameter, Setting: true, Volatile: true, Params: cscsParams, Answer: cscsParams,
		Note: "it applies to numbers and names in text mode as well"},
}
