package sms

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"firstfix/internal/when"

	"pgregory.net/rapid"
)

// parts writes text as messages that arrive.
func parts(t testing.TB, from, text string, o Options) []PDU {
	t.Helper()
	pieces, err := Split(text, o)
	if err != nil {
		t.Fatal(err)
	}
	var out []PDU
	for _, piece := range pieces {
		hex, _, err := Deliver{From: NewAddress(from), DCS: piece.DCS, Header: piece.Header, Text: piece.Text, Stamp: NewStamp(26, 3, 4, 10, 15, 30, 0)}.Encode()
		if err != nil {
			t.Fatal(err)
		}
		p, err := Decode(hex, FromNetwork)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, p)
	}
	return out
}

const (
	alice = "+12025550143"
	bob   = "+447700900123"
)

func TestReassembler(t *testing.T) {
	long := strings.Repeat("trailer 07 52.10023,6.88111 ok. ", 15) // 4 parts
	a := parts(t, alice, long, Options{Reference: 7})
	b := parts(t, bob, long, Options{Reference: 7})
	r := NewReassembler(time.Minute)

	if out := r.Feed(0, parts(t, alice, "short", Options{})[0], nil); len(out) != 1 || out[0].Text != "short" || out[0].Total != 1 || !out[0].Complete() {
		t.Fatalf("a short one passes at once: %+v", out)
	}
	// Out of order, two senders with the same reference, a copy.
	var out []Joined
	for i, p := range []PDU{a[2], b[0], a[0], a[2], b[3], a[3], b[1]} {
		if out = r.Feed(when.Instant(i)*when.Second, p, out); len(out) > 0 {
			t.Fatalf("too early: %+v", out)
		}
	}
	out = r.Feed(7*when.Second, a[1], out)
	if len(out) != 1 || out[0].Text != long || out[0].From.String() != alice || out[0].Duplicates != 1 || out[0].Ended != 7*when.Second || out[0].Began != 0 {
		t.Fatalf("%+v", out)
	}
	// A late copy of a part of the finished text is no new text.
	if out = r.Feed(8*when.Second, a[1], out[:0]); len(out) != 0 {
		t.Fatalf("a late copy: %+v", out)
	}
	// Bob's third part never comes: what is there comes out when it falls due.
	due, why := r.Deadline()
	if due != 66*when.Second || why == "" {
		t.Fatalf("due %v %q", due, why)
	}
	out = r.Tick(100*when.Second, nil)
	if len(out) != 1 || out[0].Complete() || !reflect.DeepEqual(out[0].Missing, []int{3}) || out[0].Ended != due {
		t.Fatalf("%+v", out)
	}
	if want := b[0].Data.Text + b[1].Data.Text + b[3].Data.Text; out[0].Text != want {
		t.Errorf("%q", out[0].Text)
	}
	if due, _ := r.Deadline(); due != when.Never {
		t.Errorf("due %v", due)
	}
	// The same reference may serve another text later.
	other := parts(t, alice, strings.Repeat("other ", 40), Options{Reference: 7})
	out = r.Feed(200*when.Second, other[0], nil)
	out = r.Feed(200*when.Second, other[1], out)
	if len(out) != 1 || out[0].Text != strings.Repeat("other ", 40) {
		t.Fatalf("%+v", out)
	}
	r.Feed(300*when.Second, a[0], nil)
	if out = r.Flush(301*when.Second, nil); len(out) != 1 || len(out[0].Missing) != 3 {
		t.Fatalf("%+v", out)
	}
}

// TestReassemblerIsBounded: senders that never finish do not fill the memory.
func TestReassemblerIsBounded(t *testing.T) {
	r := NewReassembler(time.Hour)
	var out []Joined
	for i := range 10 * maxOpen {
		p := parts(t, fmt.Sprintf("+1202555%04d", 100+i%100), strings.Repeat("x", 200), Options{Reference: i / 100, Wide: true})[0]
		out = r.Feed(when.Instant(i), p, out)
		if len(r.open) > maxOpen || len(r.done) > maxDone {
			t.Fatalf("%d open, %d done", len(r.open), len(r.done))
		}
	}
	if len(out) != 9*maxOpen {
		t.Errorf("%d given up, want %d: nothing is lost", len(out), 9*maxOpen)
	}
}

// TestReassemblerAnyOrder: any order, with copies, gives the text once; and ticking
// in between does not matter.
func TestReassemblerAnyOrder(t *testing.T) {
	text := strings.Repeat("äöü {12} ", 60)
	all := parts(t, alice, text, Options{Reference: 300, Wide: true})
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		rng := rand.New(rand.NewPCG(seed, 1))
		order := rng.Perm(len(all))
		copies := append(order, order[:rapid.IntRange(0, len(order)).Draw(t, "copies")]...)
		var last string
		for _, tick := range []when.Instant{when.Second, 10 * when.Millisecond} {
			r := NewReassembler(time.Minute)
			var out []Joined
			var now when.Instant
			for _, i := range copies {
				for until := now + 3*when.Second; now < until; now += tick {
					out = r.Tick(now, out)
				}
				out = r.Feed(now, all[i], out)
			}
			if len(out) != 1 || out[0].Text != text {
				t.Fatalf("%d texts", len(out))
			}
			if got := fmt.Sprintf("%+v", out); last != "" && got != last {
				t.Fatalf("ticking matters:\n%s\n%s", last, got)
			} else {
				last = got
			}
		}
	})
}

// TestPairsCutBySenders: a careless sender cuts an escape pair or a surrogate pair
// in two (TS 23.040 clause 9.2.3.24.1 forbids it); joined, the character is whole.
func TestPairsCutBySenders(t *testing.T) {
	message := func(part int, dcs byte, octets string) PDU {
		udh := fmt.Sprintf("05000307%02X%02X", 2, part)
		ud := udh + octets
		length := len(ud) / 2
		if dcs == 0 {
			length = 7 + 2 // header, two septets
		}
		p, err := Decode(fmt.Sprintf("00440481214300%02X62304001513000%02X%s", dcs, length, ud), FromNetwork)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	for _, c := range []struct {
		dcs         byte
		first, then string
		want        string
	}{
		{8, "0041D83D", "DE000042", "A😀B"},
		{0, slowPack([]int{'A', 0x1B}, 1), slowPack([]int{0x65, 'B'}, 1), "A€B"},
	} {
		r := NewReassembler(time.Minute)
		out := r.Feed(0, message(1, c.dcs, c.first), nil)
		out = r.Feed(0, message(2, c.dcs, c.then), out)
		if len(out) != 1 || out[0].Text != c.want {
			t.Errorf("%+v, want %q", out, c.want)
		}
	}
}
