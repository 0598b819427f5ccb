package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestPDUsOfReview: the report draws messages in PDU mode; numbers and texts are hidden in all
// three forms, octets included, until they are asked for. The two messages hold +12025550143,
// in swapped half octets 2120550541F3 (TS 23.040 9.1.2.3), and "call me", in septets
// E3309B0D6A9701 (TS 23.038 6.1.2.1).
func TestPDUsOfReview(t *testing.T) {
	const talk = "AT+CMGF=0\nOK\nAT+CMGS=20\n> 0011000B912120550541F30000A707E3309B0D6A9701\n+CMGS: 7\n\nOK\n" +
		"+CMT: ,26\n00040B912120550541F3000062304001510040" + "07E3309B0D6A9701\n"
	dir := t.TempDir()
	file := filepath.Join(dir, "line.txt")
	if err := os.WriteFile(file, []byte(talk), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, open := range []bool{false, true} {
		page := filepath.Join(dir, "page.html")
		var all bytes.Buffer
		for _, form := range [][]string{{}, {"--json"}, {"--report", page}} {
			args := append([]string{"review", file}, form...)
			if open {
				args = append(args, "--show-private")
			}
			var errs bytes.Buffer
			if status := run(args, &streams{In: strings.NewReader(""), Out: &all, Err: &errs}); status > statusFound {
				t.Fatalf("%v: status %d, %s", args, status, errs.String())
			}
		}
		html, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(html)
		for _, private := range []string{"12025550143", "call me", "21 20 55 05", "30 9B 0D 6A", ">E3<", "2120550541F3", "E3309B0D6A9701"} {
			if strings.Contains(all.String(), private) != open {
				t.Errorf("shown %v, but %q shows: %v", open, private, !open)
			}
		}
		for _, public := range []string{"SUBMIT from the controller", "DELIVER from the module", "TP-DCS", `"name":"TP-UDL"`, "TS 23.038 4", "<svg"} {
			if !strings.Contains(strings.ReplaceAll(all.String(), `"name": "`, `"name":"`), public) {
				t.Errorf("%q is not in the report", public)
			}
		}
	}
}
