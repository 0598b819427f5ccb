package rulebook

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Limit says how long a controller should be ready to wait for the final result
// of a command line: the longest of its commands.
func Limit(l at.Line) time.Duration {
	longest, _ := at.WaitMS(at.Command{})
	for i := range l.Commands {
		ms, _ := at.WaitMS(l.Commands[i])
		longest = max(longest, ms)
	}
	return time.Duration(longest) * time.Millisecond
}

// Transmits says whether carrying out the command makes the radio send for
// longer than a moment: the supply has to give its peak current then. It is a
// matter of what the command does, which no standard lists.
func Transmits(c *at.Command) bool {
	switch c.Name {
	case "+CMGS", "+CMSS", "+CMGC", "+CGDATA":
		return c.Form == at.Set || c.Form == at.Execute
	case "D", "A":
		return c.Form == at.Execute
	case "+CFUN", "+CGATT", "+CGACT", "+CUSD": // only to switch on
		return c.Form == at.Set && len(c.Params) > 0 && c.Params[0].Text == "1"
	case "+COPS": // 3 only sets a format
		return c.Form == at.Set && len(c.Params) > 0 && c.Params[0].Text != "3"
	}
	return false
}

// secretNames are commands whose values never go into a message.
var secretNames = [...]string{"+CPIN", "+CPIN2", "+CPWD", "+CLCK", "+CGAUTH", "+CPWC"}

// longestValue is how much of a command's value a message shows; the line
// itself is in the evidence.
const longestValue = 12

// Name is a command as a message names it: "AT+CMGS", "AT+COPS=?", "AT+CMGF=1".
// Secrets, numbers and long values are left out.
func Name(c *at.Command) string {
	switch c.Form {
	case at.Read:
		return "AT" + c.Name + "?"
	case at.Test:
		return "AT" + c.Name + "=?"
	case at.Set:
		if len(c.Value) > longestValue || strings.Contains(c.Value, `"`) {
			return "AT" + c.Name
		}
		for _, s := range secretNames {
			if s == c.Name {
				return "AT" + c.Name
			}
		}
		return "AT" + c.Name + "=" + c.Value
	}
	if c.Number >= 0 {
		return "AT" + c.Name + strconv.Itoa(c.Number)
	}
	return "AT" + c.Name
}

// LineName names a command line: its last command, which is the one that takes
// text or time; "AT" for an empty line.
func LineName(x *dialogue.Exchange) string {
	if n := len(x.Parsed.Commands); n > 0 {
		return Name(&x.Parsed.Commands[n-1])
	}
	if x.Parsed.Repeat {
		return "A/"
	}
	return "AT"
}

// Int reads parameter n of an answer or a command, counted from 0.
func Int(params []at.Param, n int) (int, bool) {
	if n >= len(params) || params[n].Empty {
		return 0, false
	}
	v, err := strconv.Atoi(params[n].Text)
	return v, err == nil
}

// Text returns parameter n, counted from 0; "" when it is not there.
func Text(params []at.Param, n int) string {
	if n >= len(params) {
		return ""
	}
	return params[n].Text
}

// Code is the number of a +CME or +CMS error, also when it came in words; -1 when it has none.
func Code(r at.Result) int {
	if r.Code >= 0 || r.Text == "" {
		return r.Code
	}
	find := at.CMECode
	if r.Kind == at.CMSError {
		find = at.CMSCode
	}
	if n, ok := find(r.Text); ok {
		return n
	}
	return -1
}

// IsCME says whether the result is one of these +CME errors.
func IsCME(r at.Result, codes ...int) bool { return r.Kind == at.CMEError && oneOf(Code(r), codes) }

// IsCMS says whether the result is one of these +CMS errors.
func IsCMS(r at.Result, codes ...int) bool { return r.Kind == at.CMSError && oneOf(Code(r), codes) }

func oneOf(n int, list []int) bool {
	for _, v := range list {
		if v == n {
			return true
		}
	}
	return false
}

// Failure puts a failed result into words: "+CMS ERROR: 330 (service-centre address unknown)".
func Failure(r at.Result) string {
	name, meaning := "", at.CMEMeaning
	switch r.Kind {
	case at.CMEError:
		name = "+CME ERROR: "
	case at.CMSError:
		name, meaning = "+CMS ERROR: ", at.CMSMeaning
	case at.NoCarrier:
		return "NO CARRIER"
	case at.NoDialtone:
		return "NO DIALTONE"
	case at.Busy:
		return "BUSY"
	case at.NoAnswer:
		return "NO ANSWER"
	default:
		return "ERROR"
	}
	if r.Code < 0 {
		return name + r.Text
	}
	said, _, _ := meaning(r.Code)
	return name + strconv.Itoa(r.Code) + " (" + said + ")"
}

// Span puts a time into words a person would use: "20 ms", "2.7 s", "3 min 20 s", "5 h 2 min", "2 days 3 h".
func Span(d time.Duration) string {
	two := func(n time.Duration, unit string, rest time.Duration, small string) string {
		if rest == 0 {
			return fmt.Sprintf("%d %s", n, unit)
		}
		return fmt.Sprintf("%d %s %d %s", n, unit, rest, small)
	}
	switch {
	case d < 0:
		return "-" + Span(-d)
	case d < time.Second:
		return fmt.Sprintf("%d ms", d.Round(time.Millisecond)/time.Millisecond)
	case d < 100*time.Second-50*time.Millisecond:
		return strings.TrimSuffix(strconv.FormatFloat(d.Seconds(), 'f', 1, 64), ".0") + " s"
	case d < time.Hour:
		d = d.Round(time.Second)
		return two(d/time.Minute, "min", d%time.Minute/time.Second, "s")
	case d < 48*time.Hour:
		d = d.Round(time.Minute)
		return two(d/time.Hour, "h", d%time.Hour/time.Minute, "min")
	}
	d = d.Round(time.Hour)
	return two(d/(24*time.Hour), "days", d%(24*time.Hour)/time.Hour, "h")
}

// Count puts a whole number into words with its thousands set apart: "129,600".
func Count(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// HoldsCommand says whether a command line stands in a text: "AT+" and a name of
// three letters or more anywhere, as programs glue it on, or a short command on
// a line of its own.
func HoldsCommand(text string) bool {
	for i := 0; i+2 <= len(text); i++ {
		if text[i] != 'A' || text[i+1] != 'T' {
			continue
		}
		rest := text[i+2:]
		if rest != "" && rest[0] == '+' {
			letters := 1
			for letters < len(rest) && rest[letters] >= 'A' && rest[letters] <= 'Z' {
				letters++
			}
			asks := letters < len(rest) && (rest[letters] == '=' || rest[letters] == '?')
			inWord := i > 0 && text[i-1] >= 'A' && text[i-1] <= 'Z' // "BAT+CHG"
			if letters > 3 && (asks || !inWord) {
				return true
			}
		}
		if i > 0 && (text[i-1] == '\r' || text[i-1] == '\n') {
			line := rest
			if end := strings.IndexAny(rest, "\r\n"); end >= 0 {
				line = rest[:end]
			}
			if line == "" && i+2 < len(text) || len(line) == 2 && strings.ContainsRune("EVQZH", rune(line[0])) && line[1] >= '0' && line[1] <= '9' {
				return true
			}
		}
	}
	return false
}
