package bringup

import "firstfix/internal/judge/verdict"

// How the measurements are written down. Minutes and base figures are our estimates; what
// they tell is the trade's common practice.

const radioCaution = "Have an antenna on the cellular socket before the radio sends, and use only networks and bands you may use."

// measure makes a measurement that costs nothing but time.
func measure(name string, minutes int, do, tells string, answers ...answer) *measurement {
	m := &measurement{Measurement: verdict.Measurement{Name: name, Do: do, Tells: tells, Minutes: minutes, Tools: "none"}, answers: answers}
	for _, a := range answers {
		m.Answers = append(m.Answers, a.Answer)
	}
	return m
}

// with says what tools it takes and what to beware of.
func (m measurement) with(tools, caution string) *measurement {
	m.Tools, m.Caution = tools, caution
	return &m
}

// reads lets a person give a figure instead of a word.
func (m measurement) reads(unit string, number func(float64) int) *measurement {
	m.unit, m.number = unit, number
	m.Unit = unit
	return &m
}

// unless says when the dialogue tells it already.
func (m measurement) unless(told func(f *Facts) bool) *measurement {
	m.told = told
	return &m
}

// is makes an answer: how often it comes when no cause that names the measurement is
// true, its name, and what it means, as a part of "you saw: …".
func (base share) is(name, means string) answer {
	return answer{verdict.Answer{Name: name, Means: means}, float64(base)}
}

// share is a part of 1.
type share float64

// below reads a figure: the first answer below the limit, the second from it on.
func below(limit float64) func(float64) int {
	return func(f float64) int {
		if f < limit {
			return 0
		}
		return 1
	}
}

// above is the other way round.
func above(limit float64) func(float64) int {
	return func(f float64) int {
		if f > limit {
			return 0
		}
		return 1
	}
}

// measurements are all of them, in the order of the chain; a test compares.
var measurements = []*measurement{
	// supply and module
	lamp, statusPin, idleVolts, scopeAtPins, radioOffTest, otherSource, resetCause, heat, moduleOnlyOff, wiresOff, orderlyOff,
	// line
	otherSpeeds, openAtFound, loopBack, idleHigh, groundToGround, shortestBit, hexOfCommand, escapeFirst, otherPort, slowerLine, longReply, flowOff, afterPause, replugCount,
	// dialogue
	byHand, waitLonger, errorCodes, testForm,
	// card
	givePIN, cardInPhone, pressHolder, otherCard, askPortal,
	// network
	phoneHere, toWindow, otherAntenna, changeSockets, searchAll, leaveAlone, automaticChoice, causeNumber, watchAnHour, restOneHour, accessPoint, contextNow,
	// messages
	testText, shortText, deleteOne, textItself, centreFromOperator, internationalForm, whoSends, callTest,
	// positions
	openSky, antennaCurrent, askEngine, radioOffSky, warmRestart, passThrough, rawBeside, standStill,
	// whatever it is
	compareGood,
}
