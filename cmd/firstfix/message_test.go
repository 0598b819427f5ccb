package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstfix/internal/script/message"
	"firstfix/internal/script/procedure"
	"firstfix/internal/talk/capture"
	"firstfix/internal/virtual/module"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
	"firstfix/internal/wire/nmea"
)

// sendOnStandIn holds a written text's procedure with the stand-in, and returns what the
// recipient saw and the capture of the line.
func sendOnStandIn(t *testing.T, o message.Order) (*message.Written, []module.Sent, []byte) {
	t.Helper()
	w, err := message.Write(o)
	if err != nil {
		t.Fatal(err)
	}
	made, err := w.Procedure("send-text")
	if err != nil {
		t.Fatal(err)
	}
	p, err := procedure.Load("send-text.yaml", message.YAML(made))
	if err != nil {
		t.Fatal(err)
	}
	controller, err := procedure.New(p, procedure.Options{Free: true})
	if err != nil {
		t.Fatal(err)
	}
	healthy, _, ok := world.Named("healthy")
	if !ok {
		t.Fatal("no healthy world")
	}
	m := module.New(healthy, rand.New(rand.NewPCG(7, 7)))
	var file bytes.Buffer
	tape, err := capture.NewWriter(&file, capture.Info{Kind: "capture", Began: "2026-03-04T10:15:00Z", TimesKnown: true, DirectionsKnown: true})
	if err != nil {
		t.Fatal(err)
	}
	// The module starts by itself; the controller waits until it is in its network.
	now := 20 * when.Second
	m.Tick(now, nil)
	hold(t, controller, m, tape, now)
	if controller.Outcome() != procedure.OK {
		t.Fatalf("the procedure ended with %s: %+v", controller.Outcome(), controller.Log())
	}
	return w, m.Sent(), file.Bytes()
}

// hold lets two machines talk, in simulated time, until the procedure is over.
func hold(t *testing.T, controller *procedure.Machine, m *module.Module, tape *capture.Writer, now when.Instant) {
	t.Helper()
	record := func(from capture.Direction, b []byte) {
		if len(b) > 0 {
			if err := tape.Write(capture.Record{At: now, From: from, Bytes: string(b)}); err != nil {
				t.Fatal(err)
			}
		}
	}
	for range 100_000 {
		said := controller.Tick(now, nil)
		if controller.Done() {
			return
		}
		record(capture.Controller, said)
		answer := m.Feed(now, said, nil)
		for len(answer) > 0 {
			record(capture.Module, answer)
			more := controller.Feed(now, answer, nil)
			record(capture.Controller, more)
			answer = m.Feed(now, more, nil)
		}
		a, _ := controller.Deadline()
		b, _ := m.Deadline()
		now = max(now+1, min(a, b))
		answer = m.Tick(now, nil)
		record(capture.Module, answer)
		more := controller.Feed(now, answer, nil)
		record(capture.Controller, more)
		record(capture.Module, m.Feed(now, more, nil))
	}
	t.Fatal("the procedure does not end")
}

// TestWrittenTextsArrive: what message write makes is held with the stand-in, the recipient sees
// the text, and message read finds it in the capture. The stand-in was written from the
// standard by others than the composer.
func TestWrittenTextsArrive(t *testing.T) {
	texts := []string{
		"trailer 07 is in the yard at 51.71022,-0.30737", "a_b@c costs $5", "50 € [net] {all} ~ ^ \\ |", "Größe: 3 Ä, Ξ and ç", "мост закрыт", "20 °C – ok", "🚜 in the yard",
		"first line\nsecond line", strings.Repeat("trailer 07 is in the yard. ", 12), strings.Repeat("мост закрыт. ", 12), "00480065006C006C006F",
	}
	for _, text := range texts {
		for _, mode := range []message.Mode{"", message.TextMode, message.PDUMode} {
			t.Run(fmt.Sprintf("%s %.12q", mode, text), func(t *testing.T) {
				w, sent, recorded := sendOnStandIn(t, message.Order{To: []string{"+12025550143"}, Text: text, Mode: mode})
				seen := ""
				for i, s := range sent {
					if s.To != "+12025550143" {
						t.Errorf("sent to %s", s.To)
					}
					if w.Mode == message.TextMode {
						if s.Shown != w.Parts[i].Text {
							t.Errorf("text %d shows as %q, want %q", i+1, s.Shown, w.Parts[i].Text)
						}
						continue
					}
					seen += s.Shown
				}
				if len(sent) != len(w.Parts) || w.Mode == message.PDUMode && seen != text {
					t.Fatalf("%d messages; the recipient sees %q", len(sent), seen)
				}
				readBack(t, w, recorded)
			})
		}
	}
}

