package sms

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// TestGuessVectors: published messages are taken for what they are, with and without
// a service centre part.
func TestGuessVectors(t *testing.T) {
	n := 0
	for _, v := range loadVectors(t) {
		if v.kind != "submit" && v.kind != "deliver" && v.kind != "status-report" {
			continue
		}
		g := GuessPDU(v.hex)
		if g.ToNetwork != (v.kind == "submit") || !g.Sure || g.Err != nil {
			t.Errorf("%s %s: to network %v, sure %v, %v", v.kind, v.name, g.ToNetwork, g.Sure, g.Err)
		}
		if bare := strings.Contains(v.name, "no SMSC part") || v.kind == "status-report"; g.WithoutCentre != bare {
			t.Errorf("%s %s: without a service centre part %v, want %v", v.kind, v.name, g.WithoutCentre, bare)
		}
		n++
	}
	if n < 10 {
		t.Errorf("only %d vectors", n)
	}
}

// TestGuessWritten: of many messages of all usual kinds nearly each is guessed right.
// A few octets mean something both ways; then the one that arrives is taken.
func TestGuessWritten(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	const messages = 4000
	wrong := 0
	for range messages {
		m, toNetwork := oracleMessage(rng)
		hex, _, err := m.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if g := GuessPDU(hex); g.ToNetwork != toNetwork || g.WithoutCentre {
			wrong++
		}
	}
	if wrong > messages/100 {
		t.Errorf("%d of %d guessed wrong", wrong, messages)
	}
	t.Logf("%d of %d guessed wrong", wrong, messages)
}

func FuzzGuessPDU(f *testing.F) {
	for _, s := range []string{"", "00", "0011000B916407281553F80000AA0AE8329BFD4697D9EC37", "061804913619111011719551401110117195714000", "zz", "0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		g := GuessPDU(s)
		if g.Sure && g.Kind == KindUnknown {
			t.Errorf("%q: sure of nothing", s)
		}
	})
}
