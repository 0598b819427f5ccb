package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"firstfix/internal/earth/geo"
	"firstfix/internal/maybe"
)

// A Doubt is one way in which a coordinate may have been spoiled, and the place that would
// then have been meant.
type Doubt struct {
	Kind    geo.Kind             `json:"kind"`
	LatDeg  float64              `json:"lat_deg"` // of what would have been meant
	LonDeg  float64              `json:"lon_deg"`
	ErrorM  maybe.Value[float64] `json:"error_m"` // from there to the place as read; not known where that is none
	Certain bool                 `json:"certain"` // as written it cannot be right
	NearM   maybe.Value[float64] `json:"near_m"`  // from there to the place it should be near
	Likely  bool                 `json:"likely"`  // it would be near enough, and as written it is not
	Says    string               `json:"says"`
}

// undoing turns one kind of mistake round. To add one, write its function and add a line.
type undoing struct {
	kind geo.Kind
	undo func(c *written) (geo.Point, string, bool)
}

var undoings = []undoing{
	{geo.NotConverted, (*written).notConverted},
	{geo.MinutesAsDecimals, (*written).minutesAsDecimals},
	{geo.FractionAsSeconds, (*written).fractionAsSeconds},
	{geo.Swapped, (*written).swapped},
	{geo.LatSign, (*written).latSign},
	{geo.LonSign, (*written).lonSign},
	{geo.ZerosLost, (*written).zerosLost},
}

// written is a coordinate as it stands.
type written struct {
	geo.Reading
	lat, lon   float64 // sizes
	plain      bool    // both are decimal degrees in one number each
	latSigned  bool    // a letter or a sign says the side
	lonSigned  bool
	latDigits  int // decimals of each, where plain
	lonDigits  int
	south, wst float64 // -1 on that side, else 1
}

func take(r geo.Reading) *written {
	c := &written{Reading: r, lat: math.Abs(r.Point.LatDeg), lon: math.Abs(r.Point.LonDeg), south: 1, wst: 1}
	c.plain = r.Spelling == geo.DecimalDegrees || r.Spelling == geo.WebLink || r.Spelling == geo.GeoURISpelling
	c.latSigned, c.latDigits = sided(r.LatText, "NnSs")
	c.lonSigned, c.lonDigits = sided(r.LonText, "EeWw")
	if r.Point.LatDeg < 0 {
		c.south = -1
	}
	if r.Point.LonDeg < 0 {
		c.wst = -1
	}
	return c
}

// sided says whether a coordinate names its side, and how many decimals it has.
func sided(text, letters string) (signed bool, decimals int) {
	signed = strings.ContainsAny(text, letters) || strings.ContainsAny(text, "-+\u2212")
	if dot := strings.LastIndexAny(text, ".,"); dot >= 0 {
		for i := dot + 1; i < len(text) && text[i] >= '0' && text[i] <= '9'; i++ {
			decimals++
		}
	}
	return signed, decimals
}

// Doubts returns what else a coordinate may have meant: what is certain first, then, with a
// place that it should be near, what comes nearest to it.
func Doubts(r geo.Reading, near maybe.Value[geo.Point]) []Doubt {
	c := take(r)
	valid := r.Point.Valid()
	var out []Doubt
	for _, u := range undoings {
		meant, says, ok := u.undo(c)
		if !ok || !meant.Valid() || meant == r.Point {
			continue
		}
		d := Doubt{Kind: u.kind, LatDeg: meant.LatDeg, LonDeg: meant.LonDeg, Certain: !valid, Says: says}
		if valid {
			d.ErrorM = maybe.Known(geo.DistanceM(meant, r.Point))
		}
		if want, ok := near.Get(); ok {
			d.NearM = maybe.Known(geo.DistanceM(meant, want))
		}
		d.Says += ", the place is " + geo.FormatDecimal(meant, 6)
		if m, ok := d.ErrorM.Get(); ok {
			d.Says += ", " + geo.FormatMetres(m) + " away"
		}
		out = append(out, d)
	}
	if want, ok := near.Get(); ok {
		rank(out, r.Point, want, valid)
	}
	return out
}

// A doubt is likely when what would have been meant lies so much nearer to where it should
// be than what was written, and near at all. Our choice.
const (
	muchNearer = 20.0
	nearM      = 2000.0
)