// readBack runs message read on a capture and compares its texts with those that were written.
func readBack(t *testing.T, w *message.Written, recorded []byte) {
	t.Helper()
	name := filepath.Join(t.TempDir(), "line.capture")
	if err := os.WriteFile(name, recorded, 0o644); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if status := run([]string{"message", "read", name, "--json"}, &streams{In: strings.NewReader(""), Out: &out, Err: &errs}); status > statusFound || errs.Len() > 0 {
		t.Fatalf("status %d, %s", status, errs.String())
	}
	var items []readItemJSON
	if err := json.Unmarshal(out.Bytes(), &items); err != nil {
		t.Fatalf("%v: %s", err, out.String())
	}
	var whole []string
	n := 0
	for _, i := range items {
		switch {
		case i.Text != nil:
			whole = append(whole, i.Text.Text)
		case i.Message.Out:
			n++
			if i.Message.Part == nil {
				whole = append(whole, i.Message.Text)
			}
		}
	}
	want := []string{w.Text}
	if w.Mode == message.TextMode {
		want = nil
		for _, p := range w.Parts {
			want = append(want, p.Text)
		}
	}
	if fmt.Sprintf("%q", whole) != fmt.Sprintf("%q", want) || n != len(w.Parts) {
		t.Errorf("%d messages read as %q, want %q\n%s", n, whole, want, recorded)
	}
}

// TestFetchCommand: the procedure of the grammar fetches a text from the stand-in's store and
// deletes it there before anybody obeys it.
func TestFetchCommand(t *testing.T) {
	healthy, _, _ := world.Named("healthy")
	m := module.New(healthy, rand.New(rand.NewPCG(7, 7)))
	tape, err := capture.NewWriter(io.Discard, capture.Info{Kind: "capture"})
	if err != nil {
		t.Fatal(err)
	}
	run := func(p *procedure.Procedure, from when.Instant) *procedure.Machine {
		loaded, err := procedure.Load(p.Name, message.YAML(p))
		if err != nil {
			t.Fatal(err)
		}
		c, err := procedure.New(loaded, procedure.Options{Free: true})
		if err != nil {
			t.Fatal(err)
		}
		m.Tick(from, nil)
		hold(t, c, m, tape, from)
		return c
	}
	w, err := message.Write(message.Order{To: []string{"+447700900707"}, Text: "where"}) // the stand-in's own number
	if err != nil {
		t.Fatal(err)
	}
	send, err := w.Procedure("send-text")
	if err != nil {
		t.Fatal(err)
	}
	run(send, 20*when.Second)
	c := run(message.RemoteProcedure(), 5*60*when.Second)
	sender, _ := c.Captured("sender")
	stamp, ok := c.Captured("stamp")
	if c.Outcome() != procedure.OK || sender != "+447700900707" || !ok || stamp == "" {
		t.Fatalf("%s, sender %q, stamp %q: %+v", c.Outcome(), sender, stamp, c.Log())
	}
	again := run(&procedure.Procedure{Name: "look", Steps: []procedure.Step{{Send: `AT+CMGL="ALL"`}}}, 7*60*when.Second)
	for _, line := range again.Log()[0].Info {
		if strings.Contains(line, "where") {
			t.Errorf("it is still there: %q", line)
		}
	}
}

