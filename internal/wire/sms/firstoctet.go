package sms

import "strings"

// Kind is one of the six messages of the transfer layer, TS 23.040 clause 9.2.2.
type Kind byte

// The kinds. The two lowest bits of the first octet choose among three in each
// direction (clause 9.2.3.1).
const (
	KindUnknown       Kind = iota // nothing was read, or a reserved type to the network
	KindDeliver                   // a message that arrives
	KindDeliverReport             // the device's word on a message that arrived
	KindSubmit                    // a message to send
	KindSubmitReport              // the network's word on a message sent
	KindStatusReport              // what became of a message
	KindCommand                   // an order about a message sent earlier
)

// String is the standard's name without the SMS- in front.
func (k Kind) String() string {
	names := [...]string{"unknown", "DELIVER", "DELIVER-REPORT", "SUBMIT", "SUBMIT-REPORT", "STATUS-REPORT", "COMMAND"}
	if int(k) < len(names) {
		return names[k]
	}
	return names[0]
}

var kindWords = [...]string{
	KindUnknown:       "reserved message type",
	KindDeliver:       "DELIVER: a message that arrives",
	KindDeliverReport: "DELIVER-REPORT: the device's word on a message that arrived",
	KindSubmit:        "SUBMIT: a message to send",
	KindSubmitReport:  "SUBMIT-REPORT: the network's word on a message sent",
	KindStatusReport:  "STATUS-REPORT: what became of a message",
	KindCommand:       "COMMAND: an order about a message sent earlier",
}

// ToNetwork and FromNetwork name the two values of the direction argument: a
// message that leaves the device (SUBMIT), or one that comes to it (DELIVER).
const (
	ToNetwork   = true
	FromNetwork = false
)

// FirstOctet is the first octet of a message, taken apart. Which flags mean
// something depends on the kind; the others are false.
type FirstOctet struct {
	Octet            byte
	Kind             Kind
	MessageType      byte         // the two lowest bits as they stand
	RejectDuplicates bool         // SUBMIT: drop a copy with the same reference and destination
	Validity         ValidityForm // SUBMIT
	MoreMessages     bool         // DELIVER, STATUS-REPORT: more wait at the service centre (bit clear)
	LoopPrevention   bool         // DELIVER, STATUS-REPORT: came out of an automatic forwarding
	StatusRequest    bool         // SUBMIT, COMMAND: a status report is asked for
	StatusIndication bool         // DELIVER: a status report will go back to the sender
	AboutCommand     bool         // STATUS-REPORT: it answers a COMMAND, not a SUBMIT
	HasHeader        bool         // the user data begins with a header
	ReplyPath        bool         // SUBMIT, DELIVER: an answer may use the same service centre
}

// ReadFirstOctet takes the first octet of a message apart, TS 23.040 clause 9.2.2.
// A reserved type from the network is read as DELIVER (clause 9.2.3.1).
func ReadFirstOctet(fo byte, toNetwork bool) FirstOctet {
	f := FirstOctet{Octet: fo, MessageType: fo & 3, HasHeader: fo&0x40 != 0}
	if toNetwork {
		f.Kind = [4]Kind{KindDeliverReport, KindSubmit, KindCommand, KindUnknown}[fo&3]
	} else {
		f.Kind = [4]Kind{KindDeliver, KindSubmitReport, KindStatusReport, KindDeliver}[fo&3]
	}
	switch f.Kind {
	case KindSubmit: // clause 9.2.2.2
		f.RejectDuplicates = fo&0x04 != 0
		f.Validity = ValidityForm(fo >> 3 & 3)
		f.StatusRequest = fo&0x20 != 0
		f.ReplyPath = fo&0x80 != 0
	case KindDeliver: // clause 9.2.2.1
		f.MoreMessages = fo&0x04 == 0
		f.LoopPrevention = fo&0x08 != 0
		f.StatusIndication = fo&0x20 != 0
		f.ReplyPath = fo&0x80 != 0
	case KindStatusReport: // clause 9.2.2.3
		f.MoreMessages = fo&0x04 == 0
		f.LoopPrevention = fo&0x08 != 0
		f.AboutCommand = fo&0x20 != 0
	case KindCommand: // clause 9.2.2.4
		f.StatusRequest = fo&0x20 != 0
	}
	return f
}

// Words says the first octet in words, the kind first.
func (f FirstOctet) Words() []string {
	words := []string{kindWords[f.Kind]}
	if f.MessageType == 3 {
		words = append(words, "message type 11 is reserved")
	}
	if f.Kind == KindSubmit {
		words = append(words, f.Validity.String())
	}
	for _, flag := range [...]struct {
		set   bool
		words string
	}{
		{f.RejectDuplicates, "a copy with the same reference and destination is rejected"},
		{f.MoreMessages, "more messages wait at the service centre"},
		{f.LoopPrevention, "it was forwarded automatically: do not forward or answer by machine"},
		{f.StatusRequest, "a status report is asked for"},
		{f.StatusIndication, "the sender gets a status report"},
		{f.AboutCommand, "it answers a COMMAND"},
		{f.HasHeader, "the user data begins with a header"},
		{f.ReplyPath, "an answer may go through the same service centre"},
	} {
		if flag.set {
			words = append(words, flag.words)
		}
	}
	return words
}

// String joins the words.
func (f FirstOctet) String() string { return strings.Join(f.Words(), "; ") }
