package bringup

import (
	"fmt"
	"strings"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/uart"
)

// line: bytes pass both ways and make sense.
var line = &Check{Link: Line, Title: "Line", Ask: askLine, Verdict: judgeLine}

// show is a line to quote and what it shows.
type show struct {
	line dialogue.Line
	note string
}

// askLine wakes the module. Common practice: AT every half second until OK comes; if
// nothing does, leave what an earlier controller may have left open, text entry or data.
func askLine(q *Questions) *procedure.Procedure {
	switch {
	case q.Round == 0:
		return ask("wake", procedure.Step{Name: "wake", Send: "AT", MaxWaitMS: 1000, Tries: 8, BackoffMS: 500, MaxBackoffMS: 2000})
	case q.Facts.Line.Answered.Is() && q.Round == 1:
		return ask("wake-again", procedure.Step{Name: "again", Send: "AT", MaxWaitMS: 1000, Tries: 2})
	case q.Facts.Line.Answered.Is():
		return nil
	case q.Round == 1:
		return ask("leave-text", procedure.Step{Name: "leave text entry", Escape: procedure.EscapeText, Send: "AT", MaxWaitMS: 1000, Tries: 2})
	case q.Round == 2:
		return ask("leave-data", procedure.Step{Name: "leave data state", Escape: procedure.EscapeData, Send: "AT", MaxWaitMS: 1000, Tries: 2})
	case q.Options.Baud == 0, q.Facts.Line.atGiven().Readable.Is():
		return nil // a line without a speed, or one whose speed is right: sentences can be read
	}
	return q.nextSpeed()
}

// searchSpeeds are tried when nothing answers at the speed given, the usual ones first
// (common practice, no source; the list is that of V.250 6.2.10 and faster ones).
var searchSpeeds = []int{115200, 9600, 57600, 38400, 19200, 4800, 230400, 460800, 921600, 2400, 14400, 28800, 1200}

// nextSpeed tries AT at the next usual speed: it changes nothing in the module, and a
// module that finds the speed by itself needs some AT at one speed anyway. In the end
// the line has the given speed again.
func (q *Questions) nextSpeed() *procedure.Procedure {
	for q.Done["speed"] < len(searchSpeeds) {
		baud := searchSpeeds[q.Done["speed"]]
		q.Done["speed"]++
		if baud == q.Options.Baud {
			continue
		}
		q.walker.tune(baud)
		return ask("speed", procedure.Step{Name: "other speed", Send: "AT", MaxWaitMS: 600, Tries: 3, BackoffMS: 200, MaxBackoffMS: 200})
	}
	q.walker.tune(q.Options.Baud)
	return nil
}

func judgeLine(f *Facts) Judgement {
	l := &f.Line
	commands := f.Counts.Exchanges
	if baud, ok := l.FoundBaud(); ok {
		return f.judgeOtherSpeed(baud)
	}
	switch {
	case commands == 0 && l.Sentences.Times == 0 && l.Garbled.Times == 0:
		return notShown("nothing passed the line that could be judged")
	case l.Garbled.Is() && l.Good() == 0:
		return f.is(verdict.Broken, noiseSays(f), show{l.Garbled.First, "no sense at this speed"})
	case commands > 0 && !l.Answered.Is():
		return judgeSilence(f)
	}
	if share := float64(l.BadSums.Times); l.BadSums.Times >= 3 && share > 0.01*float64(l.Sentences.Times) {
		return f.is(verdict.Weak, fmt.Sprintf("%s of %s sentences have a wrong checksum", rulebook.Count(l.BadSums.Times), rulebook.Count(l.Sentences.Times)),
			show{l.BadSums.First, "wrong checksum"})
	}
	if l.Garbled.Times >= 3 && l.Garbled.Times*50 > l.Answered.Times+l.Sentences.Times {
		return f.is(verdict.Weak, fmt.Sprintf("%s of noise among what could be read", plural(l.Garbled.Times, "stretch", "stretches")),
			show{l.Garbled.First, "fits nothing"})
	}
	if n := l.GivenUp; n >= 3 && n*20 > commands && l.Streak < 3 {
		return f.is(verdict.Weak, fmt.Sprintf("%d of %d commands had no answer", n, commands), show{l.Unanswered.First, "no answer"})
	}
	if commands == 0 {
		return f.is(verdict.Holds, fmt.Sprintf("%s arrive, %s with a wrong checksum", plural(l.Sentences.Times, "sentence", "sentences"), zeroOr(l.BadSums.Times)),
			show{l.Sentences.First, "reads well"})
	}
	return f.is(verdict.Holds, fmt.Sprintf("%s of %s answered", rulebook.Count(l.Answered.Times), plural(commands, "command", "commands")),
		show{l.Answered.First, "the first answer"})
}

