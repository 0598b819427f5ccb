package nmea

// Scan cuts a sentence, without its line end, into fields and computes its checksum.
// It fills s as far as it can even when it returns an error.
func Scan(text string, s *Sentence) error { return nil }
