// Package nmea spells GNSS sentences.
//
// # What it promises
//
// Sentences follow NMEA 0183 (IEC 61162-1), versions 2.0 to 4.11, any talker.
// A decoder returns all it could read and says which field it could not.
// An empty field is not known, never zero. Scanning and decoding a sentence that
// fits the standard does not allocate; telling what is wrong with one does.
//
// # What it leaves to others
//
// Which sentences belong together is the work of talk/epoch; whether a position
// may be trusted is the work of earth/fix and of the judge.
//
// # Where to start
//
// Read [Scan], then the table of one sentence, rmc.go; the list of all of them
// is sentences.go. What one kind of field accepts is written in values.go. The files
// quick_*.go say nothing new: they read the usual shapes faster than the
// tables can, and a test holds the two together.
//
// The standards are sold, so rows and codes rest on public descriptions of them;
// what is only remembered says "from memory" beside it.
package nmea

// MaxFields is how many fields a sentence may have here; more are counted as
// TooMany and left unread. GSV with 20 fields in version 4.10 is the longest known.
const MaxFields = 40

// MaxSentence is the written limit of a sentence with "$" and its line end,
// NMEA 0183. Longer ones are met and read all the same.
const MaxSentence = 82

// Sentence is a sentence cut into fields. Its strings share the bytes given to Scan.
type Sentence struct {
	Text     string // from "$" or "!" to before the line end
	Tag      string // what stood between the backslashes of a tag block before it
	Talker   string // "GP", "GN"…; "P" for a maker's own sentence
	Type     string // "RMC", "GSV"…; the whole rest of the address for a maker's own
	Count    int    // fields after the address, see Field
	Checksum byte   // as computed
	Said     byte   // as written after "*"
	HasSum   bool   // a checksum was written
	TooMany  bool   // more than MaxFields

	// Where the fields are. Mostly nobody asks for them as strings, so they are kept as
	// offsets when the sentence was scanned by words, else as strings.
	quick  bool
	cuts   [maxCuts]uint8    // where in Text each field ends: its comma, or "*" for the last; [0] ends the address
	fields [MaxFields]string // empty from Count on
}

// SumOK says that a checksum was written and is right.
func (s *Sentence) SumOK() bool { return s.HasSum && s.Said == s.Checksum }

// Field returns field number n, counted from 1 after the address; "" when absent.
func (s *Sentence) Field(n int) string {
	if n < 1 || n > s.Count {
		return ""
	}
	if s.quick {
		start, end := s.span(n)
		return s.Text[start:end]
	}
	return s.fields[n-1]
}

// Fields appends the fields, from the first, to out.
func (s *Sentence) Fields(out []string) []string {
	for n := 1; n <= s.Count; n++ {
		out = append(out, s.Field(n))
	}
	return out
}

// IsMakers says that the sentence is a maker's own, which no standard describes.
func (s *Sentence) IsMakers() bool { return s.Talker == "P" }

// Query returns what a query sentence asks of whom: "$CCGPQ,GGA" asks talker GP for GGA.
func (s *Sentence) Query() (listener, wanted string, ok bool) {
	if s.IsMakers() || len(s.Type) != 3 || s.Type[2] != 'Q' {
		return "", "", false
	}
	return s.Type[:2], s.Field(1), true
}