func rank(list []Doubt, as, want geo.Point, valid bool) {
	off := math.Inf(1)
	if valid {
		off = geo.DistanceM(as, want)
	}
	for i := range list {
		d := &list[i]
		d.Likely = d.NearM.Or(math.Inf(1)) <= nearM && d.NearM.Or(0)*muchNearer <= off
	}
	slices.SortStableFunc(list, func(a, b Doubt) int {
		switch x, y := a.NearM.Or(0), b.NearM.Or(0); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
}

// notConverted: 5142.6130 stands where degrees should.
func (c *written) notConverted() (geo.Point, string, bool) {
	if !c.plain || c.lat <= 90 && c.lon <= 180 || min(c.latDigits, c.lonDigits) < 2 {
		return geo.Point{}, "", false // sentences have at least two decimals of a minute
	}
	lat, ok1 := together(c.lat, 90)
	lon, ok2 := together(c.lon, 180)
	return geo.Point{LatDeg: c.south * lat, LonDeg: c.wst * lon}, "if degrees and minutes were sent as they stand in the sentence", ok1 && ok2
}

// together parts 5142.6130 into 51 degrees and 42.6130 minutes.
func together(size, most float64) (deg float64, ok bool) {
	degrees := math.Floor(size / 100)
	minutes := size - 100*degrees
	return degrees + minutes/60, minutes < 60 && degrees <= most
}

// minutesAsDecimals: 51.426130 was made of 5142.6130 by dividing it by 100. A fraction of
// .60 or more rules it out.
func (c *written) minutesAsDecimals() (geo.Point, string, bool) {
	if !c.plain || c.latDigits < 2 || c.lonDigits < 2 {
		return geo.Point{}, "", false
	}
	lat, ok1 := fractionMinutes(c.lat)
	lon, ok2 := fractionMinutes(c.lon)
	return geo.Point{LatDeg: c.south * lat, LonDeg: c.wst * lon}, "if the fractions are minutes (degrees and minutes divided by 100)", ok1 && ok2
}

func fractionMinutes(size float64) (deg float64, ok bool) {
	whole, frac := math.Modf(size)
	minutes := math.Round(frac*100*1e9) / 1e9
	return whole + minutes/60, minutes < 60
}

// fractionAsSeconds: 51 42 61.30 was made of 51 42.6130: the digits behind the minutes were
// taken for seconds. 60 seconds or more prove it.
func (c *written) fractionAsSeconds() (geo.Point, string, bool) {
	if c.Spelling != geo.DegreesSeconds {
		return geo.Point{}, "", false
	}
	undo := func(size float64) float64 {
		seconds := math.Round(size*3600*1e6) / 1e6
		minutes := math.Floor(seconds / 60)
		return (minutes + (seconds-60*minutes)/100) / 60
	}
	return geo.Point{LatDeg: c.south * undo(c.lat), LonDeg: c.wst * undo(c.lon)}, "if the seconds are the fraction of the minutes", true
}

func (c *written) swapped() (geo.Point, string, bool) {
	switch c.Spelling {
	case geo.GridUTM, geo.GridMGRS, geo.SentenceFields:
		return geo.Point{}, "", false // they cannot be swapped without being noticed
	}
	if letters := strings.ContainsAny(c.LatText, "NnSs") && strings.ContainsAny(c.LonText, "EeWw"); letters {
		return geo.Point{}, "", false
	}
	return geo.Point{LatDeg: c.Point.LonDeg, LonDeg: c.Point.LatDeg}, "if longitude was written first", c.lon <= 90
}

func (c *written) latSign() (geo.Point, string, bool) {
	if c.grid() || c.lat < 1e-9 {
		return geo.Point{}, "", false
	}
	return geo.Point{LatDeg: -c.Point.LatDeg, LonDeg: c.Point.LonDeg}, "if the side of the equator " + lostOrWrong(c.latSigned), true
}

func (c *written) lonSign() (geo.Point, string, bool) {
	if c.grid() || c.lon < 1e-9 {
		return geo.Point{}, "", false
	}
	return geo.Point{LatDeg: c.Point.LatDeg, LonDeg: -c.Point.LonDeg}, "if the side of Greenwich " + lostOrWrong(c.lonSigned), true
}

func lostOrWrong(signed bool) string {
	if signed {
		return "is wrong"
	}
	return "was lost (there is no letter and no sign)"
}

func (c *written) grid() bool { return c.Spelling == geo.GridUTM || c.Spelling == geo.GridMGRS }

// zerosLost: 51.0710 was printed as whole and fraction apart, as 51 and 710. It shows where
// one of the two has fewer decimals than the other.
func (c *written) zerosLost() (geo.Point, string, bool) {
	missing := c.lonDigits - c.latDigits
	if !c.plain || missing == 0 || missing > 4 || missing < -4 || c.latDigits == 0 || c.lonDigits == 0 {
		return geo.Point{}, "", false
	}
	undo := func(size float64, zeros int) float64 {
		if zeros <= 0 {
			return size
		}
		whole, frac := math.Modf(size)
		return whole + frac*math.Pow10(-zeros)
	}
	return geo.Point{LatDeg: c.south * undo(c.lat, missing), LonDeg: c.wst * undo(c.lon, -missing)},
		fmt.Sprintf("if zeros behind the point were lost (%d and %d decimals)", c.latDigits, c.lonDigits), true
}

// A Worth is what the digits are worth on the ground.
type Worth struct {
	Digits int     `json:"digits"`  // decimals of the last part
	LatM   float64 `json:"north_m"` // one step of the last digit, north to south
	LonM   float64 `json:"east_m"`  // and west to east
	Coarse bool    `json:"too_few"` // coarser than what a receiver knows
	Says   string  `json:"says"`
}

// enoughM: a receiver's place is good to some metres, so a step of two loses nothing much.
// Our estimate, as in earth/geo.
const enoughM = 2.3 // 2e-5 degrees

// WorthOf tells what the digits of a reading are worth.
func WorthOf(r geo.Reading) (w Worth, ok bool) {
	if !r.Point.Valid() || r.StepDeg <= 0 {
		return w, false
	}
	latM, lonM := geo.MetresPerDegree(r.Point.LatDeg)
	w = Worth{Digits: r.Digits, LatM: r.StepDeg * latM, LonM: r.StepDeg * lonM}
	if r.Spelling == geo.GridUTM || r.Spelling == geo.GridMGRS {
		w.LonM = w.LatM // a square
	}
	w.Coarse = max(w.LatM, w.LonM) > enoughM
	w.Says = fmt.Sprintf("one step of the last digit is %s north to south and %s west to east", geo.FormatMetres(w.LatM), geo.FormatMetres(w.LonM))
	if w.Coarse {
		w.Says += fmt.Sprintf(": too few digits, the place may be up to %s off", geo.FormatMetres(math.Hypot(w.LatM, w.LonM)))
	}
	return w, true
}
