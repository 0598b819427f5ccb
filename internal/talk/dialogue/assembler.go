package dialogue

import (
	"firstfix/internal/talk/capture"
	"firstfix/internal/when"
)

// Assembler turns records into events.
type Assembler struct{}

// New returns an assembler at the start of a dialogue.
func New() *Assembler { return &Assembler{} }

// Feed gives the assembler the next record. It appends what follows to out and
// returns the longer slice. What fell due by r.At comes first.
func (a *Assembler) Feed(r capture.Record, out []Event) []Event { return out }

// Tick tells the assembler that time has reached now and nothing else happened.
func (a *Assembler) Tick(now when.Instant, out []Event) []Event { return out }

// Deadline says when Tick is next wanted, and why. [when.Never] asks for nothing.
func (a *Assembler) Deadline() (at when.Instant, why string) { return when.Never, "" }

// End tells the assembler that nothing more will come.
func (a *Assembler) End(out []Event) []Event { return out }
