package bringup

import (
	"firstfix/internal/judge/rules/apnunset"
	"firstfix/internal/judge/rules/attemptrate"
	"firstfix/internal/judge/rules/blanktext"
	"firstfix/internal/judge/rules/bothdeaf"
	"firstfix/internal/judge/rules/cardmissing"
	"firstfix/internal/judge/rules/carrierlost"
	"firstfix/internal/judge/rules/centrechanged"
	"firstfix/internal/judge/rules/clockoff"
	"firstfix/internal/judge/rules/clockunset"
	"firstfix/internal/judge/rules/cnmi"
	"firstfix/internal/judge/rules/contentlength"
	"firstfix/internal/judge/rules/contextlost"
	"firstfix/internal/judge/rules/datacall"
	"firstfix/internal/judge/rules/degreesminutes"
	"firstfix/internal/judge/rules/denied"
	"firstfix/internal/judge/rules/emergencyonly"
	"firstfix/internal/judge/rules/fewdigits"
	"firstfix/internal/judge/rules/fewtries"
	"firstfix/internal/judge/rules/flapping"
	"firstfix/internal/judge/rules/floatdigits"
	"firstfix/internal/judge/rules/gsmalphabet"
	"firstfix/internal/judge/rules/halfopen"
	"firstfix/internal/judge/rules/heardnotused"
	"firstfix/internal/judge/rules/hemisphere"
	"firstfix/internal/judge/rules/impossiblejump"
	"firstfix/internal/judge/rules/longtext"
	"firstfix/internal/judge/rules/lostforlong"
	"firstfix/internal/judge/rules/lostzeros"
	"firstfix/internal/judge/rules/manualoperator"
	"firstfix/internal/judge/rules/mergedsentences"
	"firstfix/internal/judge/rules/neverregisters"
	"firstfix/internal/judge/rules/noaddress"
	"firstfix/internal/judge/rules/noheard"
	"firstfix/internal/judge/rules/notextservice"
	"firstfix/internal/judge/rules/numberformat"
	"firstfix/internal/judge/rules/offtoosoon"
	"firstfix/internal/judge/rules/pinwanted"
	"firstfix/internal/judge/rules/reportrate"
	"firstfix/internal/judge/rules/resetimpatience"
	"firstfix/internal/judge/rules/searchabort"
	"firstfix/internal/judge/rules/sendunregistered"
	"firstfix/internal/judge/rules/sentenceload"
	"firstfix/internal/judge/rules/sentencesum"
	"firstfix/internal/judge/rules/servicecentre"
	"firstfix/internal/judge/rules/sessionrefused"
	"firstfix/internal/judge/rules/stalefix"
	"firstfix/internal/judge/rules/statusfield"
	"firstfix/internal/judge/rules/storefull"
	"firstfix/internal/judge/rules/swappedaxes"
	"firstfix/internal/judge/rules/textafterend"
	"firstfix/internal/judge/rules/textloop"
	"firstfix/internal/judge/rules/textsbarred"
	"firstfix/internal/judge/rules/ucs2hex"
	"firstfix/internal/judge/rules/unprinted"
	"firstfix/internal/judge/rules/uploadrefused"
	"firstfix/internal/judge/rules/voidfix"
	"firstfix/internal/judge/rules/weaksignal"
	"firstfix/internal/judge/rules/weekrollover"
	"firstfix/internal/judge/rules/wrongcontext"
	"firstfix/internal/judge/rules/wrongmode"
)

// The card.
var (
	cardMissing = symptom{says: "the module finds no card", not: "the module found its card", base: 0.02,
		reads: func(f *Facts) reading {
			c := &f.Card
			return given(c.Last != "" || c.Ready.Is() || c.Missing.Is(), c.Missing.Is() && (!c.Ready.Is() || c.Last == CardMissing))
		}}.or(cardmissing.Rule)
	cardSeen = &symptom{says: "the card was ready at times", base: 0.9,
		reads: func(f *Facts) reading {
			c := &f.Card
			return given(c.Ready.Is() || c.Missing.Is() || c.Failed.Is(), c.Ready.Is())
		}}
	cardLost = &symptom{says: "the card was ready and went away", not: "a card that was ready stayed ready", base: 0.01,
		reads: func(f *Facts) reading { return given(f.Card.Ready.Is(), f.Card.Lost > 0) }}
	cardFailing = &symptom{says: "the module cannot read the card", base: 0.01,
		reads: func(f *Facts) reading { return only(f.Card.Failed.Is()) }}
	wantsPIN = symptom{says: "the card wants its PIN", not: "no PIN is wanted", base: 0.01,
		reads: func(f *Facts) reading {
			c := &f.Card
			return given(c.Last != "", c.PIN.Is() && c.Last == CardPIN && c.Lost == 0)
		}}.or(pinwanted.Rule, fewtries.Rule)
	wantsPUK = &symptom{says: "the card wants its PUK", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Card.PUK.Is()) }}
	otherLock = &symptom{says: "another lock is asked for", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Card.Lock.Is()) }}
)

