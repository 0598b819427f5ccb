package nmea

import (
	"encoding/binary"
	"unsafe"
)

// This is the only file here that steps around the checks of the language, and all of
// it: two reads of a text at an offset that is known to be inside, and one write. The checks
// cost about a third of the time of scanning. Who calls them owes this:
//
//   - the offsets are those that cut found in the same text, or lie between them: they
//     ascend, the first is 6, the last is len(text)-3;
//   - a word that ends at such an offset begins at 0 or later, for it ends after "$GPRMC,"
//     and at least one byte more.
//
// TestQuickStaysInside runs them over texts that end where their memory ends.

// wordAt reads text[at:at+8], the first byte lowest.
func wordAt(text string, at int) uint64 {
	return binary.LittleEndian.Uint64((*[8]byte)(unsafe.Add(unsafe.Pointer(unsafe.StringData(text)), at))[:])
}

// halfAt reads text[at:at+4], the first byte lowest.
func halfAt(text string, at int) uint32 {
	return binary.LittleEndian.Uint32((*[4]byte)(unsafe.Add(unsafe.Pointer(unsafe.StringData(text)), at))[:])
}

// putWord writes the bytes of w to cuts[at:at+8], the lowest first. at is a count of commas,
// so at most maxQuick.
func putWord(cuts *[maxCuts]uint8, at int, w uint64) {
	binary.LittleEndian.PutUint64((*[8]byte)(unsafe.Add(unsafe.Pointer(cuts), at))[:], w)
}
