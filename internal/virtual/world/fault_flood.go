package world

import (
	"fmt"

	"firstfix/internal/when"
)

// floodEvery is the pause between two texts of a flood; our choice.
const floodEvery = 2 * when.Second

var flood = Fault{
	Name:  "flood",
	Title: "texts come faster than anybody reads them",
	Truth: "text-flood",
	Doc: `
A loop somewhere, or everything that waited during a gap in coverage: the store is
full before the first is read.`,
	Takes:   []string{"count", "from", "text"},
	Arrives: floodArrives,
}

func floodArrives(p Params, _ uint64) []Arrival {
	var all []Arrival
	for n := range p.Count.Or(25) {
		all = append(all, Arrival{At: when.Instant(n) * floodEvery, Kind: TextArrives, From: or(p.From, "+447700900321"), Text: fmt.Sprintf("%s %d", or(p.Text, "STATUS"), n+1)})
	}
	return all
}
