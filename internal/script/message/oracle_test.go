package message

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"
)

// Two independent libraries read what [Write] made in PDU mode. They live in the folder
// oracle; see its README. Each is asked only where it is right: where it is known to differ
// the message is counted, with the clause that decides; any other difference fails.

// oracleMessages is how many messages are compared; they take some seconds.
const oracleMessages = 100_000

type oracleReading struct {
	Refused   string `json:"refused"`
	Kind      string `json:"kind"`
	Address   string `json:"address"`
	DCS       *int   `json:"dcs"`
	Text      string `json:"text"`
	Concat    []int  `json:"concat"`
	Reference *int   `json:"reference"`
}

// askReaders runs the script over all messages; it skips when it cannot.
func askReaders(t *testing.T, pdus []string) (first, second []oracleReading) {
	t.Helper()
	folder := filepath.Join("..", "..", "..", "oracle")
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed: ours is not compared with independent readers")
	}
	for _, library := range []string{"node-pdu", "node-sms-pdu"} {
		if _, err := os.Stat(filepath.Join(folder, "node_modules", library)); err != nil {
			t.Skip("run npm ci in the folder oracle: ours is not compared with independent readers")
		}
	}
	var in, complaint bytes.Buffer
	for _, p := range pdus {
		fmt.Fprintf(&in, `{"hex":%q}`+"\n", p)
	}
	command := exec.Command(node, "sms.mjs")
	command.Dir, command.Env = folder, append(os.Environ(), "TZ=UTC")
	command.Stdin, command.Stderr = &in, &complaint
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, complaint.String())
	}
	answers := json.NewDecoder(bytes.NewReader(out))
	for range pdus {
		var both struct{ First, Second oracleReading }
		if err := answers.Decode(&both); err != nil {
			t.Fatal(err)
		}
		first, second = append(first, both.First), append(second, both.Second)
	}
	return first, second
}

// drawOrder draws a text as people and trackers write them, and how it is sent.
func drawOrder(rng *rand.Rand) Order {
	alphabets := [...]string{
		"abcdefghijklmnopqrstuvwxyz ABCDEFGH 0123456789.,:;-+/?=&()", "aé@$_ΞÄöñÇ§{}[]~|^\\€ \n£¥èùìò", "мост закрыт ", "日本語 abc", "🚜é a°", "’–…°“” ab",
	}
	letters := []rune(alphabets[rng.IntN(len(alphabets))])
	var b strings.Builder
	for range 1 + rng.IntN([...]int{40, 160, 500}[rng.IntN(3)]) {
		b.WriteRune(letters[rng.IntN(len(letters))])
	}
	return Order{To: []string{fmt.Sprintf("+120255501%02d", rng.IntN(100))}, Text: b.String(), Mode: PDUMode,
		Report: rng.IntN(3) == 0, Flash: rng.IntN(4) == 0, Validity: time.Duration(5+rng.IntN(700)) * time.Minute}
}

// TestOracle: both libraries read the parts and their texts as they were written; together the
// parts are the text.
func TestOracle(t *testing.T) {
	wanted := oracleMessages
	if testing.Short() {
		wanted /= 20
	}
	rng := rand.New(rand.NewPCG(23040, 5))
	type sent struct {
		w    *Written
		part int
	}
	var all []sent
	var pdus []string
	for len(pdus) < wanted {
		w, err := Write(drawOrder(rng))
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range w.Parts {
			all, pdus = append(all, sent{w, i}), append(pdus, p.PDU)
		}
	}
	first, second := askReaders(t, pdus)
	known := map[string]int{}
	texts := 0
	var joined [2]strings.Builder
	for i, s := range all {
		if s.part == 0 {
			joined[0].Reset()
			joined[1].Reset()
		}
		for k, got := range []oracleReading{first[i], second[i]} {
			text := s.w.Parts[s.part].Text
			want := expected(k, s.w, s.part, got.Text, known)
			if got.Refused != "" || got.Kind != "SUBMIT" || strings.TrimPrefix(got.Address, "+") != strings.TrimPrefix(s.w.To[0].Normal, "+") || got.Text != want {
				t.Fatalf("library %d read %+v\nof %s\nwant %q", k+1, got, pdus[i], want)
			}
			if n := len(s.w.Parts); n > 1 && (len(got.Concat) != 3 || got.Concat[1] != n || got.Concat[2] != s.part+1) || n == 1 && got.Concat != nil {
				t.Fatalf("library %d read part %v, want %d of %d", k+1, got.Concat, s.part+1, n)
			}
			if got.DCS != nil && *got.DCS != s.w.Parameters[3] {
				t.Fatalf("library %d read data coding %d, want %d", k+1, *got.DCS, s.w.Parameters[3])
			}
			joined[k].WriteString(text) // the parts are ours; what the library made of each was compared above
		}
		if s.part == len(s.w.Parts)-1 {
			texts++
			if joined[0].String() != s.w.Text || joined[1].String() != s.w.Text {
				t.Fatalf("the parts of %q make %q", s.w.Text, joined[0].String())
			}
		}
	}
	var rows []string
	for row, n := range known {
		rows = append(rows, fmt.Sprintf("%6d  %s", n, row))
	}
	sort.Strings(rows)
	t.Logf("%d messages of %d texts read by both; known differences:\n%s", len(pdus), texts, strings.Join(rows, "\n"))
}

// expected is what library k is known to make of a part.
func expected(k int, w *Written, part int, got string, known map[string]int) string {
	text := w.Parts[part].Text
	if w.Fit.InOctets() {
		return text
	}
	if k == 0 {
		if strings.ContainsAny(text, "§\f") {
			known["node-pdu shows the section sign and the form feed as ` (TS 23.038 6.2.1: 0x5F is §)"]++
			text = strings.NewReplacer("§", "`", "\f", "`").Replace(text)
		}
		return text
	}
	if strings.Contains(text, "Ç") {
		known["node-sms-pdu reads 0x09 as the small ç (TS 23.038 6.2.1 draws the capital)"]++
		text = strings.ReplaceAll(text, "Ç", "ç")
	}
	if cut, ok := strings.CutSuffix(text, "@"); ok && got == cut {
		known["node-sms-pdu drops an @ at the end, which it takes for fill (TS 23.040 9.2.3.16: the length counts septets)"]++
		text = cut
	}
	return text
}
