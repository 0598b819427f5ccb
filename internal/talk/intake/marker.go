package intake

import (
	"strings"
)

// A marker is a word in front of a line that says who sent it.
type marker struct {
	word string
	out  bool
}

// markers are common practice, no source; longer ones first where one begins
// another. out is what the side that wrote the log sent.
var markers = [...]marker{
	{"-->", true}, {"<--", false}, {"->", true}, {"<-", false}, {"=>", true}, {"<=", false}, {">>>", true}, {"<<<", false}, {">>", true}, {"<<", false},
	{">", true}, {"<", false}, {"\u2192", true}, {"\u2190", false},
	{"TRANSMIT", true}, {"RECEIVED", false}, {"RECEIVE", false}, {"RECV", false}, {"RCVD", false}, {"SENDING", true}, {"SEND", true}, {"SENT", true},
	{"TXD", true}, {"RXD", false}, {"TX", true}, {"RX", false}, {"WRITE", true}, {"READ", false}, {"OUT", true}, {"IN", false},
	{"CONTROLLER", true}, {"MODULE", false}, {"HOST", true}, {"DEVICE", false}, {"MCU", true}, {"MODEM", false}, {"DTE", true}, {"DCE", false},
}

// readMarker reads who sent a line. words asks for a word such as TX, and not
// for a sign. False: nothing says so.
func readMarker(line string, words bool) (out bool, rest string, ok bool) {
	s := strings.TrimLeft(line, " \t|:;,")
	if s == "-" || strings.HasPrefix(s, "- ") {
		s = strings.TrimLeft(s[1:], " \t")
	}
	wrapped := byte(0)
	if s != "" && (s[0] == '[' || s[0] == '(') {
		wrapped = s[0] + 2 // ']' is two behind '['
		if s[0] == '(' {
			wrapped = ')'
		}
		s = s[1:]
	}
	for i := range markers {
		m := &markers[i]
		if letter(m.word[0]) != words {
			continue
		}
		if len(s) < len(m.word) || !strings.EqualFold(s[:len(m.word)], m.word) {
			continue
		}
		after := s[len(m.word):]
		if wrapped != 0 {
			if after == "" || after[0] != wrapped {
				return false, line, false
			}
			after = after[1:]
		} else if letter(m.word[0]) && (after == "" || strings.IndexByte(": \t>|,;=-", after[0]) < 0) {
			return false, line, false
		}
		after = strings.TrimLeft(after, " \t")
		// "TX: ", "RX |", "TX ->": the rest of the marker.
		if letter(m.word[0]) || wrapped != 0 {
			for _, more := range [...]string{"-->", "<--", "->", "<-", "=>", ">>", "<<", ":", "|", ";", ">", "="} {
				if t, ok := strings.CutPrefix(after, more); ok && (more != ">" || t != "" && t != " ") {
					after = strings.TrimLeft(t, " \t")
					break
				}
			}
		} else if t, ok := strings.CutPrefix(after, ":"); ok {
			after = strings.TrimLeft(t, " \t")
		}
		return m.out, after, true
	}
	return false, line, false
}
