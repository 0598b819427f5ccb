package witness

import (
	"firstfix/internal/earth/geo"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
)

// maxPositions is how many positions of one text are looked at: a text has room
// for six, and a larger payload repeats one mistake.
const maxPositions = 8

// positions finds the positions that a text of the controller gives away.
func (w *Witness) positions(line dialogue.Line, text string, m *Message) {
	for _, r := range geo.FindAll(text, maxPositions) {
		w.seen.Positions = append(w.seen.Positions, &SentPosition{
			Line: line, Text: text[r.At : r.At+r.Len], LatText: r.LatText, LonText: r.LonText,
			Point: r.Point, Message: m, Reading: r,
		})
	}
}

// data takes in bytes that passed in data state.
func (w *Witness) data(line dialogue.Line) {
	if line.From == capture.Controller {
		w.positions(line, line.Text, nil)
	}
}
