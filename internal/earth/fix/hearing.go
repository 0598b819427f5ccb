package fix

import (
	"math"
	"slices"

	"firstfix/internal/maybe"
)

// Heard is one satellite in view, as a receiver tells it.
type Heard struct {
	System       string
	ID           int
	ElevationDeg maybe.Value[float64]
	AzimuthDeg   maybe.Value[float64]
	CN0DBHz      maybe.Value[float64] // not known: not tracked
	Used         bool
}

const (
	// sectors and bands cut the sky into cells: 30 degrees of azimuth, and elevations by bandsDeg.
	sectors = 12
	// maxHeard bounds the satellites told apart: all systems together have some 130.
	maxHeard = 256
	// maxCN0 is beyond every receiver: 55 dB-Hz is the top under an open sky.
	maxCN0 = 64
	// strongDBHz is what a fix wants on four satellites: "about 28 to 32". Guidance, no standard.
	strongDBHz = 28
)

// bandsDeg are where the bands of elevation begin; the last ends at the zenith.
var bandsDeg = [...]float64{0, 15, 30, 60}

const bands = len(bandsDeg)

// Hearing collects what a receiver hears: of each satellite, from each part of the sky, and how
// strongly on the whole. It holds a bounded amount.
type Hearing struct {
	reports  int64
	listed   int64
	heard    int64
	used     int64
	four     int64 // reports with four strong satellites
	best     [maxCN0]int64
	fourth   [maxCN0]int64 // 0: fewer than four are heard
	all      [maxCN0]int64
	cells    [sectors][bands]cell
	list     []satellite
	dropped  int64
	scratch  []float64
	noDirect int64 // heard without a direction
	cellular [cellularLevels]int64
}

type cell struct {
	listed, heard int64
	sum           float64
	who           uint64 // one bit for a satellite, by its number
}

type satellite struct {
	system              string
	id                  int
	listed, heard, used int64
	sum, squares, top   float64
	placed              bool
	firstEl, firstAz    float64
	lastEl, lastAz      float64
}

// NewHearing returns a collector.
func NewHearing() *Hearing {
	return &Hearing{list: make([]satellite, 0, maxHeard), scratch: make([]float64, 0, maxHeard)}
}

// Add takes one report of the sky: all satellites in view.
func (h *Hearing) Add(view []Heard) {
	h.reports++
	h.scratch = h.scratch[:0]
	for i := range view {
		h.one(&view[i])
	}
	slices.Sort(h.scratch)
	n := len(h.scratch)
	top, fourth := 0.0, 0.0
	if n > 0 {
		top = h.scratch[n-1]
	}
	if n >= 4 {
		fourth = h.scratch[n-4]
	}
	h.best[whole(top)]++
	h.fourth[whole(fourth)]++
	if fourth >= strongDBHz {
		h.four++
	}
}

// cellularLevels are from -113 dBm on, one decibel each: the span of +CSQ (3GPP TS 27.007, 8.5).
const cellularLevels = 64

// Cellular takes a level of the network that the module told: it helps to tell swapped antennas.
func (h *Hearing) Cellular(dBm float64) {
	if i := int(math.Round(dBm)) + 113; i >= 0 && i < cellularLevels {
		h.cellular[i]++
	}
}

func (h *Hearing) network() maybe.Value[float64] {
	var all, below int64
	for _, n := range h.cellular {
		all += n
	}
	for i, n := range h.cellular {
		if below += n; 2*below >= all && all > 0 {
			return maybe.Known(float64(i - 113))
		}
	}
	return maybe.Value[float64]{}
}

func whole(cn0 float64) int { return int(min(max(cn0, 0), maxCN0-1)) }

func (h *Hearing) one(v *Heard) {
	h.listed++
	s := h.find(v)
	cn0, tracked := v.CN0DBHz.Get()
	tracked = tracked && cn0 > 0 && cn0 < maxCN0
	if tracked {
		h.heard++
		h.all[whole(cn0)]++
		if len(h.scratch) < cap(h.scratch) {
			h.scratch = append(h.scratch, cn0)
		}
	}
	if v.Used {
		h.used++
	}
	elevation, ok1 := v.ElevationDeg.Get()
	azimuth, ok2 := v.AzimuthDeg.Get()
	placed := ok1 && ok2 && elevation >= 0 && elevation <= 90 && azimuth >= 0 && azimuth <= 360
	if placed {
		c := &h.cells[int(azimuth/(360/sectors))%sectors][bandOf(elevation)]
		c.listed++
		c.who |= 1 << (uint(v.ID) % 64)
		if tracked {
			c.heard++
			c.sum += cn0
		}
	} else if tracked {
		h.noDirect++
	}
	if s == nil {
		return
	}
	s.listed++
	if v.Used {
		s.used++
	}
	if tracked {
		s.heard++
		s.sum, s.squares, s.top = s.sum+cn0, s.squares+cn0*cn0, max(s.top, cn0)
	}
	if placed {
		if !s.placed {
			s.firstEl, s.firstAz, s.placed = elevation, azimuth, true
		}
		s.lastEl, s.lastAz = elevation, azimuth
	}
}

