package at

import "strings"

// ParseResult reads a line as a result code. False: the line is none.
//
// A line that is one digit is a result code of ATV0 ([Result.Numeric]); only
// the caller can know whether ATV0 is in force. It does not allocate.
func ParseResult(line string) (Result, bool) {
	for len(line) > 0 && line[len(line)-1] <= ' ' {
		line = line[:len(line)-1]
	}
	if line == "" {
		return Result{}, false
	}
	kind := NoResult
	switch line[0] {
	case 'O':
		if line == "OK" {
			kind = OK
		}
	case 'E':
		if line == "ERROR" {
			kind = Error
		}
	case 'C':
		if strings.HasPrefix(line, "CONNECT") {
			rest := line[len("CONNECT"):]
			if rest == "" || rest[0] == ' ' {
				return Result{Kind: Connect, Code: -1, Text: strings.TrimSpace(rest)}, true
			}
		}
	case 'R':
		if line == "RING" {
			kind = Ring
		}
	case 'B':
		if line == "BUSY" {
			kind = Busy
		}
	case 'N':
		switch line {
		case "NO CARRIER":
			kind = NoCarrier
		case "NO DIALTONE", "NO DIAL TONE":
			kind = NoDialtone
		case "NO ANSWER":
			kind = NoAnswer
		}
	case '+':
		return parseError(line)
	case '0', '1', '2', '3', '4', '6', '7', '8':
		if len(line) == 1 {
			return Result{Kind: digitResults[line[0]-'0'], Code: -1, Numeric: true}, true
		}
	}
	return Result{Kind: kind, Code: -1}, kind != NoResult
}

// digitResults: V.250 table 1. 5 is not assigned.
var digitResults = [...]ResultKind{OK, Connect, Ring, NoCarrier, Error, NoResult, NoDialtone, Busy, NoAnswer}

// parseError reads "+CME ERROR: n" (27.007 9.2) and "+CMS ERROR: n" (27.005
// 3.2.5), with the spacing that modules really send.
func parseError(line string) (Result, bool) {
	if len(line) < len("+CME ERROR") || line[1] != 'C' || line[2] != 'M' || line[4] != ' ' && line[4] != ':' {
		return Result{}, false
	}
	var kind ResultKind
	switch line[3] {
	case 'E':
		kind = CMEError
	case 'S':
		kind = CMSError
	default:
		return Result{}, false
	}
	rest := strings.TrimLeft(line[4:], " ")
	if !strings.HasPrefix(rest, "ERROR") {
		return Result{}, false
	}
	rest = strings.TrimLeft(rest[len("ERROR"):], " ")
	if rest != "" && rest[0] == ':' {
		rest = strings.TrimLeft(rest[1:], " ")
	}
	if n, ok := digits(rest); ok {
		return Result{Kind: kind, Code: n}, true
	}
	return Result{Kind: kind, Code: -1, Text: rest}, true
}

// digits reads a whole text of one to six digits.
func digits(s string) (int, bool) {
	if s == "" || len(s) > 6 {
		return 0, false
	}
	n := 0
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, true
}

// AnswerName returns the name of an answer or unsolicited line, "+CREG", and
// the offset behind its colon; "" when the line has no such prefix. It costs
// nothing for other lines and never allocates.
func AnswerName(line string) (name string, rest int) {
	if len(line) < 3 {
		return "", 0
	}
	switch line[0] {
	case '+', '*', '^', '#', '$', '%':
	default:
		return "", 0
	}
	if line[1] < 'A' || line[1] > 'Z' {
		return "", 0
	}
	for i := 2; i < len(line) && i <= 2*maxNameBytes; i++ {
		switch b := line[i]; {
		case b == ':':
			return line[:i], i + 1
		case b >= 'A' && b <= 'Z', b >= '0' && b <= '9', b == '_', b == '-', b == '.', b == '/', b == '!', b == '%':
		default:
			return "", 0
		}
	}
	return "", 0
}

// ParseAnswer reads a line as "+NAME: values". False: it has no such prefix.
// The offsets of the parameters count in line.
func ParseAnswer(line string) (Answer, bool) {
	name, rest := AnswerName(line)
	if name == "" {
		return Answer{Text: line}, false
	}
	end := len(line)
	for end > rest && (line[end-1] == '\r' || line[end-1] == '\n') {
		end--
	}
	return Answer{Name: name, Params: splitAt(line[rest:end], rest), Text: line}, true
}

// SplitParams cuts at commas outside quotes and outside brackets. An empty
// text has no parameters; "1," has two, the second one empty.
//
// A quote ends a string only before a comma, a closing bracket or the end, so
// that a text with quotes in it, as modules do send, stays in one piece.
func SplitParams(text string) []Param { return splitAt(text, 0) }

// Items opens a bracketed parameter, "(0-2)" or "(2,"Net")", of a test answer.
// False: the parameter has no brackets.
func (p Param) Items() ([]Param, bool) {
	n := len(p.Text)
	if p.Quoted || n < 2 || p.Text[0] != '(' || p.Text[n-1] != ')' {
		return nil, false
	}
	return splitAt(p.Text[1:n-1], p.At+1), true
}

// splitAt is SplitParams of a text that stands at offset base.
func splitAt(text string, base int) []Param {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	params := make([]Param, 0, strings.Count(text, ",")+1)
	from, depth, opened := 0, 0, false
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '"':
			if !opened {
				opened = true
			} else if endsString(text, i) {
				opened = false
			}
		case '(':
			if !opened {
				depth++
			}
		case ')':
			if !opened && depth > 0 {
				depth--
			}
		case ',':
			if !opened && depth == 0 {
				params = append(params, param(text[from:i], base+from))
				from = i + 1
			}
		}
	}
	return append(params, param(text[from:], base+from))
}

// endsString says whether the quote at i closes: what follows it is a comma, a
// bracket or the end.
func endsString(text string, i int) bool {
	for i++; i < len(text); i++ {
		switch text[i] {
		case ' ', '\t', '\r', '\n':
		case ',', ')', '(':
			return true
		default:
			return false
		}
	}
	return true
}

// param reads one parameter that stands at offset at.
func param(raw string, at int) Param {
	for raw != "" && raw[0] <= ' ' {
		raw, at = raw[1:], at+1
	}
	for raw != "" && raw[len(raw)-1] <= ' ' {
		raw = raw[:len(raw)-1]
	}
	if raw == "" {
		return Param{Empty: true, At: at}
	}
	if raw[0] != '"' {
		return Param{Text: raw, At: at}
	}
	inner := raw[1:]
	if n := len(inner); n > 0 && inner[n-1] == '"' {
		inner = inner[:n-1]
	}
	return Param{Text: unescape(inner), Quoted: true, At: at}
}

// unescape resolves \22 and its like, V.250 5.4.2.2; other backslashes stay.
func unescape(s string) string {
	i := strings.IndexByte(s, '\\')
	if i < 0 {
		return s
	}
	out := make([]byte, 0, len(s))
	out = append(out, s[:i]...)
	for ; i < len(s); i++ {
		if s[i] == '\\' && i+2 < len(s) {
			hi, ok1 := hexDigit(s[i+1])
			lo, ok2 := hexDigit(s[i+2])
			if ok1 && ok2 {
				out = append(out, hi<<4|lo)
				i += 2
				continue
			}
		}
		out = append(out, s[i])
	}
	return string(out)
}

func hexDigit(b byte) (byte, bool) {
	switch {
	case b >= '0' && b <= '9':
		return b - '0', true
	case b|0x20 >= 'a' && b|0x20 <= 'f':
		return b | 0x20 - 'a' + 10, true
	}
	return 0, false
}
