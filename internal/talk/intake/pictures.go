package intake

import "strings"

// A picture is how a terminal or a log shows a control byte that it cannot print.
type picture struct {
	shown string
	is    byte
	sure  bool // nobody types it: it is always a picture
}

// pictures are common practice, no source; longer ones first where one begins another.
var pictures = [...]picture{
	{"<CR>", '\r', true}, {"<LF>", '\n', true}, {"<SUB>", 0x1A, true}, {"<ESC>", 0x1B, true}, {"<NUL>", 0, true},
	{"<cr>", '\r', true}, {"<lf>", '\n', true}, {"<sub>", 0x1A, true}, {"<esc>", 0x1B, true}, {"<BS>", '\b', true},
	{"<CTRL-Z>", 0x1A, true}, {"<Ctrl-Z>", 0x1A, true}, {"<ctrl-z>", 0x1A, true}, {"<CTRL+Z>", 0x1A, true}, {"<Ctrl+Z>", 0x1A, true},
	{"[CR]", '\r', true}, {"[LF]", '\n', true}, {"[SUB]", 0x1A, true}, {"[ESC]", 0x1B, true}, {"[NUL]", 0, true},
	{"{CR}", '\r', true}, {"{LF}", '\n', true}, {"{SUB}", 0x1A, true}, {"{ESC}", 0x1B, true},
	{"<0x0D>", '\r', true}, {"<0x0A>", '\n', true}, {"<0x1A>", 0x1A, true}, {"<0x1B>", 0x1B, true}, {"<0x00>", 0, true},
	{"<0x0d>", '\r', true}, {"<0x0a>", '\n', true}, {"<0x1a>", 0x1A, true}, {"<0x1b>", 0x1B, true},
	{"[0D]", '\r', true}, {"[0A]", '\n', true}, {"[1A]", 0x1A, true}, {"[1B]", 0x1B, true}, {"[00]", 0, true},
	{"[0d]", '\r', true}, {"[0a]", '\n', true}, {"[1a]", 0x1A, true}, {"[1b]", 0x1B, true},
	{"<0D>", '\r', true}, {"<0A>", '\n', true}, {"<1A>", 0x1A, true}, {"<1B>", 0x1B, true}, {"<00>", 0, true},
	{"\u240d", '\r', true}, {"\u240a", '\n', true}, {"\u241a", 0x1A, true}, {"\u241b", 0x1B, true}, {"\u2400", 0, true},
	{"^M", '\r', true}, {"^J", '\n', true}, {"^Z", 0x1A, true}, {"^[", 0x1B, true}, {"^@", 0, true},
	{`\r`, '\r', false}, {`\n`, '\n', false}, {`\x0d`, '\r', false}, {`\x0a`, '\n', false}, {`\x0D`, '\r', false}, {`\x0A`, '\n', false},
	{`\x1a`, 0x1A, true}, {`\x1A`, 0x1A, true}, {`\x1b`, 0x1B, true}, {`\x1B`, 0x1B, true}, {`\032`, 0x1A, true}, {`\x00`, 0, true},
	{`\t`, '\t', false},
}

// startsPicture says whether a picture can begin with b.
func startsPicture(b byte) bool {
	switch b {
	case '<', '[', '{', '\\', '^', 0xe2: // the last for U+240D and its neighbours
		return true
	}
	return false
}

// pictureAt returns the picture at the start of s; nil for none.
func pictureAt(s string) *picture {
	if s == "" || !startsPicture(s[0]) {
		return nil
	}
	for i := range pictures {
		if strings.HasPrefix(s, pictures[i].shown) {
			return &pictures[i]
		}
	}
	return nil
}

// undoPictures turns all pictures into the bytes they stand for; the unsure
// ones, as \r, only when all.
func undoPictures(s string, all bool) string {
	i := 0
	for i < len(s) && !startsPicture(s[i]) {
		i++
	}
	if i == len(s) {
		return s
	}
	out := make([]byte, 0, len(s))
	out = append(out, s[:i]...)
	for i < len(s) {
		if p := pictureAt(s[i:]); p != nil && (p.sure || all) {
			out = append(out, p.is)
			i += len(p.shown)
			continue
		}
		out = append(out, s[i])
		i++
	}
	return string(out)
}

// endPicture returns the picture at the end of s; nil for none.
func endPicture(s string) *picture {
	for i := range pictures {
		if p := &pictures[i]; strings.HasSuffix(s, p.shown) {
			return p
		}
	}
	return nil
}

// undoTextEnd turns the picture of SUB or ESC at the end of a text into its
// byte. A blank may have been pasted behind it.
func undoTextEnd(s string) string {
	t := strings.TrimRight(s, " ")
	if p := endPicture(t); p != nil && (p.is == 0x1A || p.is == 0x1B) {
		return t[:len(t)-len(p.shown)] + string(p.is)
	}
	return s
}

// showsEnds says whether lines show their own ends: "AT<CR>", "\r\nOK\r\n". all
// says that \r and \n are meant as well.
func showsEnds(lines []string) (sure, all bool) {
	sures, unsures, answers := 0, 0, 0
	for _, t := range lines {
		p := endPicture(strings.TrimRight(t, " \"'"))
		if p == nil || p.is != '\r' && p.is != '\n' {
			continue
		}
		if p.sure {
			sures++
			continue
		}
		unsures++
		// A program can send the letters \r by mistake; a module does not answer so.
		if bare := strings.Trim(undoPictures(t, true), "\r\n \"'"); isResult(bare) || isAnswer(bare) || isSentence(bare) {
			answers++
		}
	}
	return sures*5 >= len(lines) && sures > 0, unsures*5 >= len(lines) && answers > 0
}

// undoHex reads a payload of hexadecimal pairs, "41 54 0D", "41540d",
// "0x41,0x54", with or without a column of text behind it.
func undoHex(s string) (string, bool) {
	s = strings.TrimSpace(s)
	out := make([]byte, 0, len(s)/2)
	for s != "" {
		if len(s) >= 4 && s[0] == '0' && s[1]|0x20 == 'x' {
			s = s[2:]
		}
		b, ok := hexByte(s)
		if !ok {
			return "", false
		}
		out = append(out, b)
		s = s[2:]
		if s == "" {
			break
		}
		gap := strings.TrimLeft(s, " ,:-\t")
		if wide := len(s) - len(gap); wide >= 2 && !strings.ContainsAny(s[:wide], ",:-") || strings.HasPrefix(gap, "|") {
			break // a column of text begins
		}
		s = gap
	}
	return string(out), len(out) > 0
}

// isHexDump says whether payloads are hexadecimal: nearly all of them read so,
// and what they say is a dialogue.
func isHexDump(lines []string) bool {
	pairs, known := 0, 0
	for _, t := range lines {
		b, ok := undoHex(t)
		if !ok || len(strings.TrimSpace(t)) < 2 {
			continue
		}
		pairs++
		u := strings.ToUpper(b)
		if strings.ContainsAny(b, "\r\n") || strings.Contains(u, "AT") || strings.Contains(u, "OK") || strings.Contains(u, "$G") {
			known++
		}
	}
	return known > 0 && pairs*10 >= len(lines)*8
}
