package board

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"firstfix/internal/virtual/controller"
	"firstfix/internal/virtual/module"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

var (
	naive   = Wiring{ToModule: controller.PinOf('D', 3), FromModule: controller.PinOf('D', 2), Baud: 9600, Debug: controller.PinOf('D', 1), DebugBaud: 9600, Lamp: controller.PinOf('B', 5)}
	careful = Wiring{ToModule: controller.PinOf('D', 1), FromModule: controller.PinOf('D', 0), Baud: 9600, Debug: controller.PinOf('D', 3), DebugBaud: 9600, Lamp: controller.PinOf('B', 5)}
)

// put makes a board with one of the firmwares in /firmware in one of the worlds.
func put(t testing.TB, name, where string, w Wiring) *Board {
	t.Helper()
	file := "../../../firmware/" + name + "/" + name + ".elf"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	image, err := controller.ReadImage(file, data)
	if err != nil {
		t.Fatal(err)
	}
	core := controller.New(controller.ATmega328P(), controller.Board())
	if err := core.Load(image); err != nil {
		t.Fatal(err)
	}
	life, near, ok := world.Named(where)
	if !ok {
		t.Fatalf("no world %s, but %s", where, near)
	}
	b, err := New(core, module.New(life, rand.New(rand.NewPCG(1, 0))), w, rand.New(rand.NewPCG(2, 0)))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// words joins what one side said.
func words(passed []Passed, from Side) string {
	var b strings.Builder
	for _, p := range passed {
		if p.From == from {
			if p.From == Lamp || p.From == Remark {
				fmt.Fprintf(&b, "%v %s\n", p.At, p.Text)
			} else {
				b.WriteByte(p.Byte)
			}
		}
	}
	return b.String()
}

// TestDialogue lets each firmware live three minutes in the healthy world: texts go out
// and the module takes them.
func TestDialogue(t *testing.T) {
	for _, row := range []struct {
		name   string
		wiring Wiring
	}{{"naive", naive}, {"careful", careful}} {
		b := put(t, row.name, "healthy", row.wiring)
		stop, passed := b.Run(180*when.Second, nil)
		if stop.Final() {
			t.Fatal(stop)
		}
		said, heard, log := words(passed, Controller), words(passed, Module), words(passed, Debug)
		if !strings.HasPrefix(said, "AT\r") || strings.Count(said, "AT+CMGS=") < 4 {
			t.Errorf("%s said %q", row.name, said)
		}
		if strings.Count(heard, "+CMGS: ") < 3 {
			t.Errorf("%s heard %q", row.name, heard)
		}
		if !strings.Contains(log, "sent\r\n") {
			t.Errorf("%s logged %q", row.name, log)
		}
		if remarks := words(passed, Remark); remarks != "" {
			t.Errorf("%s: %s", row.name, remarks)
		}
		if !strings.Contains(words(passed, Lamp), "on") {
			t.Errorf("%s: the lamp never lit", row.name)
		}
	}
}

// TestUnderTheRoof is a world without satellites: the naive one sends texts with no
// position in them, the careful one sends none.
func TestUnderTheRoof(t *testing.T) {
	_, passed := put(t, "naive", "indoor-sky", naive).Run(120*when.Second, nil)
	if said := words(passed, Controller); !strings.Contains(said, "trailer 07 is at  \x1a") {
		t.Errorf("naive said %q; want a text without a position", said)
	}
	_, passed = put(t, "careful", "indoor-sky", careful).Run(120*when.Second, nil)
	if said, log := words(passed, Controller), words(passed, Debug); strings.Contains(said, "CMGS") || !strings.Contains(log, "no fix") {
		t.Errorf("careful said %q and logged %q; want no text", said, log)
	}
}

// TestNoGuessing is a card that wants its PIN: the careful one tries none.
func TestNoGuessing(t *testing.T) {
	_, passed := put(t, "careful", "pin-wanted", careful).Run(60*when.Second, nil)
	said, log := words(passed, Controller), words(passed, Debug)
	if strings.Contains(said, "CPIN=") || !strings.Contains(log, "card not ready") {
		t.Errorf("said %q, logged %q", said, log)
	}
}

// TestWrongSpeed is a module at another speed: neither hears anything that makes sense.
func TestWrongSpeed(t *testing.T) {
	_, passed := put(t, "careful", "wrong-speed", careful).Run(60*when.Second, nil)
	if log := words(passed, Debug); !strings.Contains(log, "module does not answer") || strings.Contains(words(passed, Module), "OK") {
		t.Errorf("logged %q", log)
	}
}

// TestOffSpeedAndNoise turns the module's clock by two per cent: it still works. By six
// it does not.
func TestOffSpeedAndNoise(t *testing.T) {
	for _, row := range []struct {
		off   float64
		works bool
	}{{0.02, true}, {-0.02, true}, {0.07, false}, {-0.07, false}} {
		w := careful
		w.ModuleOff = row.off
		_, passed := put(t, "careful", "healthy", w).Run(90*when.Second, nil)
		if works := strings.Contains(words(passed, Debug), "sent"); works != row.works {
			t.Errorf("module off by %.0f %%: works %v; want %v", 100*row.off, works, row.works)
		}
	}
	w := careful
	w.Noise = 0.002
	_, passed := put(t, "careful", "healthy", w).Run(180*when.Second, nil)
	if !strings.Contains(words(passed, Debug), "sent") {
		t.Errorf("with noise on the line: logged %q", words(passed, Debug))
	}
}

// TestCutting runs one life in one piece and in many.
func TestCutting(t *testing.T) {
	for _, row := range []struct {
		name   string
		wiring Wiring
	}{{"naive", naive}, {"careful", careful}} {
		_, whole := put(t, row.name, "flapping", row.wiring).Run(60*when.Second, nil)
		b := put(t, row.name, "flapping", row.wiring)
		r := rand.New(rand.NewPCG(3, 3))
		var pieces []Passed
		for now := when.Instant(0); now < 60*when.Second; {
			now = min(60*when.Second, now+when.Instant(1+r.Int64N(1<<(10+r.IntN(20)))))
			_, pieces = b.Run(now, pieces)
		}
		if !slices.Equal(whole, pieces) {
			t.Errorf("%s: %d things passed in one piece, %d in many", row.name, len(whole), len(pieces))
			for i := range min(len(whole), len(pieces)) {
				if whole[i] != pieces[i] {
					t.Fatalf("%d: %+v and %+v", i, whole[i], pieces[i])
				}
			}
		}
	}
}

func TestNewErrors(t *testing.T) {
	core := controller.New(controller.ATmega328P(), controller.Options{})
	life, _, _ := world.Named("healthy")
	m := module.New(life, rand.New(rand.NewPCG(1, 0)))
	if _, err := New(core, m, Wiring{}, nil); err == nil || !strings.Contains(err.Error(), "want a speed above 0") {
		t.Error(err)
	}
	if _, err := New(core, m, Wiring{Baud: 9600, Noise: 1}, nil); err == nil || !strings.Contains(err.Error(), "want a source of chance") {
		t.Error(err)
	}
}

// Enough: an hour of a tracker in a second, which is 3,600 times the speed of life.
func BenchmarkNaive(b *testing.B)   { live(b, "naive", naive) }
func BenchmarkCareful(b *testing.B) { live(b, "careful", careful) }

func live(b *testing.B, name string, w Wiring) {
	const life = 600 * when.Second
	var out []Passed
	for b.Loop() {
		var stop controller.Stop
		if stop, out = put(b, name, "healthy", w).Run(life, out[:0]); stop.Final() {
			b.Fatal(stop)
		}
	}
	b.ReportMetric(float64(b.N)*life.Seconds()/b.Elapsed().Seconds(), "×life")
}
