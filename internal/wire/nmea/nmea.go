// Package nmea spells GNSS sentences.
//
// # What it promises
//
// Sentences follow NMEA 0183 (IEC 61162-1), versions 2.0 to 4.11, any talker.
// A decoder returns all it could read and says which field it could not.
// An empty field is not known, never zero. Decoding does not allocate.
//
// # What it leaves to others
//
// Which sentences belong together is the work of talk/epoch.
//
// # Where to start
//
// Read [Scan], then the table of one sentence, rmc.go.
package nmea

// MaxFields is how many fields a sentence may have here; more are counted and
// left unread. GSV and GRS are the longest with 21 in version 4.11.
const MaxFields = 40

// Sentence is a sentence cut into fields. Its strings share the bytes given to Scan.
type Sentence struct {
	Text     string // from "$" or "!" to before the line end
	Tag      string // what stood between the backslashes of a tag block before it
	Talker   string // "GP", "GN"…; "P" for a maker's own sentence
	Type     string // "RMC", "GSV"…; the whole rest of the address for a maker's own
	Fields   [MaxFields]string
	Count    int  // fields after the address
	Checksum byte // as computed
	Said     byte // as written after "*"
	HasSum   bool // a checksum was written
	TooMany  bool // more than MaxFields
}

// SumOK says that a checksum was written and is right.
func (s *Sentence) SumOK() bool { return s.HasSum && s.Said == s.Checksum }

// Field returns field number n, counted from 1 after the address; "" when absent.
func (s *Sentence) Field(n int) string {
	if n < 1 || n > s.Count {
		return ""
	}
	return s.Fields[n-1]
}
