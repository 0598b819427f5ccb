package message

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A RemoteWord is one word of a command by text, with what it means.
type RemoteWord struct {
	At      int // octet of the text
	Text    string
	Name    string // "command", "minutes", "number", "code"
	Means   string
	Problem string // why no device would take it; "" when it may be right
}

// codeSigns are the characters of a one-time code: no 0, O, 1 or I.
const codeSigns = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"

// ReadRemote puts a command by text into words, by the grammar of docs/formats/remote-commands.md and
// its usual commands. False: the text is none. Whether a device obeys is for [Remote] to decide.
func ReadRemote(text string) ([]RemoteWord, bool) {
	plain := strings.TrimRight(text, ".!? \r\n")
	if len(text) > maxCommandText {
		return nil, false
	}
	words := cutWords(plain)
	if len(words) == 0 {
		return nil, false
	}
	i := slices.IndexFunc(UsualCommands, func(c RemoteCommand) bool { return c.Word == strings.ToLower(words[0].Text) })
	if i < 0 {
		return nil, false
	}
	c := &UsualCommands[i]
	words[0].Name, words[0].Means = "command", c.Means
	if !c.Sets {
		return words, len(words) == 1 // with more words it is what a person writes
	}
	rest := words[1:]
	if len(rest) == 0 || !strings.Contains("#0123456789", rest[0].Text[:1]) {
		return nil, false
	}
	if c.Values != "" && rest[0].Text[0] != '#' {
		rest[0].Name, rest[0].Means = "value", c.Values
		if n, err := strconv.Atoi(rest[0].Text); err != nil || n < c.Least || n > c.Most {
			rest[0].Problem = fmt.Sprintf("want %s from %d to %d", c.Values, c.Least, c.Most)
		}
		rest = rest[1:]
	} else if c.Values != "" {
		words[0].Problem = "want " + c.Values + " behind it"
	}
	readKey(words, rest)
	return words, true
}

// readKey reads the number and the one-time code that end a setting.
func readKey(words, rest []RemoteWord) {
	if len(rest) != 2 {
		words[0].Problem = "want #number and a one-time code at its end, and nothing else"
	}
	for i := range rest {
		w := &rest[i]
		switch {
		case strings.HasPrefix(w.Text, "#"):
			w.Name, w.Means = "number", "of the code: each is good once, and only while no higher one was used"
			if n, err := strconv.Atoi(w.Text[1:]); err != nil || n < 1 || n > MaxSequence || i != 0 {
				w.Problem = fmt.Sprintf("want one number from 1 to %d behind #, in front of the code", MaxSequence)
			}
		default:
			w.Name, w.Means = "code", "one-time code of that number, for one device"
			if len(w.Text) != CodeLength || strings.Trim(strings.ToUpper(w.Text), codeSigns) != "" || i != 1 {
				w.Problem = fmt.Sprintf("want %d characters of %s at the end", CodeLength, codeSigns)
			}
		}
	}
}

func cutWords(text string) (words []RemoteWord) {
	for at := 0; at < len(text); {
		if text[at] == ' ' || text[at] == '\t' {
			at++
			continue
		}
		end := at
		for end < len(text) && text[end] != ' ' && text[end] != '\t' {
			end++
		}
		words = append(words, RemoteWord{At: at, Text: text[at:end]})
		at = end
	}
	return words
}