func bandOf(elevation float64) int {
	b := 0
	for i, from := range bandsDeg {
		if elevation >= from {
			b = i
		}
	}
	return b
}

// find returns the satellite's row; nil when there are too many.
func (h *Hearing) find(v *Heard) *satellite {
	for i := range h.list {
		if s := &h.list[i]; s.id == v.ID && s.system == v.System {
			return s
		}
	}
	if len(h.list) == maxHeard {
		h.dropped++
		return nil
	}
	h.list = append(h.list, satellite{system: v.System, id: v.ID})
	return &h.list[len(h.list)-1]
}

// HearingFigures are what a receiver heard.
type HearingFigures struct {
	Reports     int64
	MeanListed  float64 // satellites in view
	MeanHeard   float64 // of them with a level
	MeanUsed    float64
	FourShare   float64              // reports with four satellites of 28 dB-Hz or more
	BestDBHz    maybe.Value[float64] // the strongest satellite, in half of the reports above this
	FourthDBHz  maybe.Value[float64] // the fourth strongest, the same way
	MedianDBHz  maybe.Value[float64] // of all levels heard
	RiseDB      maybe.Value[float64] // levels above 30 degrees less those below: what an antenna that looks up has
	UnevenDB    maybe.Value[float64] // how unlike satellites of one elevation are: deviation
	Satellites  []SatelliteFigures   // by system and number
	Cells       []CellFigures        // of the sky, those in which a satellite was
	BlockedArcs []Arc
	CellularDBm maybe.Value[float64] // the network, in half of what was told above this
}

// SatelliteFigures are one satellite.
type SatelliteFigures struct {
	System        string
	ID            int
	Listed, Heard int64
	UsedShare     float64
	MeanDBHz      maybe.Value[float64]
	TopDBHz       maybe.Value[float64]
	DeviationDB   maybe.Value[float64]
	FromElevation maybe.Value[float64] // when first and last seen
	FromAzimuth   maybe.Value[float64]
	ToElevation   maybe.Value[float64]
	ToAzimuth     maybe.Value[float64]
}

// CellFigures are one part of the sky.
type CellFigures struct {
	FromDeg, ToDeg  float64 // azimuths
	LowDeg, HighDeg float64 // elevations
	Listed          int64
	Satellites      int // at least so many different ones
	HeardShare      float64
	MeanDBHz        maybe.Value[float64]
	LossDB          maybe.Value[float64] // against the best sectors of the same elevation
}

// An Arc is a side of the sky from which less comes than from the others.
type Arc struct {
	FromDeg, ToDeg float64 // clockwise
	LossDB         float64
	HeardShare     float64 // of the satellites there
	Satellites     int
}

// Figures puts what was heard into figures.
func (h *Hearing) Figures() HearingFigures {
	f := HearingFigures{Reports: h.reports, CellularDBm: h.network()}
	if h.reports == 0 {
		return f
	}
	n := float64(h.reports)
	f.MeanListed, f.MeanHeard, f.MeanUsed, f.FourShare = float64(h.listed)/n, float64(h.heard)/n, float64(h.used)/n, float64(h.four)/n
	f.BestDBHz, f.FourthDBHz, f.MedianDBHz = middle(&h.best), middle(&h.fourth), middle(&h.all)
	f.Cells = h.cellFigures()
	f.BlockedArcs = arcs(f.Cells)
	f.RiseDB = rise(f.Cells)
	f.UnevenDB = uneven(f.Cells)
	for i := range h.list {
		f.Satellites = append(f.Satellites, h.list[i].figures())
	}
	slices.SortFunc(f.Satellites, func(a, b SatelliteFigures) int {
		if a.System != b.System {
			if a.System < b.System {
				return -1
			}
			return 1
		}
		return a.ID - b.ID
	})
	return f
}

func (s *satellite) figures() SatelliteFigures {
	f := SatelliteFigures{System: s.system, ID: s.id, Listed: s.listed, Heard: s.heard, UsedShare: float64(s.used) / float64(s.listed)}
	if s.heard > 0 {
		n := float64(s.heard)
		mean := s.sum / n
		f.MeanDBHz, f.TopDBHz = maybe.Known(mean), maybe.Known(s.top)
		f.DeviationDB = maybe.Known(math.Sqrt(max(0, s.squares/n-mean*mean)))
	}
	if s.placed {
		f.FromElevation, f.FromAzimuth = maybe.Known(s.firstEl), maybe.Known(s.firstAz)
		f.ToElevation, f.ToAzimuth = maybe.Known(s.lastEl), maybe.Known(s.lastAz)
	}
	return f
}

// middle is the level in the middle of a histogram; not known when half of it is nothing heard.
func middle(histogram *[maxCN0]int64) maybe.Value[float64] {
	var all int64
	for _, n := range histogram {
		all += n
	}
	var below int64
	for level, n := range histogram {
		if below += n; 2*below >= all && all > 0 {
			if level == 0 {
				break
			}
			return maybe.Known(float64(level))
		}
	}
	return maybe.Value[float64]{}
}