// judgeOtherSpeed: at the speed given nothing, at another one the module answers. The walk
// goes on at that one, so that the later links are still shown.
func (f *Facts) judgeOtherSpeed(baud int) Judgement {
	given := &f.Line.Given
	says := fmt.Sprintf("no answer at %d baud", given.Baud)
	if given.Garbled.Is() {
		says = fmt.Sprintf("nothing can be read at %d baud", given.Baud)
	}
	j := f.is(verdict.Broken, fmt.Sprintf("%s; the module answers at %d baud", says, baud),
		show{given.Garbled.First, "no sense at this speed"}, show{given.Unanswered.First, "no answer at this speed"}, show{f.Line.Readable.First, fmt.Sprintf("read at %d baud", baud)})
	j.Passable = true
	return j
}

// judgeSilence: commands were sent and none had a final result.
func judgeSilence(f *Facts) Judgement {
	l := &f.Line
	commands := plural(f.Counts.Exchanges, "command", "commands")
	first := show{l.Unanswered.First, "no answer"}
	switch {
	case l.EchoOnly.Is():
		return f.is(verdict.Broken, fmt.Sprintf("%s came back as an echo and had no result", commands), show{l.EchoOnly.First, "echo, and nothing more"})
	case l.ModuleBytes == 0 && f.Walk == nil && f.Counts.Exchanges == 1:
		return f.is(verdict.Weak, "one command was sent, and the recording ends without an answer", first)
	case l.ModuleBytes == 0:
		return f.is(verdict.Broken, "not one byte came back to "+commands, first)
	case l.Sentences.Is():
		return f.is(verdict.Broken, fmt.Sprintf("sentences arrive, but %s had no answer", commands), first, show{l.Sentences.First, "this direction works"})
	}
	return f.is(verdict.Broken, fmt.Sprintf("%s had no final result, though something arrives", commands), first)
}

func noiseSays(f *Facts) string {
	says := fmt.Sprintf("%s arrived and none of it can be read", plural(int(f.Line.GarbledBytes), "byte", "bytes"))
	if guess, ok := f.speedGuess(); ok {
		return says + fmt.Sprintf("; at %d baud the bytes would make sense", guess.Baud)
	}
	if f.Line.Baud > 0 {
		return says + fmt.Sprintf(" at %d baud", f.Line.Baud)
	}
	return says
}

// speedGuess is the speed at which the noise would make sense. It is worked out once for
// the same noise: it costs a quarter of a second, and verdicts are asked for often.
func (f *Facts) speedGuess() (uart.Guess, bool) {
	l := &f.Line
	if l.Baud == 0 || len(l.Noise) == 0 || f.quick {
		return uart.Guess{}, false
	}
	if f.guessed != len(l.Noise) {
		f.guessed, f.guess = len(l.Noise), uart.GuessSpeed(l.Noise, l.Baud)
	}
	if len(f.guess) == 0 {
		return uart.Guess{}, false
	}
	return f.guess[0], true
}

func zeroOr(n int) string {
	if n == 0 {
		return "none"
	}
	return rulebook.Count(n)
}

func list(items ...string) string {
	var some []string
	for _, s := range items {
		if s != "" {
			some = append(some, s)
		}
	}
	return strings.Join(some, ", ")
}
