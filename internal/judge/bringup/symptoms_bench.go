package bringup

import (
	"time"

	"firstfix/internal/judge/rules/answeredunasked"
	"firstfix/internal/judge/rules/atindata"
	"firstfix/internal/judge/rules/bareerror"
	"firstfix/internal/judge/rules/batterylife"
	"firstfix/internal/judge/rules/batteryloop"
	"firstfix/internal/judge/rules/bitflips"
	"firstfix/internal/judge/rules/chainfailed"
	"firstfix/internal/judge/rules/consoleonport"
	"firstfix/internal/judge/rules/controllerrestart"
	"firstfix/internal/judge/rules/cutcommand"
	"firstfix/internal/judge/rules/deafmodule"
	"firstfix/internal/judge/rules/echoback"
	"firstfix/internal/judge/rules/escapeguard"
	"firstfix/internal/judge/rules/fixedwait"
	"firstfix/internal/judge/rules/hardpoweroff"
	"firstfix/internal/judge/rules/lineend"
	"firstfix/internal/judge/rules/linelost"
	"firstfix/internal/judge/rules/linestall"
	"firstfix/internal/judge/rules/longline"
	"firstfix/internal/judge/rules/missingend"
	"firstfix/internal/judge/rules/neveraccepted"
	"firstfix/internal/judge/rules/noanswer"
	"firstfix/internal/judge/rules/noiseontransmit"
	"firstfix/internal/judge/rules/nopause"
	"firstfix/internal/judge/rules/notready"
	"firstfix/internal/judge/rules/numericresult"
	"firstfix/internal/judge/rules/offunasked"
	"firstfix/internal/judge/rules/onlyecho"
	"firstfix/internal/judge/rules/openresets"
	"firstfix/internal/judge/rules/outsiderange"
	"firstfix/internal/judge/rules/overlap"
	"firstfix/internal/judge/rules/partialread"
	"firstfix/internal/judge/rules/promptunseen"
	"firstfix/internal/judge/rules/quietresults"
	"firstfix/internal/judge/rules/radiooff"
	"firstfix/internal/judge/rules/replycut"
	"firstfix/internal/judge/rules/restartfar"
	"firstfix/internal/judge/rules/restartload"
	"firstfix/internal/judge/rules/restartloop"
	"firstfix/internal/judge/rules/samefailure"
	"firstfix/internal/judge/rules/settingslost"
	"firstfix/internal/judge/rules/shortwait"
	"firstfix/internal/judge/rules/sleeploss"
	"firstfix/internal/judge/rules/slowing"
	"firstfix/internal/judge/rules/smsprompt"
	"firstfix/internal/judge/rules/softflow"
	"firstfix/internal/judge/rules/speednotstored"
	"firstfix/internal/judge/rules/straylf"
	"firstfix/internal/judge/rules/supplyvoltage"
	"firstfix/internal/judge/rules/swallowed"
	"firstfix/internal/judge/rules/unchecked"
	"firstfix/internal/judge/rules/unescapedquote"
	"firstfix/internal/judge/rules/voltagedrop"
	"firstfix/internal/judge/rules/watchdogshort"
	"firstfix/internal/judge/rules/wentsilent"
	"firstfix/internal/judge/rules/wordinside"
	"firstfix/internal/judge/rules/wrongspeed"
	"firstfix/internal/judge/rules/zaftersettings"
)

// The symptoms that causes speak of. The base figures are our estimates: how often the
// symptom shows in a dialogue with trouble of another kind.

func is(b bool) reading {
	if b {
		return yes
	}
	return no
}

// only says yes or stays silent: for things whose absence tells nothing.
func only(b bool) reading {
	if b {
		return yes
	}
	return silent
}

// given says what is asked when the facts know anything of it.
func given(known, b bool) reading {
	if !known {
		return silent
	}
	return is(b)
}

// enoughNoise: from fewer bytes no speed can be told, so that none fits says nothing (our estimate).
const enoughNoise = 64