// The network.
var (
	deniedSeen = symptom{says: "the network refuses the registration", not: "no refusal was seen", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Network.Asked.Is(), f.Network.Denied.Is()) }}.or(denied.Rule)
	accountCause = &symptom{says: "the cause it gives speaks of the subscription or the device", not: "the cause it gives speaks of the place or the network", base: 0.4,
		reads: func(f *Facts) reading { y, known := f.Network.accountCause(); return given(known, y) }}
	neverIn = symptom{says: "it never registered", not: "it registered", base: 0.05,
		reads: func(f *Facts) reading {
			n := &f.Network
			return given(n.Registered.Is() || n.Asked.Times >= 3, !n.Registered.Is())
		}}.or(neverregisters.Rule)
	comesAndGoes = symptom{says: "registration comes and goes", not: "registration, once there, stayed", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Network.Registered.Is(), f.Network.Lost >= 1) }}.or(flapping.Rule)
	weakLevel = symptom{says: "the network is heard too faintly", not: "the network is heard well", base: 0.05,
		reads: func(f *Facts) reading { best, ok := f.Network.Best.Get(); return given(ok, best < usableLevel) }}.or(weaksignal.Rule)
	noLevel = &symptom{says: "no level was ever told", not: "a level was told", base: 0.05,
		reads: func(f *Facts) reading {
			n := &f.Network
			return given(n.Levels > 0 || n.NoLevels >= 3, n.Levels == 0)
		}}
	notSearching = &symptom{says: "it does not even search", base: 0.02,
		reads: func(f *Facts) reading {
			n := &f.Network
			return given(n.Asked.Times >= 3, n.Idle.Is() && !n.Searching.Is() && !n.Registered.Is() && !n.Denied.Is())
		}}
	noneFound = &symptom{says: "a search for operators found none", not: "a search found operators", base: 0.1,
		reads: func(f *Facts) reading { n, ok := f.Network.Found.Get(); return given(ok, n == 0) }}
)

// noNetwork says that the module was asked and never registered.
func (f *Facts) noNetwork() bool { return f.Network.Asked.Is() && !f.Network.Registered.Is() }

// Messages.
var (
	noCentre = symptom{says: "the service-centre number is empty", not: "a service-centre number is set", base: 0.01,
		reads: func(f *Facts) reading { c, ok := f.Texts.Centre.Get(); return given(ok, c == "") }}.or(servicecentre.Rule)
	centreError = &symptom{says: "texts were refused with error 330", base: 0.005,
		reads: func(f *Facts) reading { s := f.CMS(330); return only(s.Is()) }}
	storeIsFull = symptom{says: "the message store is full", not: "the message store has room", base: 0.01,
		reads: func(f *Facts) reading {
			s := f.CMS(322)
			return given(f.Texts.Total.IsKnown() || s.Is(), f.Texts.Full() || s.Is())
		}}.or(storefull.Rule)
	wrongCoding = symptom{says: "a coding is set in which plain letters cannot be read", not: "the coding fits plain letters", base: 0.01,
		reads: func(f *Facts) reading { plain, known := f.Texts.Plain(); return given(known, !plain) }}.or(blanktext.Rule)
	unreadable = &symptom{says: "a text left, or came back, unreadable", not: "texts arrive as written", base: 0.02,
		reads: func(f *Facts) reading {
			t := &f.Texts
			return given(t.Accepted.Is() || t.Unreadable.Is(), t.Unreadable.Is() || t.OwnChanged.Is())
		}}
	oddAlphabet = &symptom{says: "numbers and texts are expected in hex digits", not: "numbers and texts are written as they are", base: 0.03,
		reads: func(f *Facts) reading { return given(f.Texts.Alphabet != "", !plainAlphabet(f.Texts.Alphabet)) }}
	refused = &symptom{says: "texts were refused", not: "no text was refused", base: 0.1,
		reads: func(f *Facts) reading {
			t := &f.Texts
			if f.noNetwork() {
				return silent // what has no network is refused; that tells nothing more
			}
			return given(t.Accepted.Is() || t.Refused.Is() || t.NoPrompt.Is(), t.Refused.Is() || t.NoPrompt.Is())
		}}
	// 27.005 3.2.5 and 24.011 Annex E: barring, rejection, unknown or unsubscribed user.
	accountError = symptom{says: "the error speaks of the subscription", base: 0.01,
		reads: func(f *Facts) reading { s := f.CMS(8, 10, 21, 28, 29, 30, 50, 69); return only(s.Is()) }}.or(textsbarred.Rule)
	formError = &symptom{says: "the error speaks of the form of the command", base: 0.02,
		reads: func(f *Facts) reading { s := f.CMS(302, 304, 305); return only(s.Is()) }}
	noService = &symptom{says: "texts met no network service", base: 0.02,
		reads: func(f *Facts) reading { s := f.CMS(331, 332); return only(s.Is() && !f.noNetwork()) }}
	busyError = &symptom{says: "the error speaks of the network's own trouble", base: 0.02,
		reads: func(f *Facts) reading { s := f.CMS(38, 41, 42, 47); return only(s.Is()) }}
)

