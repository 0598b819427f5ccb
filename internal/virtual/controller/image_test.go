package controller

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"firstfix/internal/tidy/needs"
)

// hexOf writes bytes in Intel's format, as its specification describes it.
func hexOf(base uint32, data []byte, width int) string {
	var b strings.Builder
	record := func(kind byte, addr uint16, data []byte) {
		r := append([]byte{byte(len(data)), byte(addr >> 8), byte(addr), kind}, data...)
		var sum byte
		for _, v := range r {
			sum += v
		}
		fmt.Fprintf(&b, ":%X%02X\n", r, -sum)
	}
	segment := uint32(0xFFFFFFFF)
	for len(data) > 0 {
		n := min(width, len(data), int(0x10000-base&0xFFFF))
		if base>>16 != segment {
			segment = base >> 16
			record(4, 0, []byte{byte(segment >> 8), byte(segment)})
		}
		record(0, uint16(base), data[:n])
		data, base = data[n:], base+uint32(n)
	}
	record(1, 0, nil)
	return b.String()
}

// TestHexPublished reads the records of the format's usual worked example (published
// with Intel's specification and in its encyclopaedia articles).
func TestHexPublished(t *testing.T) {
	text := ":10010000214601360121470136007EFE09D2190140\n:100110002146017E17C20001FF5F16002148011928\r\n" +
		":10012000194E79234623965778239EDA3F01B2CAA7\n:100130003F0156702B5E712B722B732146013421C7\n:00000001FF\n"
	m, err := ReadHex("published.hex", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Flash) != 0x140 || m.Flash[0xFF] != 0xFF || m.Flash[0x100] != 0x21 || m.Flash[0x13F] != 0x21 || m.Flash[0x121] != 0x4E {
		t.Errorf("%d bytes: % X", len(m.Flash), m.Flash[0x100:])
	}
}

func TestHexRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := rapid.SliceOfN(rapid.Byte(), 1, 3000).Draw(t, "data")
		base := rapid.Uint32Range(0, 120_000).Draw(t, "base")
		m, err := ReadHex("x.hex", []byte(hexOf(base, data, rapid.IntRange(1, 255).Draw(t, "width"))))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(m.Flash[base:], data) {
			t.Fatalf("read %X", m.Flash[base:])
		}
	})
}

func TestHexEEPROMAndFuses(t *testing.T) {
	text := strings.TrimSuffix(hexOf(0, []byte{1, 2}, 16), ":00000001FF\n") + hexOf(0x81_0003, []byte{9}, 16)
	m, err := ReadHex("x.hex", []byte(text))
	if err != nil || !bytes.Equal(m.EEPROM, []byte{0xFF, 0xFF, 0xFF, 9}) {
		t.Errorf("%v, %X", err, m.EEPROM)
	}
	if m, err = ReadHex("x.hex", []byte(hexOf(0x82_0000, []byte{0xFF, 0xD9, 0xFD}, 16))); err != nil || len(m.Flash) != 0 {
		t.Errorf("fuses: %v, %X", err, m.Flash)
	}
}

func TestHexErrors(t *testing.T) {
	good := hexOf(0, []byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, 4)
	lines := strings.Split(good, "\n")
	for _, row := range []struct{ name, text, want string }{
		{"empty", "", "line 1: the file ends without an end record"},
		{"no end", strings.Join(lines[:3], "\n"), "line 3: the file ends without an end record"},
		{"cut in a line", good[:30], "cut short"},
		{"twice", lines[1] + "\n" + lines[1] + "\n" + lines[4], "line 2: gives the byte at address 0x0 of flash, which line 1 gave already"},
		{"overlap by one", lines[1] + "\n:01000300FFFD\n:00000001FF", "line 2: gives the byte at address 0x3"},
		{"after the end", good + lines[1], "after the end record of line 5"},
		{"no colon", "04000000", "line 1: begins with '0': want a colon"},
		{"odd", ":0400000001020304F", "want an even number"},
		{"not hex", ":04000000010203G4F2", "want hexadecimal digits"},
		{"checksum", ":0400000001020304F3", "checksum 0xF3: want 0xF2"},
		{"count", ":0500000001020304F1", "9 bytes, but its count says 10"},
		{"type", ":00000009F7", "a record of type 9: want 0 to 5"},
		{"address record", ":0100000401FA", "an address record with 1 bytes: want 2"},
		{"far away", ":020000040010EA\n:0100000001FE\n:00000001FF", "1 bytes at address 0x100000: want flash to end at 0x3FFFF"},
	} {
		_, err := ReadHex("x.hex", []byte(row.text))
		if err == nil || !strings.Contains(err.Error(), row.want) || !strings.HasPrefix(err.Error(), "x.hex: ") {
			t.Errorf("%s: %v; want %q", row.name, err, row.want)
		}
	}
}

