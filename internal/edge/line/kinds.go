package line

import (
	"regexp"
	"strings"
)

// kind is one kind of line that [Open] can open.
type kind struct {
	name  string
	form  string // for people
	match func(address string) (rest string, ok bool)
	open  func(rest string, baud int) (Line, error)
}

// kinds lists them; the first that matches an address counts. Pseudo-terminals
// are made and not opened: [NewPTY]. Each kind passes suite_test.go.
var kinds = []kind{
	{name: "tcp", form: "tcp:host:port", match: prefix("tcp:"), open: func(address string, _ int) (Line, error) { return Dial(address) }},
	{name: "serial", form: "a device such as /dev/ttyUSB0 or COM3", match: device, open: func(name string, baud int) (Line, error) { return OpenSerial(name, baud) }},
}

func prefix(p string) func(string) (string, bool) {
	return func(address string) (string, bool) { return strings.CutPrefix(address, p) }
}

// comPort is how Windows names its ports.
var comPort = regexp.MustCompile(`(?i)^COM[0-9]+$`)

// device is any path, and a Windows port name.
func device(address string) (string, bool) {
	return address, strings.Contains(address, "/") || comPort.MatchString(address)
}