// longLook says that the sky was watched long enough to miss something in it.
func (f *Facts) longLook() bool {
	s := &f.Sky
	return s.Reports >= 5 && (!f.Times() || s.Last.Sub(s.First) >= shortLook)
}

// Sky, fix and report.
var (
	noSentences = &symptom{says: "the engine was switched on and said nothing", not: "the engine speaks", base: 0.02,
		reads: func(f *Facts) reading {
			return given(f.Sky.EngineOn.Is() || f.Line.Sentences.Is(), f.promisedNothing())
		}}
	engineRefused = &symptom{says: "the engine's command was refused", base: 0.02,
		reads: func(f *Facts) reading { return only(f.Sky.EngineNo.Is() && !f.Sky.EngineOn.Is()) }}
	nothingHeard = symptom{says: "not one satellite is heard", not: "satellites are heard", base: 0.03,
		reads: func(f *Facts) reading {
			return given(f.longLook(), f.Sky.Tracked.Or(0) == 0 && !f.Fix.Valid.Is())
		}}.or(noheard.Rule)
	heardFaintly = &symptom{says: "satellites are heard, too few or too faintly", base: 0.05,
		reads: func(f *Facts) reading {
			s := &f.Sky
			return given(f.longLook(), s.Tracked.Or(0) > 0 && (s.Tracked.Or(0) < 4 || s.Top4.Or(0) < faintLevel) && !f.Fix.Valid.Is())
		}}
	goodSky = &symptom{says: "the sky is heard well", not: "the sky is not heard well", base: 0.7,
		reads: func(f *Facts) reading {
			return given(f.longLook() || f.Fix.Valid.Is(), f.Fix.Valid.Is() || f.Sky.Top4.Or(0) >= goodLevel)
		}}
	antennaSays = &symptom{says: "the receiver says that its antenna is open or short", base: 0.005,
		reads: func(f *Facts) reading { return given(f.Sky.Antenna != "", f.Sky.Antenna != "OK") }}
	voidGiven = symptom{says: "a position was given away while there was no fix", base: 0.01,
		reads: func(f *Facts) reading { return only(f.Report.Void.Is()) }}.or(voidfix.Rule)
	staleGiven = symptom{says: "a position was given away long after it was measured", base: 0.01,
		reads: func(f *Facts) reading { return only(f.Report.Stale.Is()) }}.or(stalefix.Rule)
	badSums = symptom{says: "sentences have wrong checksums", base: 0.03,
		reads: func(f *Facts) reading { return only(f.Line.BadSums.Times >= 3) }}.or(sentencesum.Rule, mergedsentences.Rule)
	byDegrees = symptom{says: "the position given away is the sentence's degrees and minutes, misread", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[degreesMistake].Is()) }}.or(degreesminutes.Rule)
	byHemisphere = symptom{says: "the position given away is the right one with the wrong sign", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[hemisphereMistake].Is()) }}.or(hemisphere.Rule)
	bySwap = symptom{says: "latitude and longitude of the position given away are swapped", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[swapMistake].Is()) }}.or(swappedaxes.Rule)
	byDigits = symptom{says: "the position given away has lost digits", base: 0.02,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[digitsMistake].Is()) }}.or(floatdigits.Rule, fewdigits.Rule)
)

