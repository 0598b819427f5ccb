package module

// cmeWords is the verbose text of an error, +CMEE=2: 27.007 clause 9.2.1, from
// memory. Only the codes that this module sends have a row.
func cmeWords(code int) string {
	for _, r := range cmeTexts {
		if r.code == code {
			return r.words
		}
	}
	return "unknown"
}

var cmeTexts = []struct {
	code  int
	words string
}{
	{3, "operation not allowed"},
	{5, "PH-SIM PIN required"},
	{10, "SIM not inserted"},
	{11, "SIM PIN required"},
	{12, "SIM PUK required"},
	{13, "SIM failure"},
	{14, "SIM busy"},
	{16, "incorrect password"},
	{30, "no network service"},
	{32, "network not allowed - emergency calls only"},
	{40, "network personalization PIN required"},
	{50, "incorrect parameters"},
	{100, "unknown"},
	{107, "GPRS services not allowed"},
	{111, "PLMN not allowed"},
	{112, "location area not allowed"},
	{113, "roaming not allowed in this location area"},
	{132, "service option not supported"},
	{133, "requested service option not subscribed"},
	{134, "service option temporarily out of order"},
	{143, "unknown PDP context"},
	{148, "unspecified GPRS error"},
	{149, "PDP authentication failure"},
}
