package explain

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/wire/at"
	"firstfix/internal/wire/sms"
)

// setting is where a parameter stands.
type setting struct {
	row      *at.Entry
	list     []at.ParamInfo
	given    []at.Param
	toModule bool // in a command; otherwise in an answer
}

// paramField explains parameter i, and adds the problems it has.
func paramField(e *Explanation, s setting, i int) Field {
	p, v := &s.list[i], s.given[i]
	f := Field{Name: p.Name, Value: v.Text, At: v.At, Clause: clauseOf(p, s.row)}
	switch {
	case v.Empty:
		f.Meaning = p.Meaning + ": left out"
		if p.Default != "" && s.toModule {
			f.Meaning += ", so " + p.Default
		}
		return f
	case secret(p.Name):
		f.Value, f.Meaning = hidden, p.Meaning
		return f
	}
	if words := special(e, s, i); words != "" {
		f.Meaning = withDefault(p.Meaning+": "+words, p, v.Text)
		return f
	}
	if words, ok := p.Value(v); ok {
		if p.Unit != "" && inRange(p, v.Text) {
			words = v.Text + " " + p.Unit
		}
		f.Meaning = withDefault(p.Meaning+": "+words, p, v.Text)
		return f
	}
	f.Meaning = p.Meaning
	if p.Unit != "" {
		f.Meaning += ": " + v.Text + " " + p.Unit
	}
	if coded(p) {
		f.Meaning += ": not a value of the standard"
		e.problem("%s %s is %q; %s (%s)", s.row.Name, p.Name, v.Text, valueList(p), f.Clause)
	}
	return f
}

// coded: only listed values fit. A list of one names the "not known" code of a
// scale.
func coded(p *at.ParamInfo) bool { return len(p.Values) > 1 && !p.Open }

// inRange: the value lies in a row of several, whose meaning is its number.
func inRange(p *at.ParamInfo, text string) bool {
	n, err := strconv.Atoi(text)
	for _, v := range p.Values {
		if err == nil && n >= v.From && n <= v.To {
			return v.From < v.To
		}
	}
	return false
}

// special knows the values that need more than a table of words.
func special(e *Explanation, s setting, i int) string {
	p, v := &s.list[i], s.given[i]
	n, err := strconv.Atoi(v.Text)
	whole := err == nil
	switch p.Name {
	case "rssi":
		return rssiWords(n, whole)
	case "lac", "tac", "ci", "rac":
		if x, err := strconv.ParseUint(v.Text, 16, 64); err == nil {
			return fmt.Sprintf("%d in decimal", x)
		}
	case "fo":
		if whole && n >= 0 && n <= 255 {
			return sms.ReadFirstOctet(byte(n), sentByModule(s)).String()
		}
	case "vp":
		return validityWords(e, s, v, n, whole)
	case "pid":
		if whole && n >= 0 && n <= 255 {
			return sms.ReadPID(byte(n))
		}
	case "dcs":
		if whole && n >= 0 && n <= 255 && s.row.Name != "+CUSD" {
			return sms.ReadDCS(byte(n)).Text
		}
	case "st":
		if whole && n >= 0 && n <= 255 {
			return sms.Status(n).String()
		}
	case "scts", "dt", "time":
		return timeWords(v.Text)
	case "Active-Time", "Requested_Active-Time":
		return timerWords(at.ActiveTime(v.Text))
	case "Periodic-TAU", "Requested_Periodic-TAU":
		return timerWords(at.PeriodicTAU(v.Text))
	case "Requested_eDRX_value", "NW-provided_eDRX_value":
		if d, ok := at.EDRXCycle(v.Text); ok {
			return fmt.Sprintf("%.2f s for LTE", d.Seconds())
		}
	case "hor-acc":
		if whole && n >= 0 && n <= 127 { // 23.032 6.2, from memory
			return fmt.Sprintf("radius %.0f m", 10*(math.Pow(1.1, float64(n))-1))
		}
	case "tz":
		if whole {
			return zoneWords(n)
		}
	case "oper":
		return operatorWords(v)
	case "event":
		return eventWords(p, v.Text)
	}
	if s.row.Name == "+CESQ" && whole {
		if words, ok := at.CESQRange(i, n); ok {
			return words
		}
	}
	return ""
}

func rssiWords(n int, whole bool) string {
	if !whole {
		return ""
	}
	dBm, ok := at.RSSIdBm(n).Get()
	if !ok || n == 0 || n == 31 {
		return "" // the table has the words
	}
	return fmt.Sprintf("%d dBm", dBm)
}