func TestLoadErrors(t *testing.T) {
	image := func(from uint32, data []byte) *Image {
		m, err := ReadHex("x.hex", []byte(hexOf(from, data, 16)))
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	larger := []byte{0x0C, 0x94, 0x00, 0x00, 0, 0}
	for _, row := range []struct {
		name string
		m    *Image
		want string
	}{
		{"too large", image(0x7FFE, []byte{1, 2, 3}), "32769 bytes of program, the first too many at address 0x8000 (line or part 2): want at most 32768, the flash of the atmega328p"},
		{"nothing", &Image{Name: "x.hex"}, "no program in it"},
		{"EEPROM too large", &Image{Name: "x.hex", Flash: larger, EEPROM: make([]byte, 2000)}, "2000 bytes of EEPROM: want at most 1024"},
		{"other part", &Image{Name: "x.elf", Part: "atmega2560", Flash: larger}, "built for the atmega2560: want an image for the atmega328p"},
		{"far reset vector", image(0, []byte{0x0C, 0x94, 0x00, 0x90}), "the reset vector jumps to 0x12000: want an address below 0x8000"},
		// jmp 4; ldi r28, 0xFF; ldi r29, 0x21; out SPH, r29; out SPL, r28: RAM of a larger part.
		{"far stack", image(0, []byte{0x0C, 0x94, 2, 0, 0xCF, 0xEF, 0xD1, 0xE2, 0xDE, 0xBF, 0xCD, 0xBF}), "puts the stack at 0x21FF: want at most 0x08FF"},
	} {
		err := New(ATmega328P(), Options{}).Load(row.m)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v; want %q", row.name, err, row.want)
		}
	}
}

// firmware reads an image from testdata.
func firmware(t testing.TB, name string) *Image {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "firmware", name))
	if err != nil {
		t.Fatal(err)
	}
	m, err := ReadImage(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// start makes a controller that runs an image from testdata.
func start(t testing.TB, name string, opts Options) *Core {
	t.Helper()
	c := New(ATmega328P(), opts)
	if err := c.Load(firmware(t, name)); err != nil {
		t.Fatal(err)
	}
	return c
}

func TestELF(t *testing.T) {
	m, h := firmware(t, "compute.elf"), firmware(t, "compute.hex")
	if !bytes.Equal(m.Flash, h.Flash) {
		t.Errorf("the ELF file gives %d bytes, the HEX file %d, or others", len(m.Flash), len(h.Flash))
	}
	if m.Part != "atmega328p" {
		t.Errorf("built for %q", m.Part)
	}
	if got := m.Place(0); got != "__vectors" {
		t.Errorf("address 0 is %q", got)
	}
	var main, buffer Symbol
	for _, s := range m.Symbols {
		switch s.Name {
		case "main":
			main = s
		case "buffer":
			buffer = s
		}
	}
	if main.Size == 0 || m.Place(main.Addr+6) != "main+0x6" {
		t.Errorf("main is %+v; six bytes on it is %q", main, m.Place(main.Addr+6))
	}
	if buffer.Size != 256 || !buffer.Data || m.Variable(buffer.Addr+255) != "buffer+0xFF" {
		t.Errorf("buffer is %+v", buffer)
	}
}

func TestELFErrors(t *testing.T) {
	good, err := os.ReadFile("testdata/firmware/compute.elf")
	if err != nil {
		t.Fatal(err)
	}
	change := func(at int, v ...byte) []byte {
		b := bytes.Clone(good)
		copy(b[at:], v)
		return b
	}
	for _, row := range []struct {
		name string
		data []byte
		want string
	}{
		{"header only", good[:20], "no readable ELF file"},
		{"another processor", change(18, 0x3E, 0), "want one for AVR"},
		{"another core", change(36, 0x86), "built for the core variant avr6: want avr5"},
		{"another part", bytes.ReplaceAll(good, []byte("atmega328p"), []byte("atmega168p")), ""},
	} {
		m, err := ReadELF("x.elf", row.data)
		if row.want == "" {
			if err == nil {
				err = New(ATmega328P(), Options{}).Load(m)
			}
			row.want = "built for the atmega168p"
		}
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v; want %q", row.name, err, row.want)
		}
	}
}

// TestImagesAreFresh compiles the firmware beside the images and compares, where the
// compiler that made them is there.
func TestImagesAreFresh(t *testing.T) {
	out, err := exec.Command("avr-gcc", "-dumpversion").Output()
	if err != nil {
		needs.Something(t, "avr-gcc is not here (apt-get install gcc-avr avr-libc): the images are taken as they are")
	}
	if v := strings.TrimSpace(string(out)); v != "5.4.0" {
		t.Skipf("avr-gcc is %s; the images were made with 5.4.0, and another version makes others", v)
	}
	dir := t.TempDir()
	sources, _ := filepath.Glob("testdata/firmware/*.c")
	for _, file := range append(sources, "testdata/firmware/Makefile") {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(file)), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := exec.Command("make", "-C", dir, "-s").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, source := range sources {
		name := strings.TrimSuffix(filepath.Base(source), ".c") + ".hex"
		fresh, _ := os.ReadFile(filepath.Join(dir, name))
		kept, _ := os.ReadFile(filepath.Join("testdata/firmware", name))
		if !bytes.Equal(fresh, kept) {
			t.Errorf("%s is not what its source makes: run make in testdata/firmware", name)
		}
	}
}

func FuzzReadImage(f *testing.F) {
	f.Add([]byte(hexOf(0, []byte{1, 2, 3}, 2)))
	f.Add([]byte(hexOf(0x1FFFF, []byte{1, 2, 3, 4}, 4)))
	f.Add([]byte(":00000001FF"))
	f.Add([]byte(":020000021000EC\n:10FFF8000000000000000000000000000000000000F9\n:00000001FF\n"))
	if elf, err := os.ReadFile("testdata/firmware/compute.elf"); err == nil {
		f.Add(elf[:800])
		f.Add(elf)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := ReadImage("x", data)
		if err != nil {
			return
		}
		if len(m.Flash) > maxFlash || len(m.EEPROM) > maxEEPROM {
			t.Fatalf("%d bytes of flash, %d of EEPROM", len(m.Flash), len(m.EEPROM))
		}
		m.Place(0x100)
		m.Variable(0x100)
	})
}
