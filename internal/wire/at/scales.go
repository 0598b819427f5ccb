package at

import (
	"fmt"
	"strconv"
	"time"

	"firstfix/internal/maybe"
)

var (
	unknown99  = []ValueInfo{{99, 99, "", "not known or not detectable"}}
	unknown255 = []ValueInfo{{255, 255, "", "not known or not detectable"}}
	// berValues: 3GPP TS 45.008 8.2.4.
	berValues = []ValueInfo{{0, 0, "", "below 0.2 %"}, {1, 1, "", "0.2 to 0.4 %"}, {2, 2, "", "0.4 to 0.8 %"}, {3, 3, "", "0.8 to 1.6 %"}, {4, 4, "", "1.6 to 3.2 %"},
		{5, 5, "", "3.2 to 6.4 %"}, {6, 6, "", "6.4 to 12.8 %"}, {7, 7, "", "above 12.8 %"}, {99, 99, "", "not known or not detectable"}}
)

// RSSIdBm turns <rssi> of +CSQ into dBm, 27.007 8.5: -113 + 2n. 0 means that
// or less, 31 means -51 or more; 99 and what is outside the scale is not known.
func RSSIdBm(n int) maybe.Value[int] {
	if n < 0 || n > 31 {
		return maybe.Value[int]{}
	}
	return maybe.Known(-113 + 2*n)
}

// A CESQField is one value of +CESQ.
type CESQField struct {
	Name   string // "rxlev", "rscp", "ecno", "rsrq", "rsrp", "ss_rsrq", "ss_rsrp", "ss_sinr"
	Unit   string
	floor  float64 // 0 is below it
	step   float64
	last   int // this value is without an upper end
	absent int // this value is not known
}

// cesqFields: 27.007 8.69, in order; the bit error rate at index 1 has no step.
// The three of NR are from memory.
var cesqFields = [...]CESQField{
	{"rxlev", "dBm", -110, 1, 63, 99},
	{"ber", "", 0, 0, 7, 99},
	{"rscp", "dBm", -120, 1, 96, 255},
	{"ecno", "dB", -24, 0.5, 49, 255},
	{"rsrq", "dB", -19.5, 0.5, 34, 255},
	{"rsrp", "dBm", -140, 1, 97, 255},
	{"ss_rsrq", "dB", -43, 0.5, 126, 255},
	{"ss_rsrp", "dBm", -156, 1, 126, 255},
	{"ss_sinr", "dB", -23, 0.5, 127, 255},
}

// CESQRange says which range value n of the field of +CESQ at index i, counted
// from 0, stands for: "-79 to -78 dBm", "below -140 dBm", "-44 dBm or more".
// False: not known, or not on the scale.
func CESQRange(i, n int) (string, bool) {
	if i < 0 || i >= len(cesqFields) || n < 0 || n > cesqFields[i].last {
		return "", false
	}
	f := cesqFields[i]
	if f.step == 0 {
		return berValues[n].Meaning, true
	}
	number := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	low := f.floor + float64(n-1)*f.step
	switch n {
	case 0:
		return "below " + number(f.floor) + " " + f.Unit, true
	case f.last:
		return number(low) + " " + f.Unit + " or more", true
	}
	return number(low) + " to " + number(low+f.step) + " " + f.Unit, true
}

// CESQLower returns the lower end of the range of value n of the field at index
// i, in the field's unit; below the lowest step, that step. It is not known
// for 99 and 255.
func CESQLower(i, n int) maybe.Value[float64] {
	if i < 0 || i >= len(cesqFields) || n < 0 || n > cesqFields[i].last || cesqFields[i].step == 0 {
		return maybe.Value[float64]{}
	}
	f := cesqFields[i]
	return maybe.Known(f.floor + float64(max(n, 1)-1)*f.step)
}

// RegistrationStat says in words what <stat> of +CREG and its sisters means.
func RegistrationStat(n int) (string, bool) { return valueOf(registrationStats, n) }

// Registered says that the module can be reached by texts with this <stat>:
// 1, 5, 6, 7, 9, 10.
func Registered(stat int) bool {
	switch stat {
	case 1, 5, 6, 7, 9, 10:
		return true
	}
	return false
}

// AccessTechnology names the radio technology <AcT>.
func AccessTechnology(n int) (string, bool) { return valueOf(accessTechnologies, n) }

// BitErrorRate says which range <ber> of +CSQ stands for.
func BitErrorRate(n int) (string, bool) { return valueOf(berValues, n) }

func valueOf(values []ValueInfo, n int) (string, bool) {
	for _, v := range values {
		if n >= v.From && n <= v.To {
			return v.Meaning, true
		}
	}
	return "", false
}

// A Timer is a time the network and the module agreed on for power saving.
type Timer struct {
	Time time.Duration
	Off  bool
}