// The line.
var (
	noBytes = symptom{says: "not one byte came back", not: "something came back", base: 0.02,
		reads: func(f *Facts) reading {
			return given(f.Counts.Exchanges >= 2 || f.Walk != nil && f.Counts.Exchanges > 0, f.Line.ModuleBytes == 0)
		}}.or(noanswer.Rule)
	onlyNoise = symptom{says: "what came back cannot be read at all", not: "what came back can be read", base: 0.02,
		reads: func(f *Facts) reading {
			l := f.Line.atGiven()
			return given(f.Line.ModuleBytes > 0, l.Garbled.Is() && !l.Readable.Is())
		}}.or(wrongspeed.Rule)
	someNoise = &symptom{says: "noise stands among what can be read", not: "no noise among what can be read", base: 0.05,
		reads: func(f *Facts) reading {
			return given(f.Line.Good() > 0, f.Line.Garbled.Times >= 3)
		}}
	fitsSpeed = &symptom{says: "the noise makes sense at another speed", not: "no usual speed makes sense of the noise", base: 0.05,
		reads: func(f *Facts) reading {
			if l := &f.Line; !l.Garbled.Is() || l.Baud == 0 || l.Readable.Is() {
				return silent // where something can be read, the speed is not the trouble
			}
			_, ok := f.speedGuess()
			return given(ok || len(f.Line.Noise) >= enoughNoise, ok)
		}}
	otherSpeed = &symptom{says: "at another speed the module answers", base: 0.002,
		reads: func(f *Facts) reading { _, ok := f.Line.FoundBaud(); return only(ok) }}
	echoOnly = symptom{says: "commands come back as an echo and have no result", base: 0.02,
		reads: func(f *Facts) reading {
			return only(f.Line.EchoOnly.Is() && f.Line.EchoOnly.Times*2 >= f.Counts.Unanswered)
		}}.or(onlyecho.Rule)
	wrongEnd = symptom{says: "command lines do not end in CR", not: "command lines end in CR", base: 0.02,
		reads: func(f *Facts) reading {
			l := &f.Line
			bad := l.EndLF.Times + l.EndNone.Times + l.TypedEnd.Times
			return given(f.Counts.Exchanges > 0, bad > 0 && bad >= l.EndCR.Times+l.EndCRLF.Times && l.Unanswered.Is())
		}}.or(lineend.Rule)
	halfHeard = symptom{says: "the module is heard, but does not hear: no echo, no answer", base: 0.02,
		reads: func(f *Facts) reading {
			l := &f.Line
			return only(f.Counts.Exchanges >= 3 && l.ModuleBytes > 0 && l.Garbled.Times == 0 && !l.Answered.Is() && !l.Echoed.Is())
		}}.or(deafmodule.Rule)
	fellSilent = symptom{says: "it answered at first and then no more", base: 0.03,
		reads: func(f *Facts) reading { return given(f.Line.Answered.Is(), f.Line.Streak >= hung) }}.or(wentsilent.Rule)
	overlapping = symptom{says: "commands were sent before the last one had its final result", base: 0.05,
		reads: func(f *Facts) reading { return given(f.Counts.Exchanges > 1, f.Line.Overlaps.Is()) }}.or(overlap.Rule)
	earlyText = symptom{says: "text was sent before the prompt", base: 0.02,
		reads: func(f *Facts) reading {
			return given(f.Texts.Sends > 0 || f.Line.EarlyText.Is(), f.Line.EarlyText.Is())
		}}.or(smsprompt.Rule)
	openText = symptom{says: "a text was not ended with Ctrl-Z", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Texts.Sends > 0 || f.Line.OpenText.Is(), f.Line.OpenText.Is()) }}.or(missingend.Rule, swallowed.Rule)
)

// The supply and the module.
var (
	restarting = symptom{says: "the module started anew by itself", not: "the module did not start anew by itself", base: 0.03,
		reads: func(f *Facts) reading {
			return given(f.Module.Restarted > 0 || f.Line.Answered.Times >= 3, f.Module.Restarted > 0)
		}}.or(restartload.Rule, restartloop.Rule)
	afterSend = &symptom{says: "it did so within 10 s of sending", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Module.Restarted > 0, f.Module.AfterSend > 0) }}
	whileSearching = &symptom{says: "it did so while it was looking for a network", base: 0.05,
		reads: func(f *Facts) reading { return given(f.Module.Restarted > 0, f.Module.Searching > 0) }}
	undervoltage = symptom{says: "the module itself says that its supply is too low", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Supply.Undervoltage.Is()) }}.or(supplyvoltage.Rule)
	lowReading = &symptom{says: "it read a voltage below what it needs", not: "the voltage it read is enough", base: 0.02,
		reads: func(f *Facts) reading {
			mv, measured := f.Supply.LowestMV.Get()
			least, ok := f.leastMV()
			return given(measured && ok, mv < least)
		}}
	setUpAgain = symptom{says: "the controller began its set-up again while the module stayed up", base: 0.02,
		reads: func(f *Facts) reading {
			return given(f.Line.second != "", f.Line.SetUps.Times > 0 && f.Module.Restarted == 0)
		}}.or(controllerrestart.Rule)
	radioOff = symptom{says: "the radio is switched off", not: "the radio is on", base: 0.02,
		reads: func(f *Facts) reading { n, ok := f.Module.Radio.Get(); return given(ok, n == 0 || n == 4) }}.or(radiooff.Rule)
)