// dayOfTexts is a capture of about size bytes, as a tracker's line gives it: sentences every
// second, a look at the registration every ten, and every minute a report that leaves and a
// text that arrives in two parts, which is ten times more than usual.
func dayOfTexts(size int) []byte {
	var b bytes.Buffer
	b.WriteString(`{"firstfix":"capture","version":1,"began":"2026-03-04T10:15:00Z"}` + "\n")
	say := func(t float64, from, text string) {
		quoted, _ := json.Marshal(text)
		fmt.Fprintf(&b, `{"t":%.3f,"from":%q,"text":%s}`+"\n", t, from, quoted)
	}
	for n := 0; b.Len() < size; n++ {
		t := float64(n)
		say(t, "module", nmea.Format("GNRMC", "101530.00", "A", "5142.61300", "N", "00018.44200", "W", "0.0", "", "040326", "", "", "A")+"\r\n"+
			nmea.Format("GNGGA", "101530.00", "5142.61300", "N", "00018.44200", "W", "1", "08", "1.1", "61.3", "M", "45.2", "M", "", "")+"\r\n")
		for _, satellites := range []string{"02,71,118,44,05,38,254,41,12,22,043,37,18,55,301,44", "25,64,067,45,29,19,190,35,31,12,330,33,06,30,160,40"} {
			say(t+0.1, "module", nmea.Format("GPGSV", "2", "1", "08", satellites)+"\r\n")
		}
		if n%10 == 0 {
			say(t+0.2, "controller", "AT+CREG?\r")
			say(t+0.3, "module", "\r\n+CREG: 0,1\r\n\r\nOK\r\n")
		}
		if n%60 == 30 {
			say(t+0.4, "controller", "AT+CMGS=\"+12025550143\"\r")
			say(t+0.45, "module", "\r\n> ")
			say(t+0.5, "controller", fmt.Sprintf("trailer 07 report %d\x1a", n))
			say(t+0.6, "module", "\r\n+CMGS: 7\r\n\r\nOK\r\n")
			for i, text := range []string{"043204350442", "041F04400438"} { // the second part first
				say(t+0.7+float64(i)/10, "module", fmt.Sprintf("\r\n+CMT: ,31\r\n00440B912120550541F30008623040015100400C050003%02X020%d%s\r\n", n%256, 2-i, text))
			}
		}
	}
	return b.Bytes()
}

// Enough: 100 MB/s of capture, so that a gigabyte, a day of a fast line, takes 10 s as in
// review; and the same memory whatever the length.
func BenchmarkReadRecording(b *testing.B) {
	tape := dayOfTexts(8 << 20)
	b.SetBytes(int64(len(tape)))
	b.ReportAllocs()
	for b.Loop() {
		src, err := capture.NewReader(bytes.NewReader(tape))
		if err != nil {
			b.Fatal(err)
		}
		sink, _ := newMessageSink(&streams{Out: io.Discard, Err: io.Discard}, messageReadOptions{json: true}, 15*time.Minute)
		if err := sink.recording(context.Background(), src); err != nil {
			b.Fatal(err)
		}
		if sink.messages == 0 || sink.wide != sink.messages/3 {
			b.Fatalf("%d messages, %d long texts", sink.messages, sink.wide)
		}
	}
}

// FuzzMessageRead: whatever is given, reading ends with a status and with JSON that is whole.
func FuzzMessageRead(f *testing.F) {
	for _, s := range []string{"0011000B916407281553F80000AA0AE8329BFD4697D9EC37\n", "+CMT: \"+12025550143\",,\"26/03/04,10:15:30+04\"\nwhere\n", "AT+CMGF=1\nOK\nAT+CMGS=\"+12025550143\"\n> hello\x1a\n+CMGS: 1\nOK\n",
		"AT+CMGL=4\n+CMGL: 1,1,,28\n07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37\nOK\n", `{"firstfix":"capture","version":1}` + "\n" + `{"t":1,"from":"module","text":"\r\n+CDS: 6,12\r\n"}`, ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in string) {
		var out, errs bytes.Buffer
		status := run([]string{"message", "read", "--json"}, &streams{In: strings.NewReader(in), Out: &out, Err: &errs})
		if status < statusFine || status > statusCannot {
			t.Fatalf("%q: status %d, %s", in, status, errs.String())
		}
		var items []readItemJSON
		if err := json.Unmarshal(out.Bytes(), &items); err != nil {
			t.Fatalf("%q: %v in %s", in, err, out.String())
		}
		out.Reset()
		run([]string{"message", "read", "--fields"}, &streams{In: strings.NewReader(in), Out: &out, Err: &errs})
	})
}
