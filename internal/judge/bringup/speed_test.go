package bringup

import (
	"fmt"
	"strings"
	"testing"

	"firstfix/internal/judge/verdict"
	"firstfix/internal/when"
)

// A module at another speed than the one given is found, the links behind the line are
// still shown, and nothing is changed in the module. What is heard at a wrong speed is
// noise or silence, whatever the bytes: V.250 5.2 wants one speed for both.
func TestWalkFindsTheSpeed(t *testing.T) {
	for _, test := range []struct {
		name        string
		given, real int
		noisy       bool
		want        string
	}{
		{"garbage at 9600", 9600, 115200, true, "nothing can be read at 9600 baud; the module answers at 115200 baud"},
		{"silence at 115200", 115200, 4800, false, "no answer at 115200 baud; the module answers at 4800 baud"},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := healthy()
			p.baud, p.noisy = test.real, test.noisy
			_, v := walk(t, p, WalkOptions{Free: true, Baud: test.given}, false, 0)
			link, _ := v.FirstBroken()
			if link.Name != Line || link.Says != test.want {
				t.Errorf("%s says %q: want %q", link.Name, link.Says, test.want)
			}
			if len(v.Causes) == 0 || v.Causes[0].Name != "wrong-speed" || v.Causes[0].Probability < 0.9 {
				t.Errorf("wrong-speed should be almost certain\n%s", tell(v))
			}
			for _, l := range v.Chain {
				if l.Name != Line && l.State != verdict.Holds {
					t.Errorf("%s is %s: %s", l.Name, l.State, l.Says)
				}
			}
			for _, never := range []string{"AT+IPR", "AT&W", "AT&F", "ATZ"} {
				if sentPrefix(p, never) > 0 {
					t.Errorf("%s was sent", never)
				}
			}
		})
	}
}

// A module that is off is asked at the usual speeds with AT alone, and in the end our end
// of the line has the speed that was given.
func TestWalkSpeedOfSilence(t *testing.T) {
	p := healthy()
	p.bootS = 1e9
	w, v := walk(t, p, WalkOptions{Baud: 9600}, false, 0)
	tried := map[string]bool{}
	for _, r := range w.records {
		if r.Event != "" {
			tried[r.Event] = true
		} else if strings.Trim(r.Bytes, "\x1b\r+") != "AT" && strings.Trim(r.Bytes, "\x1b\r+") != "" {
			t.Errorf("%q was sent to a module that never answered", r.Bytes)
		}
	}
	for _, baud := range []int{4800, 19200, 38400, 57600, 115200, 921600} {
		if !tried[fmt.Sprintf("speed %d", baud)] {
			t.Errorf("%d baud was not tried", baud)
		}
	}
	if w.Baud() != 9600 || w.now > 3*60*when.Second {
		t.Errorf("in the end %d baud after %v", w.Baud(), w.now)
	}
	if v.Causes[0].Name != "module-off" {
		t.Error(tell(v))
	}
	// A line without a speed has no other.
	w, _ = walk(t, p, WalkOptions{}, false, 0)
	for _, r := range w.records {
		if r.Event != "" {
			t.Errorf("%s on a line that has none", r.Event)
		}
	}
}
