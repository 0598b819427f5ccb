package main

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"

	"firstfix/internal/script/message"
	"firstfix/internal/script/procedure"
	"firstfix/internal/talk/capture"
	"firstfix/internal/virtual/module"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

// readDialogue runs message read over what passed a line.
func readDialogue(t *testing.T, in string) []readItemJSON {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run([]string{"message", "read", "--json"}, &streams{In: strings.NewReader(in), Out: &out, Err: &errs}); status > statusFound {
		t.Fatalf("status %d, %s", status, errs.String())
	}
	var items []readItemJSON
	if err := json.Unmarshal(out.Bytes(), &items); err != nil {
		t.Fatalf("%v: %s", err, out.String())
	}
	return items
}

// TestSentFromStoreArrives: a text that is written with +CMGW and sent twice with +CMSS, once
// to another receiver (TS 27.005 clauses 3.5.2, 3.5.3, 4.4, 4.7), is read from the capture
// as the recipients of the stand-in saw it.
func TestSentFromStoreArrives(t *testing.T) {
	pdu, err := message.Write(message.Order{To: []string{"+12025550143"}, Text: "мост закрыт", Mode: message.PDUMode})
	if err != nil {
		t.Fatal(err)
	}
	type step = procedure.Step
	for name, steps := range map[string][]step{
		"text": {{Send: "AT+CMGF=1"}, {Send: "AT+CSMP=17,167,0,0"}, {Send: `AT+CMGW="+12025550143"`, Text: "trailer 07 is in the yard", Capture: []procedure.Capture{{Name: "place", Answer: "+CMGW", Param: 1}}}},
		"pdu":  {{Send: "AT+CMGF=0"}, {Send: "AT+CMGW=" + itoa(pdu.Parts[0].Length), Text: pdu.Parts[0].PDU, Capture: []procedure.Capture{{Name: "place", Answer: "+CMGW", Param: 1}}}},
	} {
		t.Run(name, func(t *testing.T) {
			steps = append(steps, step{Send: "AT+CMSS={place}"}, step{Send: `AT+CMSS={place},"+12025550144"`})
			p := &procedure.Procedure{Name: "from-store", Steps: steps}
			p.Budget.Texts, p.Budget.MaxTotalMS = 2, 300_000
			loaded, err := procedure.Load("from-store.yaml", message.YAML(p))
			if err != nil {
				t.Fatal(err)
			}
			controller, err := procedure.New(loaded, procedure.Options{Free: true})
			if err != nil {
				t.Fatal(err)
			}
			healthy, _, _ := world.Named("healthy")
			m := module.New(healthy, rand.New(rand.NewPCG(7, 7)))
			var file bytes.Buffer
			tape, err := capture.NewWriter(&file, capture.Info{Kind: "capture", Began: "2026-03-04T10:15:00Z", TimesKnown: true, DirectionsKnown: true})
			if err != nil {
				t.Fatal(err)
			}
			m.Tick(20*when.Second, nil)
			hold(t, controller, m, tape, 20*when.Second)
			if controller.Outcome() != procedure.OK {
				t.Fatalf("%s: %+v", controller.Outcome(), controller.Log())
			}
			items, sent := readDialogue(t, file.String()), m.Sent()
			if len(items) != 2 || len(sent) != 2 {
				t.Fatalf("%d messages read, %d sent\n%s", len(items), len(sent), file.String())
			}
			for i, s := range sent {
				if r := items[i].Message; r.Text != s.Shown || r.Party != s.To || !r.Out {
					t.Errorf("message %d: read %q to %s, the recipient %s sees %q", i+1, r.Text, r.Party, s.To, s.Shown)
				}
			}
			if sent[0].To == sent[1].To {
				t.Error("the second receiver got nothing")
			}
		})
	}
}

func itoa(n int) string { b, _ := json.Marshal(n); return string(b) }

// TestStoreFollowed: what is written over, deleted or never sent is not taken for what leaves.
func TestStoreFollowed(t *testing.T) {
	const first, second = "AT+CMGF=1\nOK\nAT+CMGW=\"+12025550143\"\n> one\x1a\n+CMGW: 3\n\nOK\n", "AT+CMGW=\"+12025550143\"\n> two\x1a\n+CMGW: 3\n\nOK\n"
	const send = "AT+CMSS=3\n+CMSS: 7\n\nOK\n"
	for name, c := range map[string]struct{ in, want string }{
		"written over":        {first + second + send, "one (not sent)|two (sent)"},
		"written, then sent":  {first + send + second, "one (sent)|two (not sent)"},
		"deleted":             {first + "AT+CMGD=3\nOK\n" + send, "one (not sent)"},
		"arrived are deleted": {first + "AT+CMGD=1,1\nOK\n" + send, "one (sent)"},
		"all deleted":         {first + "AT+CMGD=1,4\nOK\n" + send, "one (not sent)"},
		"another memory":      {first + "AT+CPMS=\"ME\",\"ME\"\n+CPMS: 0,50,0,50,0,50\n\nOK\n" + send, "one (not sent)"},
		"refused":             {strings.Replace(first, "+CMGW: 3\n\nOK", "+CMS ERROR: 322", 1) + send, ""},
		"another place":       {first + "AT+CMSS=4\n+CMSS: 7\n\nOK\n", "one (not sent)"},
	} {
		var got []string
		if c.want != "" {
			for _, i := range readDialogue(t, c.in) {
				words := i.Message.Text + " (sent)"
				for _, n := range i.Message.Notes {
					if strings.Contains(n.Text, "not sent") {
						words = i.Message.Text + " (not sent)"
					}
				}
				got = append(got, words)
			}
		} else {
			var out, errs bytes.Buffer
			if status := run([]string{"message", "read", "--json"}, &streams{In: strings.NewReader(c.in), Out: &out, Err: &errs}); status != statusCannot {
				t.Errorf("%s: status %d, %s", name, status, out.String())
			}
		}
		if strings.Join(got, "|") != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
