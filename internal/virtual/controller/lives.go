package controller

// maxSameLives is how many lives in a row, each ended by a reset or a jump to the
// beginning, may look exactly the same from outside. The part is deterministic: what
// has repeated itself so often goes on for ever; our estimate.
const maxSameLives = 20

// lives compares what was seen between one beginning of the program and the next.
type lives struct {
	began  Cycle
	trace  uint64 // of all edges in both directions, with their times
	before [2]uint64
	same   int
}

// add takes an edge into the trace (FNV-1a over its parts).
func (l *lives) add(at Cycle, p Pin, d Drive) {
	const prime = 1099511628211
	l.trace = (l.trace ^ uint64(at-l.began)) * prime
	l.trace = (l.trace ^ uint64(p)<<8 ^ uint64(d)) * prime
}

// endLife is called when the program is about to begin anew.
func (c *Core) endLife(why string) {
	l := &c.lives
	life := [2]uint64{l.trace, uint64(c.cycle - l.began)}
	if life == l.before {
		l.same++
	} else {
		l.same = 0
	}
	l.before, l.began, l.trace = life, c.cycle, 0
	if l.same >= maxSameLives {
		c.halt(RestartLoop, "it has begun %d times in the same way, each time after %v (%s); the last time", l.same, c.InstantOf(Cycle(life[1])), why)
	}
}

// enter is the instruction at address 0. Coming there without a reset is what happens
// when an interrupt has no handler, or through a jump that went wrong.
func (c *Core) enter() {
	if !c.fresh {
		why := "by a jump"
		if c.lastIRQ != "" {
			why = "the last interrupt was " + c.lastIRQ
		}
		c.say(c.cycle, Restarted, 0, "the program begins anew without a reset (%s; last computed jump at %s)", why, c.place(c.leapt))
		c.endLife("by a jump to address 0; " + why)
		if c.stopped {
			return
		}
	}
	c.fresh = false
	c.touched++
	c.exec(&c.entry)
}

// refuse is for words that a program never means to execute.
func (c *Core) refuse(o *op) {
	switch o.kind {
	case kErased:
		c.halt(WildJump, "executes flash that was never written (last computed jump at %s)", c.place(c.leapt))
	case kSPM:
		c.halt(SelfProgrammed, "executes SPM, which is refused: this stands for a part without a boot loader,")
	default:
		c.halt(BadOpcode, "executes 0x%04X, which is no instruction of the %s (last computed jump at %s)", c.flash[c.pc], c.part.Name, c.place(c.leapt))
	}
}