func (t Timer) String() string {
	switch {
	case t.Off:
		return "off"
	case t.Time >= time.Hour && t.Time%time.Hour == 0:
		return fmt.Sprintf("%d h", t.Time/time.Hour)
	case t.Time >= time.Minute && t.Time%time.Minute == 0:
		return fmt.Sprintf("%d min", t.Time/time.Minute)
	}
	return fmt.Sprintf("%d s", t.Time/time.Second)
}

// Steps of the timers by their unit, the upper three of eight bits; 0 is off.
// activeSteps: 3GPP TS 24.008 10.5.7.3, where units not named count minutes.
// periodicSteps: 10.5.7.4a, all but unit 2 from memory.
var (
	activeSteps   = [8]time.Duration{2 * time.Second, time.Minute, 6 * time.Minute, time.Minute, time.Minute, time.Minute, time.Minute, 0}
	periodicSteps = [8]time.Duration{10 * time.Minute, time.Hour, 10 * time.Hour, 2 * time.Second, 30 * time.Second, time.Minute, 320 * time.Hour, 0}
)

// ActiveTime reads the eight bits of <Active-Time>, as "00100100". False: they
// are not eight bits.
func ActiveTime(bits string) (Timer, bool) { return timer(bits, &activeSteps) }

// PeriodicTAU reads the eight bits of <Periodic-TAU>. False: they are not
// eight bits.
func PeriodicTAU(bits string) (Timer, bool) { return timer(bits, &periodicSteps) }

func timer(bits string, steps *[8]time.Duration) (Timer, bool) {
	n, ok := binary(bits, 8)
	if !ok {
		return Timer{}, false
	}
	step := steps[n>>5]
	return Timer{Time: step * time.Duration(n&31), Off: step == 0}, true
}

// EDRXCycle reads the four bits of an eDRX value for E-UTRAN: 3GPP TS 24.008
// 10.5.5.32, from memory. False: they are not four bits.
func EDRXCycle(bits string) (time.Duration, bool) {
	n, ok := binary(bits, 4)
	if !ok {
		return 0, false
	}
	return time.Duration(edrxFrames[n]) * 10 * time.Millisecond, true
}

// edrxFrames is the cycle in radio frames of 10 ms.
var edrxFrames = [16]int{512, 1024, 2048, 4096, 6144, 8192, 10240, 12288, 14336, 16384, 32768, 65536, 131072, 262144, 524288, 1048576}

func binary(bits string, width int) (int, bool) {
	if len(bits) != width {
		return 0, false
	}
	n, err := strconv.ParseUint(bits, 2, 16)
	return int(n), err == nil
}

// A Registration is an answer or a report of +CREG, +CGREG, +CEREG or +C5GREG.
type Registration struct {
	Name                   string
	Unasked                bool             // a report; it has no N
	N                      maybe.Value[int] // which reports are on
	Stat                   maybe.Value[int]
	Area                   string // location or tracking area, hexadecimal; "" when not given
	Cell                   string // hexadecimal
	AcT                    maybe.Value[int]
	CauseType, RejectCause maybe.Value[int]
}

// ParseRegistration reads one of the four registration lines. The read answer
// has one number more in front than the report (27.007 7.2): a second
// parameter of one or two bare digits is <stat>, anything else there is an area.
func ParseRegistration(a Answer) (Registration, bool) {
	switch a.Name {
	case "+CREG", "+CGREG", "+CEREG", "+C5GREG":
	default:
		return Registration{}, false
	}
	r := Registration{Name: a.Name, Unasked: true}
	p := a.Params
	if len(p) > 1 && !p[1].Quoted && !p[1].Empty && len(p[1].Text) <= 2 {
		if _, ok := digits(p[1].Text); ok {
			r.Unasked, r.N, p = false, number(p, 0), p[1:]
		}
	}
	r.Stat, r.Area, r.Cell, r.AcT = number(p, 0), text(p, 1), text(p, 2), number(p, 3)
	cause := 4 + causeOffset(a.Name)
	r.CauseType, r.RejectCause = number(p, cause), number(p, cause+1)
	return r, r.Stat.IsKnown()
}

// causeOffset: what stands between <AcT> and <cause_type>. +CGREG <rac>,
// +C5GREG the allowed slices.
func causeOffset(name string) int {
	switch name {
	case "+CGREG":
		return 1
	case "+C5GREG":
		return 2
	}
	return 0
}

func text(p []Param, i int) string {
	if i >= len(p) {
		return ""
	}
	return p[i].Text
}

func number(p []Param, i int) maybe.Value[int] {
	if i < len(p) {
		if n, ok := digits(p[i].Text); ok {
			return maybe.Known(n)
		}
	}
	return maybe.Value[int]{}
}
