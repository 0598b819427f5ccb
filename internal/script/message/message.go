// Package message composes, reads and prices texts: what to send for a text, what
// a recorded one says, what its recipient sees, and which texts a device may obey.
//
// # What it promises
//
// What [Write] returns is exact to the byte, for text mode and for PDU mode, and
// was checked by reading it back with the receiver's decoder. What is read comes
// with the octet and the clause of every field; a broken message gives all that
// could be read. A device that obeys [Remote] answers nobody it does not know,
// nothing twice, and nothing without end. Nothing here sends anything.
//
// # What it leaves to others
//
// How a message is spelled is the work of wire/sms, how a dialogue is held that of
// script/procedure, what is wrong in a recorded one that of judge/rules.
//
// # Where to start
//
// Read [Write], [Read] and [Reader], then [Remote].
package message

// Words for facts that no document holds.
const (
	practice = "common practice, no source"
	memory   = "from memory"
)

// The four cautions, shown where they apply.
const (
	CautionCost    = "each part is paid, and nothing here sends it: the procedure runs only with a spending limit given for that run"
	CautionAlarm   = "a text is not a guaranteed alarm: it may come late or never, so nobody's safety may hang on it"
	CautionPrivate = "a position is personal data when a person is with the thing: local privacy and consent law applies"
	CautionForged  = "a sender's number can be forged (TS 23.040 has no proof of origin, " + memory + "): nothing dangerous may be switched by a text"
)
