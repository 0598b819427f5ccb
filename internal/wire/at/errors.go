package at

import (
	"sort"
	"strings"
)

// An errorRow is one line of the standards' error tables.
type errorRow struct {
	code    int
	meaning string // in our own words
	clause  string
	words   string // the standard's verbose text, small letters; "" when not known
}

// Clauses of the error tables.
const (
	cme1     = "3GPP TS 27.007 9.2.1"
	cme2     = "3GPP TS 27.007 9.2.2"
	cme3     = "3GPP TS 27.007 9.2.3"
	relay    = "3GPP TS 24.011 E-2"
	transfer = "3GPP TS 23.040 9.2.3.22"
	service  = "3GPP TS 27.005 3.2.5"
)

// CMEMeaning says in our words what "+CME ERROR: code" means, and where that
// is written. A code without a row of its own gives what is known of its range
// and false.
func CMEMeaning(code int) (meaning, clause string, ok bool) {
	if r, ok := findError(cmeErrors[:], code); ok {
		return r.meaning, r.clause, true
	}
	if code > 256 { // 9.2: reserved, or set by makers
		return "reserved, or set by the maker of the module", "3GPP TS 27.007 9.2", false
	}
	return "a code of a newer release, or reserved", "3GPP TS 27.007 9.2", false
}

// CMSMeaning says in our words what "+CMS ERROR: code" means, and where that
// is written. A code without a row of its own gives what is known of its range
// and false.
func CMSMeaning(code int) (meaning, clause string, ok bool) {
	if r, ok := findError(cmsErrors[:], code); ok {
		return r.meaning, r.clause, true
	}
	switch { // the ranges of 27.005 3.2.5; the last two from memory
	case code < 0:
		return "not a code", service, false
	case code <= 127:
		return "a cause the network gave, without a meaning of its own", relay, false
	case code <= 255:
		return "a failure of the message transfer, without a meaning of its own", transfer, false
	case code <= 511:
		return "reserved", service, false
	}
	return "set by the maker of the module", service, false
}

// CMECode finds the code of a verbose "+CME ERROR", in any case. The
// standard's words are from memory; makers change them.
func CMECode(text string) (int, bool) { return findWords(cmeErrors[:], text) }

// CMSCode finds the code of a verbose "+CMS ERROR", in any case.
func CMSCode(text string) (int, bool) { return findWords(cmsErrors[:], text) }

func findError(rows []errorRow, code int) (errorRow, bool) {
	i := sort.Search(len(rows), func(i int) bool { return rows[i].code >= code })
	if i < len(rows) && rows[i].code == code {
		return rows[i], true
	}
	return errorRow{}, false
}

func findWords(rows []errorRow, text string) (int, bool) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, false
	}
	for i := len(rows) - 1; i >= 0; i-- { // words of 27.005 itself before those it takes over
		if strings.EqualFold(rows[i].words, text) {
			return rows[i].code, true
		}
	}
	return 0, false
}
