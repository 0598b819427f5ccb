package controller

import "fmt"

// Event is one thing that the outside can see or should know.
type Event struct {
	At    Cycle
	Kind  EventKind
	Pin   Pin    // of PinDriven
	Drive Drive  // of PinDriven
	Addr  uint16 // register or data address, where the kind has one
	PC    uint32 // byte address in the program
	Text  string // in plain words; empty for PinDriven
}

// EventKind says what an event is.
type EventKind uint8

// The kinds of events.
const (
	PinDriven    EventKind = iota // the controller changed what it does to a watched pin
	WasReset                      // a reset, with its cause
	Restarted                     // the program jumped to its own beginning
	NotModelled                   // a register or mode that this package does not have
	BeyondRAM                     // an access where the part has no memory
	FloatingRead                  // an input was read that nobody drives
	Contention                    // two sides drive one wire against each other
	ByteLost                      // the receiver was full
	FramingError                  // a stop bit was low
	UnsafeSupply                  // the clock is too fast for the supply
	Refused                       // an access that the part ignores in its present state
	TooManyNotes                  // no more will be said
)

// StopReason says why Run ended.
type StopReason uint8

// The reasons. All but the first two are final until Reset.
const (
	ReachedTime    StopReason = iota
	EventWaiting              // RunToEvent has one
	WildJump                  // it executes flash that was never written
	BadOpcode                 // it executes a word that is no instruction of the part
	StackOutside              // the stack has left RAM
	SelfProgrammed            // it executes SPM or asks for it
	RestartLoop               // it restarts again and again and gets nowhere
	Ended                     // it goes round in a loop that nothing can end
	SleepsForEver             // it sleeps and nothing can wake it
	Stalled                   // nothing has happened for longer than the limit
)

var stopNames = [...]string{"reached the time", "an event is waiting", "wild jump", "no instruction", "stack outside RAM", "self-programming",
	"restarts again and again", "the program has ended", "sleeps for ever", "stalled"}

func (r StopReason) String() string { return stopNames[r] }

// Stop is how a run ended.
type Stop struct {
	Why  StopReason
	At   Cycle
	PC   uint32 // byte address
	Text string // what happened and where, in plain words; empty for the first two
}

// Final says that running on makes no sense.
func (s Stop) Final() bool { return s.Why > EventWaiting }

func (s Stop) String() string {
	if s.Text == "" {
		return s.Why.String()
	}
	return s.Why.String() + ": " + s.Text
}

// halt ends the run for good.
func (c *Core) halt(why StopReason, format string, args ...any) {
	if c.stopped {
		return
	}
	c.stopped = true
	c.stop = Stop{Why: why, At: c.cycle, PC: c.pc * 2, Text: fmt.Sprintf(format, args...) + " at " + c.place(c.pc)}
}

// place names a word address with its symbol.
func (c *Core) place(pc uint32) string {
	if c.image != nil {
		if s := c.image.Place(pc * 2); s != "" {
			return fmt.Sprintf("0x%04X (%s)", pc*2, s)
		}
	}
	return fmt.Sprintf("0x%04X", pc*2)
}

// A noteKey is what is said once.
type noteKey struct {
	kind EventKind
	addr uint16
}

// maxNotes is how many different things one run says; a wild program touches everything.
const maxNotes = 200

// note says something once for each address.
func (c *Core) note(kind EventKind, addr uint16, format string, args ...any) {
	key := noteKey{kind, addr}
	if c.noted[key] || len(c.noted) > maxNotes {
		return
	}
	c.noted[key] = true
	text := fmt.Sprintf(format, args...) + " at " + c.place(c.pc)
	if len(c.noted) > maxNotes {
		kind, text = TooManyNotes, fmt.Sprintf("%d different things were said; no more will be", maxNotes)
	}
	c.out = append(c.out, Event{At: c.cycle, Kind: kind, Addr: addr, PC: c.pc * 2, Text: text})
}

// say reports what may happen often.
func (c *Core) say(at Cycle, kind EventKind, addr uint16, format string, args ...any) {
	c.out = append(c.out, Event{At: at, Kind: kind, Addr: addr, PC: c.pc * 2, Text: fmt.Sprintf(format, args...) + " at " + c.place(c.pc)})
}