// What facts see besides.
var (
	wrongPIN = &symptom{says: "a wrong PIN was tried", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Card.Wrong.Is()) }}
	onlyData = symptom{says: "data service is there, and none for calls and texts", not: "calls and texts have service", base: 0.01,
		reads: func(f *Facts) reading {
			n := &f.Network
			return given(n.Circuit.Is() || n.Packet.Is() && n.NoCircuit.Times >= 2, !n.Circuit.Is())
		}}.or(notextservice.Rule)
	marginal = &symptom{says: "satellites are heard, but faintly for an open sky", not: "satellites are heard at a good level, or not at all", base: 0.05,
		reads: func(f *Facts) reading {
			top, ok := f.Sky.Top4.Get()
			return given(f.longLook(), ok && top >= faintLevel && top < goodLevel)
		}}
	fixOnlyRadioOff = &symptom{says: "a fix came only while the cellular radio was off", not: "a fix came with the radio on as well", base: 0.01,
		reads: func(f *Facts) reading {
			x := &f.Fix
			return given(x.RadioOff.Is() || x.RadioOn.Is(), !x.RadioOn.Is() && x.VoidRadioOn >= 5)
		}}
	slowFixes = &symptom{says: "fix after fix took as long as a cold start", not: "fixes after a pause came quickly", base: 0.1,
		reads: func(f *Facts) reading { return given(f.Fix.Starts >= 3, f.Fix.Slow*3 >= f.Fix.Starts*2) }}
	nothingToRead = &symptom{says: "the engine knows no position and not even the time", base: 0.05,
		reads: func(f *Facts) reading {
			return only(!f.Line.Sentences.Is() && f.Fix.Void.Times >= 2 && !f.Sky.TimeKnown)
		}}
	namelessRings = &symptom{says: "calls came without their number", not: "calls came with their number", base: 0.01,
		reads: func(f *Facts) reading { return given(f.Calls.Rings.Times >= 2, !f.Calls.Shown.Is()) }}
)

// What rules alone see.
var (
	bothDeaf      = found(0.01, "neither network nor satellites are heard", bothdeaf.Rule)
	manualChoice  = found(0.01, "it is bound to one operator and does not find it", manualoperator.Rule)
	emergencyStat = found(0.005, "the network takes emergency calls only", emergencyonly.Rule)
	longLost      = found(0.01, "the network is lost and nothing is done about it", lostforlong.Rule)
	tooManyTries  = found(0.02, "the network is asked again and again after it refused", attemptrate.Rule)
	nameless      = found(0.02, "no access point name was set", apnunset.Rule)
	contextGone   = found(0.01, "the data session has ended, or has no address", contextlost.Rule, noaddress.Rule)
	deadLink      = found(0.01, "after a long pause the connection is dead and nobody notices", halfopen.Rule)
	clockWrong    = found(0.03, "the module's clock was never set, or is wrong", clockunset.Rule, clockoff.Rule)
	cutTooSoon    = found(0.01, "the radio is switched off before the data has left", offtoosoon.Rule)
	serverSaysNo  = found(0.01, "the server did not take the upload", uploadrefused.Rule, contentlength.Rule)
	otherContext  = found(0.01, "another session number is opened than was defined", wrongcontext.Rule)
	centreForeign = found(0.01, "the service-centre number was overwritten", centrechanged.Rule)
	dialsData     = found(0.01, "a number is dialled without the semicolon of a voice call", datacall.Rule)
	sentUnserved  = found(0.03, "something was sent though the module had said that it has no network", sendunregistered.Rule)
	impatient     = found(0.02, "its search for a network was cut short", searchabort.Rule, resetimpatience.Rule)
	waitsForOther = found(0.01, "it waits for a registration that it already has", statusfield.Rule)
	noSession     = found(0.01, "the network refuses the data session", sessionrefused.Rule, carrierlost.Rule)
	hexArrives    = found(0.01, "received texts come as hex digits", ucs2hex.Rule)
	oddLetters    = found(0.02, "texts hold characters that do not survive the 7-bit alphabet", gsmalphabet.Rule)
	tooLong       = found(0.02, "a text is too long for one message", longtext.Rule)
	otherMode     = found(0.01, "a message command is written for the other mode", wrongmode.Rule)
	unreported    = found(0.02, "arriving messages are not reported", cnmi.Rule)
	looping       = found(0.005, "texts answer each other", textloop.Rule)
	costly        = found(0.02, "texts go at a rate that costs real money", reportrate.Rule)
	nationalForm  = found(0.03, "telephone numbers are not in international form", numberformat.Rule)
	endInText     = found(0.003, "the text was cut at a Ctrl-Z inside it", textafterend.Rule)
	heardUnused   = found(0.03, "satellites are heard but give no fix", heardnotused.Rule).unless(heardFaintly)
	crowdedLine   = found(0.01, "the sentences nearly fill the line", sentenceload.Rule)
	oldWeeks      = found(0.003, "the receiver's date is off by 1024 weeks", weekrollover.Rule)
	leaps         = found(0.02, "the position jumped farther than it can have gone", impossiblejump.Rule)
	misprinted    = found(0.005, "the number of a coordinate was not printed, or lost its zeros", unprinted.Rule, lostzeros.Rule)
)
