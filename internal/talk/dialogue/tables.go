package dialogue

import (
	"strings"
	"time"

	"firstfix/internal/wire/at"
)

// How long a command can wait for its answer before a later result is taken to
// be the next command's. V.250 gives no limits; these are common practice, no
// source: what makers' manuals allow, rounded up. They only settle which of two
// open commands a result belongs to.
const (
	quickPatience = time.Second     // commands the module answers by itself
	otherPatience = 5 * time.Second // commands the standards do not know, or that ask the card
)

// slowCommands ask the network, the card or the store.
var slowCommands = [...]struct {
	name     string
	read     bool // slow in the forms ? and plain too; else only when they set or test
	patience time.Duration
}{
	{"+COPS", false, 180 * time.Second}, // search, 27.007 7.3
	{"+CGATT", false, 140 * time.Second},
	{"+CGACT", false, 150 * time.Second},
	{"+CGDATA", true, 150 * time.Second},
	{"+CFUN", false, 15 * time.Second},
	{"+CMGS", true, 120 * time.Second},
	{"+CMSS", true, 120 * time.Second},
	{"+CMGC", true, 120 * time.Second},
	{"+CMGW", true, 25 * time.Second},
	{"+CMGL", true, 25 * time.Second},
	{"+CMGD", true, 25 * time.Second},
	{"+CMGR", true, 5 * time.Second},
	{"+CPMS", true, 5 * time.Second},
	{"+CNMA", true, 5 * time.Second},
	{"+CPIN", true, 5 * time.Second},
	{"+CLCK", true, 30 * time.Second},
	{"+CPWD", true, 30 * time.Second},
	{"+CUSD", false, 120 * time.Second},
	{"+CCFC", true, 120 * time.Second},
	{"+CCWA", true, 120 * time.Second},
	{"+CLIR", true, 60 * time.Second},
	{"+CLIP", true, 60 * time.Second}, // its read form asks the network, 27.007 7.6
	{"+COLP", true, 60 * time.Second},
	{"+CHUP", true, 90 * time.Second},
	{"+CHLD", true, 90 * time.Second},
	{"+CPBR", true, 25 * time.Second},
	{"+CPBF", true, 25 * time.Second},
	{"+CNUM", true, 5 * time.Second},
	{"+CSIM", true, 10 * time.Second},
	{"+CRSM", true, 10 * time.Second},
	{"+CPOS", true, 30 * time.Second},
	{"+CMOLR", true, 180 * time.Second},
	{"D", true, 120 * time.Second},
	{"A", true, 120 * time.Second},
	{"O", true, 30 * time.Second},
	{"H", true, 90 * time.Second},
	{"Z", true, otherPatience},
	{"&F", true, otherPatience},
	{"&W", true, otherPatience},
}

func patienceOf(c *at.Command) time.Duration {
	for i := range slowCommands {
		if s := &slowCommands[i]; s.name == c.Name {
			if s.read || c.Form == at.Set || c.Form == at.Test {
				return s.patience
			}
			return quickPatience
		}
	}
	if _, known := at.Lookup(c.Name); known {
		return quickPatience
	}
	return otherPatience
}

// muteBasic are the basic commands that answer with nothing but a result code (V.250 6.1 to 6.3).
const muteBasic = " A D E H L M N O P Q S T V X Z &C &D &F &K &S &W &Y &Z "

// isMute says that the standards give a command's form no information text, or
// only such as begins with its name. A plain line is then not its answer.
func isMute(c *at.Command) bool {
	if c.Name == "" || c.Form == at.Read || c.Form == at.Test {
		return false
	}
	if c.Name[0] != '+' {
		return strings.Contains(muteBasic, " "+c.Name+" ")
	}
	_, known := at.Lookup(c.Name)
	return known && c.Form == at.Set && c.Name != "+CGSN" && c.Name != "+CSIM" && c.Name != "+GSN"
}

// wantsText says whether a command asks for text: TS 27.005 clauses 3.5.1, 3.5.3,
// 3.5.5, 4.3 to 4.6.
func wantsText(c *at.Command) want {
	switch c.Name {
	case "+CMGS", "+CMGC":
		if c.Form == at.Set {
			return expected
		}
		return never
	case "+CMGW":
		if c.Form == at.Set || c.Form == at.Execute {
			return expected
		}
		return never
	case "+CNMA":
		if c.Form == at.Set && len(c.Params) >= 2 {
			return expected
		}
		return never
	}
	if _, known := at.Lookup(c.Name); known || c.Form == at.Read || c.Form == at.Test {
		return never
	}
	return possible
}

