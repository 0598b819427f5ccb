package module

import "time"

// How long answers take. No standard says; the figures are our estimates of a
// usual module, and every one gets a random share on top (see jitter).
const (
	takesQuick   = 8 * time.Millisecond   // settings and identity
	takesRadio   = 25 * time.Millisecond  // answers that need the radio part
	takesCard    = 60 * time.Millisecond  // answers that need the card
	takesStore   = 120 * time.Millisecond // reading and writing texts on the card
	takesPower   = 300 * time.Millisecond // switching radios and engines
	takesSecret  = 350 * time.Millisecond // the card checks a PIN
	takesSend    = 2500 * time.Millisecond
	takesSearch  = 28 * time.Second // +COPS=?
	takesAttach  = 1800 * time.Millisecond
	takesContext = 1200 * time.Millisecond
	takesLeave   = 900 * time.Millisecond // leaving the network
	takesSag     = 400 * time.Millisecond // from the command to the first burst
)

// jitter draws the time that an answer of a kind takes this time.
func (m *Module) jitter(d time.Duration) time.Duration {
	return time.Duration(float64(around(m.delay, d)) * m.conditions().Timing.Slower).Round(time.Microsecond)
}
