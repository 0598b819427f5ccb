// Package replycut reports replies that end at the size of a buffer.
package replycut

import (
	"fmt"
	"slices"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "replycut",
	Title:    "long replies end at the size of a buffer",
	Severity: finding.Error,
	Cites:    []string{"common practice, no source (buffers of 64, 128 and 256 bytes)", "V.250, 5.7 (an answer ends with its result)"},
	Doc: `
Different replies break off after the same number of bytes, and that number is 63, 64, 127, 128, 255 or 256: the
controller's receive buffer was full while the program did something else. What came later was thrown away, so the
OK is missing, or stands alone. Without flow control the module cannot know. At 9600 bit/s a buffer of 64 bytes is
full after 67 ms.`,
	Silent: `
A single cut reply, or two equal ones: then it may be the reply itself. Replies that end with their result. Replies
cut at other lengths.`,
	Remedy: `Read the line in every turn of the main loop or by interrupt, enlarge the buffer to the longest answer, switch on RTS/CTS flow control, and read messages one at a time.`,
	Watch:  watch,
}

// buffers are the sizes that programs use; a ring holds one byte less.
var buffers = []int{64, 128, 256, 512}

// slack is how many bytes the line ends that are not counted may add. Our estimate.
const slack = 3

func watch(p *rulebook.Pass) {
	var pending, before, late *dialogue.Exchange // late: it had no result when the next command was sent
	var piece dialogue.Line                      // what came of pending's last line
	var was dialogue.Line
	judge := func() {
		x, end := pending, piece
		pending, piece = nil, dialogue.Line{}
		if x == nil {
			return
		}
		n := size(x, end)
		buffer := slices.IndexFunc(buffers, func(b int) bool { return n <= b && n >= b-slack })
		if buffer < 0 {
			return
		}
		if end.IsZero() {
			end = x.Info[len(x.Info)-1]
		}
		if before != nil && size(before, was) == n && end.Text != was.Text {
			p.Report(fmt.Sprintf("two different replies break off after the same %d bytes: a buffer of %d bytes was full", n, buffers[buffer]), p.See(end, "breaks off here"), p.See(was, "and here before"))
		}
		before, was = x, end
	}
	p.OnAsked(func(*dialogue.Exchange) {
		if open := p.Open(); len(open) > 0 {
			late = open[len(open)-1]
		}
	})
	p.OnUnsolicited(func(l, body dialogue.Line, a at.Answer) {
		if pending != nil && body.IsZero() && l.Began < pending.DoneAt { // it had begun before the controller went on
			piece = l
		}
		judge()
	})
	p.OnAnswered(func(x *dialogue.Exchange) {
		judge()
		if (x.Outcome != dialogue.Finished || x == late) && len(x.Info) > 0 && len(x.Parsed.Commands) > 0 {
			pending = x
		}
	})
	p.OnEnd(judge)
}

// size is how many bytes of an answer came, line ends as modules write them:
// one before the first line, one after each but the last.
func size(x *dialogue.Exchange, piece dialogue.Line) (n int) {
	for _, l := range x.Info {
		if l != piece {
			n += 2 + len(l.Text)
		}
	}
	if !piece.IsZero() {
		n += 2 + len(piece.Text)
	}
	if x.Echoed {
		n += len(x.Command.Text) + 1
	}
	return n
}