// isCall says whether a command can end in NO CARRIER, BUSY, NO ANSWER or NO
// DIALTONE (V.250 6.3, 27.007 10.1.12).
func isCall(c *at.Command) bool {
	switch c.Name {
	case "D", "A", "O", "+CGDATA":
		return true
	}
	return false
}

// isMessage says whether a command can end in +CMS ERROR (TS 27.005 3.2.5).
func isMessage(name string) bool {
	return strings.HasPrefix(name, "+CMG") || strings.HasPrefix(name, "+CMS") && name != "+CMSG" ||
		strings.HasPrefix(name, "+CSM") || strings.HasPrefix(name, "+CSC") && name != "+CSCS" && name != "+CSCON" ||
		name == "+CNMI" || name == "+CNMA" || name == "+CPMS" || name == "+CSDH" || name == "+CSAS" || name == "+CRES"
}

// reports are the lines with a name that a module says unasked: TS 27.005 3.4.1
// and the unsolicited result codes of 27.007 (clauses 6, 7, 8 and 10).
var reports = [...]string{
	"+CMTI", "+CMT", "+CDS", "+CDSI", "+CBM", "+CBMI", // 27.005 3.4.1
	"+CREG", "+CGREG", "+CEREG", "+C5GREG", // 27.007 7.2, 10.1.20, 10.1.22, 10.1.47
	"+CRING", "+CLIP", "+COLP", "+CCWA", "+CDIP", "+CNAP", "+CSSU", "+CSSI", "+CUSD", // 6.11, 7.6 to 7.17, 7.30
	"+CTZV", "+CTZE", "+CIEV", "+CKEV", "+CDEV", "+CGEV", "+CSCON", "+CEDRXP", // 7.40, 8.10, 8.41, 10.1.19
}

// reportOnly says that a line with that name is likely said unasked.
func reportOnly(name string) bool {
	for _, r := range reports {
		if r == name {
			return true
		}
	}
	return false
}

// hasBody says whether an unsolicited line announces a second line: TS 27.005
// 3.4.1. +CDS is one line in text mode and has a PDU behind it in PDU mode.
func hasBody(name, line string) bool {
	switch name {
	case "+CMT", "+CBM":
		return true
	case "+CDS":
		ans, _ := at.ParseAnswer(line)
		return len(ans.Params) == 1
	}
	return false
}

// answers says whether a line that begins with the name of c is its answer, and
// not a report that shares the name.
func answers(c *at.Command, line string) bool {
	switch c.Name {
	case "+CREG", "+CGREG", "+CEREG", "+C5GREG":
		// The read answer has the setting first: <n>,<stat>…; the report begins
		// with <stat>, and what follows is an area code of four digits (27.007 7.2).
		if c.Form == at.Read {
			ans, _ := at.ParseAnswer(line)
			return len(ans.Params) >= 2 && isNumber(ans.Params[0], 1) && isNumber(ans.Params[1], 2)
		}
		return c.Form == at.Test
	case "+CLIP", "+COLP", "+CDIP", "+CNAP", "+CCWA":
		// The answer has numbers, the report a number to call in quotes (27.007 7.6 to 7.9, 7.12, 7.30).
		ans, _ := at.ParseAnswer(line)
		return c.Form == at.Test || len(ans.Params) > 0 && !ans.Params[0].Quoted && !ans.Params[0].Empty
	case "+CUSD":
		ans, _ := at.ParseAnswer(line)
		return c.Form == at.Test || c.Form == at.Read && len(ans.Params) == 1
	case "+CSCON":
		ans, _ := at.ParseAnswer(line)
		return c.Form == at.Test || c.Form == at.Read && len(ans.Params) >= 2
	}
	return true
}

// isNumber says whether a parameter is a number of at most so many digits.
func isNumber(p at.Param, digits int) bool {
	if p.Quoted || p.Empty || len(p.Text) > digits {
		return false
	}
	for i := range len(p.Text) {
		if p.Text[i] < '0' || p.Text[i] > '9' {
			return false
		}
	}
	return true
}
