package message

import (
	"fmt"
	"strconv"
	"time"
)

// periodWords writes a period of a validity as people say it.
func periodWords(d time.Duration) string {
	const day = 24 * time.Hour
	switch {
	case d > 30*day && d%(7*day) == 0: // TS 23.040 9.2.3.12.1 counts weeks above 30 days
		return counted(int(d/(7*day)), "week")
	case d > day && d%day == 0:
		return counted(int(d/day), "day")
	case d >= time.Hour:
		return strconv.FormatFloat(d.Hours(), 'g', 4, 64) + " h"
	}
	return strconv.FormatFloat(d.Minutes(), 'g', 4, 64) + " min"
}

// counted writes a number of things: "1 part", "3 parts".
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
