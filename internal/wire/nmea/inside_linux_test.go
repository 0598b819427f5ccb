package nmea

import (
	"syscall"
	"testing"
	"unsafe"
)

// The words that quick_unsafe.go reads lie inside the text: here every text ends where
// its memory ends, then begins where it begins. One byte too far and the test dies.
func TestQuickStaysInside(t *testing.T) {
	page := syscall.Getpagesize()
	memory, err := syscall.Mmap(-1, 0, 3*page, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_ANON|syscall.MAP_PRIVATE)
	if err != nil {
		t.Skip("no memory map here: ", err)
	}
	defer func() {
		if err := syscall.Munmap(memory); err != nil {
			t.Error(err)
		}
	}()
	for _, wall := range [][]byte{memory[:page], memory[2*page:]} {
		if err := syscall.Mprotect(wall, syscall.PROT_NONE); err != nil {
			t.Skip("no guard pages here: ", err)
		}
	}
	texts := append(drive(50),
		"$GPXXX*00", "$GPXXX,*00", "$GPXXX,,*00", "$GPXXX,1*00", "$GPRMC,,,,,,,,,,*00", "$GPRMC,,,,,,,,,,,,*00",
		"$GPGSV,,,,,,,*00", "$GPGSV,1,1,01,1,,,*00", "$GPGSV,1,1,01,01,02,003,*00", "$GPGLL,1,N,1,E,1,A*00", "$GPVTG,,,,,,,*00", "$GPGSA,,,,,,,,,,,,,,,,*00")
	for _, sample := range samples(t) {
		texts = append(texts, sample.Text)
	}
	e := new(ear)
	for _, text := range texts {
		for _, at := range []int{2*page - len(text), page} {
			copy(memory[at:], text)
			// The bytes stay as they are while the string is in use.
			_ = e.hear(unsafe.String(&memory[at], len(text)))
		}
	}
	*e = ear{} // it must not keep strings into memory that goes away
}
