package board

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"firstfix/internal/tidy/needs"
)

// TestFirmwareIsFresh builds /firmware in a copy and compares the images, where the
// compiler that made them is there.
func TestFirmwareIsFresh(t *testing.T) {
	version, err := exec.Command("avr-gcc", "-dumpversion").Output()
	if err != nil {
		needs.Something(t, "avr-gcc is not here (apt-get install gcc-avr avr-libc): the images are taken as they are")
	}
	if v := strings.TrimSpace(string(version)); v != "5.4.0" {
		t.Skipf("avr-gcc is %s; the images were made with 5.4.0, and another version makes others", v)
	}
	const from = "../../../firmware"
	dir := t.TempDir()
	for _, file := range []string{"Makefile", "naive/main.c", "careful/main.c"} {
		data, err := os.ReadFile(filepath.Join(from, file))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, file)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, file), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := exec.Command("make", "-C", dir, "-s").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, name := range []string{"naive", "careful"} {
		fresh, _ := os.ReadFile(filepath.Join(dir, name, name+".hex"))
		kept, _ := os.ReadFile(filepath.Join(from, name, name+".hex"))
		if len(fresh) == 0 || !bytes.Equal(fresh, kept) {
			t.Errorf("firmware/%s/%s.hex is not what its source makes: run make in firmware", name, name)
		}
	}
}
