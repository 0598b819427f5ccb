package tidy

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func readFile(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// maxLines is where a Go file is too long to be read whole. Generated tables are exempt by name.
const maxLines = 800

// TestFilesCanBeReadWhole stops a file from becoming "the" file.
func TestFilesCanBeReadWhole(t *testing.T) {
	for _, under := range []string{"internal", "cmd"} {
		goFiles(t, under, func(name string) {
			if n := strings.Count(readFile(t, filepath.Join(root, name)), "\n"); n > maxLines {
				t.Errorf("%s has %d lines; split it by subject (the limit is %d)", name, n, maxLines)
			}
		})
	}
}

// TestNothingLeftUndone looks for words that mean "later". They are spelled in
// two halves here so that this file does not find itself.
func TestNothingLeftUndone(t *testing.T) {
	words := []string{"TO" + "DO", "FIX" + "ME", "XX" + "X:"}
	for _, under := range []string{"internal", "cmd"} {
		goFiles(t, under, func(name string) {
			text := readFile(t, filepath.Join(root, name))
			for _, w := range words {
				if strings.Contains(text, w) {
					t.Errorf("%s contains %q; do it, or file an issue and say what is missing", name, w)
				}
			}
		})
	}
}

// TestPhoneNumbersAreFiction keeps real people's numbers out: every number in
// international form, anywhere, is from a range reserved for fiction or from a
// published test vector.
func TestPhoneNumbersAreFiction(t *testing.T) {
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == "node_modules" || d.Name() == ".git" || d.Name() == "fuzz" {
				return fs.SkipDir
			}
			return nil
		}
		switch filepath.Ext(name) {
		case ".go", ".talk", ".yaml", ".md", ".txt", ".txtar", ".capture", ".log":
		default:
			return nil
		}
		for n, line := range strings.Split(readFile(t, name), "\n") {
			for _, number := range internationalNumbers(line) {
				if !reservedForFiction(number) && !strings.Contains(line, "published") {
					t.Errorf("%s:%d: %s is not from a range reserved for fiction (+1202555 0100–0199, +44 7700 900000–900999); for a number out of a published vector write the word \"published\" on the line", strings.TrimPrefix(name, root+"/"), n+1, number)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// internationalNumbers finds "+" and 10 to 15 digits in a row.
func internationalNumbers(line string) []string {
	var found []string
	for i := 0; i < len(line); i++ {
		if line[i] != '+' {
			continue
		}
		j := i + 1
		for j < len(line) && line[j] >= '0' && line[j] <= '9' {
			j++
		}
		if j-i-1 >= 10 && j-i-1 <= 15 {
			found = append(found, line[i:j])
		}
	}
	return found
}

func reservedForFiction(number string) bool {
	return strings.HasPrefix(number, "+120255501") && len(number) == 12 ||
		strings.HasPrefix(number, "+447700900") && len(number) == 13 ||
		strings.HasPrefix(number, "+0") // no country code begins with 0: nobody has it
}