// sentByModule says which way the message goes that a first octet belongs to.
func sentByModule(s setting) bool {
	switch s.row.Name {
	case "+CMT", "+CDS", "+CBM":
		return false
	case "+CMGR", "+CMGL":
		for i, p := range s.list {
			if p.Name == "stat" && i < len(s.given) {
				return strings.HasPrefix(s.given[i].Text, "STO")
			}
		}
	}
	return true
}

// validityWords reads <vp>; fo says in which form it stands (23.040 9.2.3.3).
func validityWords(e *Explanation, s setting, v at.Param, n int, whole bool) string {
	form, known := sms.FormRelative, false
	for i, p := range s.list {
		if p.Name == "fo" && i < len(s.given) {
			if fo, err := strconv.Atoi(s.given[i].Text); err == nil && fo >= 0 && fo <= 255 {
				form, known = sms.ReadFirstOctet(byte(fo), true).Validity, true
			}
		}
	}
	switch {
	case whole && !v.Quoted && n >= 0 && n <= 255 && form == sms.FormRelative:
		return durationWords(sms.ValidityRelative(byte(n)))
	case whole && known && form == sms.FormNone:
		return "not used: fo says that there is no validity period"
	case whole && known:
		e.problem("vp is a number, but fo %s: a quoted string belongs here (3GPP TS 27.005 3.1; 23.040 9.2.3.3)", formOf(form))
		return "a number, but fo asks for a quoted string here"
	}
	return timeWords(v.Text)
}

func formOf(form sms.ValidityForm) string {
	if form == sms.FormAbsolute {
		return "asks for the absolute form"
	}
	return "asks for the enhanced form"
}

func durationWords(d time.Duration) string {
	const day = 24 * time.Hour
	switch {
	case d > 30*day && d%(7*day) == 0: // 23.040 9.2.3.12.1 counts weeks above 30 days
		return fmt.Sprintf("%d weeks", d/(7*day))
	case d > day && d%day == 0:
		return fmt.Sprintf("%d days", d/day)
	case d >= time.Hour:
		return strconv.FormatFloat(d.Hours(), 'g', 4, 64) + " h"
	}
	return strconv.FormatFloat(d.Minutes(), 'g', 4, 64) + " min"
}

// timeWords reads "yy/MM/dd,hh:mm:ss+zz" (27.005 3.1, 27.007 8.15).
func timeWords(text string) string {
	stamp, ok := sms.ParseTextMode(text)
	if !ok || len(text) == len("00/00/00,00:00:00") {
		return clockWords(text)
	}
	t, ok := stamp.Time()
	if !ok {
		return "no time that exists"
	}
	return fmt.Sprintf("%s local time, %s, which is %s UTC", t.Format("2 January 2006 15:04:05"), zoneWords(stamp.ZoneQuarters()), t.UTC().Format("2006-01-02 15:04:05"))
}

// clockWords reads a time without a zone, which 27.007 8.15 allows.
func clockWords(text string) string {
	for _, layout := range []string{"06/01/02,15:04:05", "2006/01/02,15:04:05"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t.Format("2 January 2006 15:04:05") + " local time, no zone given"
		}
	}
	return ""
}

// zoneWords: quarter hours from universal time.
func zoneWords(quarters int) string {
	sign := "+"
	if quarters < 0 {
		sign, quarters = "-", -quarters
	}
	return fmt.Sprintf("zone UTC%s%d:%02d", sign, quarters/4, quarters%4*15)
}

func timerWords(t at.Timer, ok bool) string {
	if !ok {
		return ""
	}
	return t.String()
}

// operatorWords splits a numeric operator into country and network.
func operatorWords(v at.Param) string {
	t := v.Text
	if len(t) != 5 && len(t) != 6 || strings.Trim(t, "0123456789") != "" {
		return ""
	}
	return fmt.Sprintf("country code %s, network code %s", t[:3], t[3:])
}

// eventWords: +CGEV events carry further words behind their name.
func eventWords(p *at.ParamInfo, text string) string {
	for _, v := range p.Values {
		if rest, ok := strings.CutPrefix(text, v.Text); ok && (rest == "" || rest[0] == ' ') {
			if rest = strings.TrimSpace(rest); rest != "" {
				return v.Meaning + ": " + rest
			}
			return v.Meaning
		}
	}
	return ""
}
