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
	{10, "SIM not inserted"},
	{11, "SIM PIN required"},
	{12, "SIM PUK required"},
	{13, "SIM failure"},
	{16, "incorrect password"},
	{30, "no network service"},
	{32, "network not allowed - emergency calls only"},
	{50, "incorrect parameters"},
	{100, "unknown"},
	{143, "unknown PDP context"},
}
