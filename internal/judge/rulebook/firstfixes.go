package rulebook

import (
	"time"

	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/epoch"
)

// FirstFix is how a receiver came to its fix after a start or a gap.
type FirstFix struct {
	Began *epoch.Epoch // the first that was said
	Fix   *epoch.Epoch // the first with a fix; Began itself when it had one at once
	Dated bool         // a date was known at once: the receiver's clock had kept running
	Took  time.Duration
}

// streamGap is a silence after which a receiver that speaks again was switched
// off in between: most speak every second, the slowest in use every ten. Our estimate.
const streamGap = 30 * time.Second

// OnFirstFix is called when a receiver has its first fix after a start: where the
// sentences begin, where they begin again after half a minute without any, and
// after a restart of the module. It needs times.
func (p *Pass) OnFirstFix(f func(s FirstFix)) {
	if !p.TimesKnown() {
		return
	}
	var began, last *epoch.Epoch
	starting := true
	p.OnRestart(func(witness.Restart) { starting = true })
	p.OnEpoch(func(e *epoch.Epoch) {
		if starting || last != nil && e.Began.Sub(last.At) >= streamGap {
			began, starting = e, false
		}
		last = e
		if began == nil || !e.Fix.Valid {
			return
		}
		f(FirstFix{Began: began, Fix: e, Dated: began.Fix.UTC.IsKnown(), Took: e.At.Sub(began.Began)})
		began = nil
	})
}
