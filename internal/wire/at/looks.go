package at

import "strings"

// longestWord is the shortest run of letters behind "AT" that makes it a word
// and no command: basic commands are of one letter (V.250 5.3.1), people chain
// two or three without numbers, and "attach" is English.
const longestWord = 4

// IsCommandLine says whether a line is meant as a command, well spelled or not:
// "AT" in any case, since modules are lenient, and then nothing, a mark of an
// extended command or basic commands (V.250 5.2.1 to 5.4.1); or "A/" (5.2.4). A
// sentence that begins with "at", as "at home" or "attach the trailer", is none.
// It is for places where a line of text could stand as well; what a command
// line says is for [ParseLine]. It does not allocate.
func IsCommandLine(line string) bool {
	if len(line) < 2 || line[0]|0x20 != 'a' {
		return false
	}
	if line[1] == '/' {
		return strings.TrimRight(line[2:], " ") == ""
	}
	if line[1]|0x20 != 't' {
		return false
	}
	rest := line[2:]
	if rest == "" {
		return true
	}
	if rest[0] == ' ' {
		return spacedCommands(rest)
	}
	if rest[0]|0x20 == 'd' && !(len(rest) > 1 && isLower(rest[1]) && rest[1] != 't' && rest[1] != 'p') {
		return true // what is dialled may hold letters: D, DT and DP, V.250 6.3.1
	}
	letters := 0
	for letters < len(rest) && isLetter(rest[letters]) {
		letters++
	}
	return letters < longestWord
}

// spacedCommands says whether what stands behind "AT" and a space is commands:
// spaces are allowed everywhere (V.250 5.2.2), but people also begin sentences
// with "at". Basic commands must stand alone with their numbers.
func spacedCommands(rest string) bool {
	rest = strings.TrimLeft(rest, " ")
	if rest == "" || len(rest) > 1 && (isExtendedMark(rest[0]) || rest[0] == '&') && isLetter(rest[1]) {
		return true
	}
	for word := range strings.SplitSeq(rest, " ") {
		if word == "" {
			continue
		}
		if !isLetter(word[0]) || strings.Trim(word[1:], "0123456789") != "" {
			return false
		}
	}
	return true
}

func isLower(b byte) bool { return b >= 'a' && b <= 'z' }