// What rules alone see: of the line and the dialogue.
var (
	noiseOnSend    = found(0.01, "the line is disturbed only while the radio sends", noiseontransmit.Rule)
	flippedLetters = found(0.02, "single letters of the answers are wrong", bitflips.Rule)
	cutReplies     = found(0.01, "long replies end at the size of a buffer", replycut.Rule)
	stalling       = found(0.01, "a line stops in its middle and goes on seconds later", linestall.Rule)
	softFlow       = found(0.01, "XON/XOFF flow control is on while data passes", softflow.Rule)
	otherTalker    = found(0.005, "somebody else speaks on this line", consoleonport.Rule, answeredunasked.Rule)
	portGone       = found(0.01, "the port vanished", linelost.Rule)
	openRestarts   = found(0.01, "opening the port restarts the module", openresets.Rule)
	firstLost      = found(0.01, "the first command after a pause is always lost", sleeploss.Rule)
	speedForgotten = found(0.01, "the speed was set and not stored", speednotstored.Rule)
	asData         = found(0.01, "commands are sent as data", atindata.Rule)
	badEscape      = found(0.02, "+++ was sent without the silence around it", escapeguard.Rule)
	wordless       = found(0.01, "results come as digits or not at all", numericresult.Rule, quietresults.Rule)
	ownCommandsCut = found(0.01, "the controller's own commands are cut off", cutcommand.Rule)
	actsTooEarly   = found(0.02, "the controller acts before the line is complete", partialread.Rule, wordinside.Rule)
	gaveUpEarly    = found(0.015, "it gave up waiting before the answer came", shortwait.Rule)
	fixedPace      = found(0.02, "steps follow each other at a fixed pace, whatever the module says", fixedwait.Rule)
	noBreath       = found(0.02, "commands that follow a result at once are lost", nopause.Rule)
	bareErrors     = found(0.15, "a bare ERROR hides its reason", bareerror.Rule)
	neverTaken     = found(0.01, "this module never accepts a command that is sent again and again", neveraccepted.Rule, outsiderange.Rule)
	lostInChain    = found(0.02, "one of several commands on a line failed", chainfailed.Rule, longline.Rule)
	onAndOn        = found(0.04, "the same command fails again and again", samefailure.Rule)
	unheeded       = found(0.05, "it goes on after a failure as if it had worked", unchecked.Rule)
	forgotten      = found(0.03, "settings were lost in a restart and not made again", settingslost.Rule)
	echoAgain      = found(0.02, "echo is back though it was switched off", echoback.Rule)
	tooSoon        = found(0.03, "a command was sent before module or card was ready", notready.Rule)
	promptIgnored  = found(0.01, "the prompt came and no text followed", promptunseen.Rule)
	feedAfterCR    = found(0.02, "an LF follows the CR of commands that take text", straylf.Rule)
	slower         = found(0.02, "simple commands are answered more and more slowly", slowing.Rule)
	quoteInside    = found(0.005, "a quote inside a quoted value ends it too early", unescapedquote.Rule)
	resetLate      = found(0.01, "a reset of the settings stands behind the settings", zaftersettings.Rule)
	sameMoment     = found(0.01, "the controller restarts at the same moment of a long wait", watchdogshort.Rule)
)

// What facts see of supply and module besides.
var (
	lowCharge = &symptom{says: "the battery is at 15 per cent or less", not: "the battery is not empty", base: 0.03,
		reads: func(f *Facts) reading {
			n, ok := f.Supply.Percent.Get()
			if f.Supply.LowestMV.IsKnown() {
				return silent // the module makes the one figure of the other, and the voltage says more
			}
			return given(ok && n > 0, n <= 15)
		}}
	wentDownEarly = &symptom{says: "it switched itself off soon after the recording began", base: 0.01,
		reads: func(f *Facts) reading {
			down := &f.Module.PowerDown
			return only(down.Is() && f.Times() && down.First.At.Sub(max(f.began, 0)) <= 20*time.Second)
		}}
)

// What rules alone see: of supply and module.
var (
	sagging     = found(0.01, "the voltage that the module reads falls while its radio sends", voltagedrop.Rule)
	farAway     = found(0.02, "it restarts only where the signal is weak", restartfar.Rule)
	cellLoop    = found(0.01, "it starts, sends and falls, round after round", batteryloop.Rule, batterylife.Rule)
	offByItself = found(0.01, "the module switches off and nobody asked it to", offunasked.Rule)
	cutOff      = found(0.02, "the supply seems to be cut without switching the module off", hardpoweroff.Rule)
)
