package bringup

import (
	"math"
	"slices"
	"sort"
)

// A sketch holds how often which time was measured, in a bounded amount of room.
// Up to keepExact values it holds each; from then on it counts them in classes
// whose borders grow by 2 per cent, so that a quantile is off by at most one.
type sketch struct {
	n        int
	min, max float64
	exact    []float64
	classes  []uint32 // by classOf, grown as needed
}

const (
	// keepExact: with so few values a person may count along.
	keepExact = 64
	// classRatio: two per cent of a waiting time is less than it varies from day to day.
	classRatio = 1.02
	// classFloorMS: nothing on a serial line is told apart below a tenth of a millisecond.
	classFloorMS = 0.1
	// classMax bounds the classes: 1.02^1200 x 0.1 ms is sixty years.
	classMax = 1200
)

func (s *sketch) add(ms float64) {
	if s.n == 0 || ms < s.min {
		s.min = ms
	}
	if s.n == 0 || ms > s.max {
		s.max = ms
	}
	s.n++
	if s.n <= keepExact {
		s.exact = append(s.exact, ms)
		return
	}
	if s.exact != nil {
		for _, v := range s.exact {
			s.count(v)
		}
		s.exact = nil
	}
	s.count(ms)
}

func (s *sketch) count(ms float64) {
	i := classOf(ms)
	for len(s.classes) <= i {
		s.classes = append(s.classes, 0)
	}
	s.classes[i]++
}

func classOf(ms float64) int {
	if ms <= classFloorMS {
		return 0
	}
	return min(1+int(math.Log(ms/classFloorMS)/math.Log(classRatio)), classMax)
}

// quantile returns the value that the share q of all values does not exceed: the
// nearest-rank definition, so that it is a value that was measured (up to 2 per cent).
func (s *sketch) quantile(q float64) float64 {
	rank := max(int(math.Ceil(q*float64(s.n))), 1)
	if s.exact != nil {
		sorted := slices.Clone(s.exact)
		sort.Float64s(sorted)
		return sorted[rank-1]
	}
	seen := 0
	for i, c := range s.classes {
		seen += int(c)
		if seen >= rank {
			middle := classFloorMS * math.Pow(classRatio, float64(i)-0.5)
			return min(max(middle, s.min), s.max)
		}
	}
	return s.max
}
