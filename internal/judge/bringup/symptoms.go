package bringup

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
	noBytes = &symptom{says: "not one byte came back", not: "something came back", base: 0.02,
		reads: func(f *Facts) reading {
			return given(f.Counts.Exchanges >= 2 || f.Walk != nil && f.Counts.Exchanges > 0, f.Line.ModuleBytes == 0)
		}}
	onlyNoise = &symptom{says: "what came back cannot be read at all", not: "what came back can be read", base: 0.02,
		reads: func(f *Facts) reading {
			l := f.Line.atGiven()
			return given(f.Line.ModuleBytes > 0, l.Garbled.Is() && !l.Readable.Is())
		}}
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
	echoOnly = &symptom{says: "commands come back as an echo and have no result", base: 0.02,
		reads: func(f *Facts) reading {
			return only(f.Line.EchoOnly.Is() && f.Line.EchoOnly.Times*2 >= f.Counts.Unanswered)
		}}
	wrongEnd = &symptom{says: "command lines do not end in CR", not: "command lines end in CR", base: 0.02,
		reads: func(f *Facts) reading {
			l := &f.Line
			bad := l.EndLF.Times + l.EndNone.Times + l.TypedEnd.Times
			return given(f.Counts.Exchanges > 0, bad > 0 && bad >= l.EndCR.Times+l.EndCRLF.Times && l.Unanswered.Is())
		}}
	halfHeard = &symptom{says: "the module is heard, but does not hear: no echo, no answer", base: 0.02,
		reads: func(f *Facts) reading {
			l := &f.Line
			return only(f.Counts.Exchanges >= 3 && l.ModuleBytes > 0 && l.Garbled.Times == 0 && !l.Answered.Is() && !l.Echoed.Is())
		}}
	fellSilent = &symptom{says: "it answered at first and then no more", base: 0.03,
		reads: func(f *Facts) reading { return given(f.Line.Answered.Is(), f.Line.Streak >= hung) }}
	overlapping = &symptom{says: "commands were sent before the last one had its final result", base: 0.05,
		reads: func(f *Facts) reading { return given(f.Counts.Exchanges > 1, f.Line.Overlaps.Is()) }}
	earlyText = &symptom{says: "text was sent before the prompt", base: 0.02,
		reads: func(f *Facts) reading {
			return given(f.Texts.Sends > 0 || f.Line.EarlyText.Is(), f.Line.EarlyText.Is())
		}}
	openText = &symptom{says: "a text was not ended with Ctrl-Z", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Texts.Sends > 0 || f.Line.OpenText.Is(), f.Line.OpenText.Is()) }}
)

// The supply and the module.
var (
	restarting = &symptom{says: "the module started anew by itself", not: "the module did not start anew by itself", base: 0.03,
		reads: func(f *Facts) reading { return given(f.Line.Answered.Times >= 3, f.Module.Restarted > 0) }}
	afterSend = &symptom{says: "it did so within 10 s of sending", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Module.Restarted > 0, f.Module.AfterSend > 0) }}
	whileSearching = &symptom{says: "it did so while it was looking for a network", base: 0.05,
		reads: func(f *Facts) reading { return given(f.Module.Restarted > 0, f.Module.Searching > 0) }}
	undervoltage = &symptom{says: "the module itself says that its supply is too low", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Supply.Undervoltage.Is()) }}
	lowReading = &symptom{says: "it read a voltage below what it needs", not: "the voltage it read is enough", base: 0.02,
		reads: func(f *Facts) reading {
			mv, measured := f.Supply.LowestMV.Get()
			least, ok := f.leastMV()
			return given(measured && ok, mv < least)
		}}
	setUpAgain = &symptom{says: "the controller began its set-up again while the module stayed up", base: 0.02,
		reads: func(f *Facts) reading { return only(f.Line.SetUps.Times > 0 && f.Module.Restarted == 0) }}
	radioOff = &symptom{says: "the radio is switched off", not: "the radio is on", base: 0.02,
		reads: func(f *Facts) reading { n, ok := f.Module.Radio.Get(); return given(ok, n == 0 || n == 4) }}
)

// The card.
var (
	cardMissing = &symptom{says: "the module finds no card", not: "the module found its card", base: 0.02,
		reads: func(f *Facts) reading {
			c := &f.Card
			return given(c.Last != "" || c.Ready.Is() || c.Missing.Is(), c.Missing.Is() && (!c.Ready.Is() || c.Last == CardMissing))
		}}
	cardSeen = &symptom{says: "the card was ready at times", base: 0.9,
		reads: func(f *Facts) reading {
			c := &f.Card
			return given(c.Ready.Is() || c.Missing.Is() || c.Failed.Is(), c.Ready.Is())
		}}
	cardLost = &symptom{says: "the card was ready and went away", not: "a card that was ready stayed ready", base: 0.01,
		reads: func(f *Facts) reading { return given(f.Card.Ready.Is(), f.Card.Lost > 0) }}
	cardFailing = &symptom{says: "the module cannot read the card", base: 0.01,
		reads: func(f *Facts) reading { return only(f.Card.Failed.Is()) }}
	wantsPIN = &symptom{says: "the card wants its PIN", not: "no PIN is wanted", base: 0.01,
		reads: func(f *Facts) reading {
			c := &f.Card
			return given(c.Last != "", c.PIN.Is() && c.Last == CardPIN && c.Lost == 0)
		}}
	wantsPUK = &symptom{says: "the card wants its PUK", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Card.PUK.Is()) }}
	otherLock = &symptom{says: "another lock is asked for", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Card.Lock.Is()) }}
)

// The network.
var (
	deniedSeen = &symptom{says: "the network refuses the registration", not: "no refusal was seen", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Network.Asked.Is(), f.Network.Denied.Is()) }}
	accountCause = &symptom{says: "the cause it gives speaks of the subscription or the device", not: "the cause it gives speaks of the place or the network", base: 0.4,
		reads: func(f *Facts) reading { y, known := f.Network.accountCause(); return given(known, y) }}
	neverIn = &symptom{says: "it never registered", not: "it registered", base: 0.05,
		reads: func(f *Facts) reading {
			n := &f.Network
			return given(n.Registered.Is() || n.Asked.Times >= 3, !n.Registered.Is())
		}}
	comesAndGoes = &symptom{says: "registration comes and goes", not: "registration, once there, stayed", base: 0.02,
		reads: func(f *Facts) reading { return given(f.Network.Registered.Is(), f.Network.Lost >= 1) }}
	weakLevel = &symptom{says: "the network is heard too faintly", not: "the network is heard well", base: 0.08,
		reads: func(f *Facts) reading { best, ok := f.Network.Best.Get(); return given(ok, best < usableLevel) }}
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
	noCentre = &symptom{says: "the service-centre number is empty", not: "a service-centre number is set", base: 0.01,
		reads: func(f *Facts) reading { c, ok := f.Texts.Centre.Get(); return given(ok, c == "") }}
	centreError = &symptom{says: "texts were refused with error 330", base: 0.005,
		reads: func(f *Facts) reading { s := f.CMS(330); return only(s.Is()) }}
	storeIsFull = &symptom{says: "the message store is full", not: "the message store has room", base: 0.01,
		reads: func(f *Facts) reading {
			s := f.CMS(322)
			return given(f.Texts.Total.IsKnown() || s.Is(), f.Texts.Full() || s.Is())
		}}
	wrongCoding = &symptom{says: "a coding is set in which plain letters cannot be read", not: "the coding fits plain letters", base: 0.01,
		reads: func(f *Facts) reading { plain, known := f.Texts.Plain(); return given(known, !plain) }}
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
	accountError = &symptom{says: "the error speaks of the subscription", base: 0.01,
		reads: func(f *Facts) reading { s := f.CMS(8, 10, 21, 28, 29, 30, 50, 69); return only(s.Is()) }}
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
	nothingHeard = &symptom{says: "not one satellite is heard", not: "satellites are heard", base: 0.03,
		reads: func(f *Facts) reading {
			return given(f.longLook(), f.Sky.Tracked.Or(0) == 0 && !f.Fix.Valid.Is())
		}}
	heardFaintly = &symptom{says: "satellites are heard, too few or too faintly", base: 0.05,
		reads: func(f *Facts) reading {
			s := &f.Sky
			return given(f.longLook(), s.Tracked.Or(0) > 0 && (s.Tracked.Or(0) < 4 || s.Top4.Or(0) < faintLevel) && !f.Fix.Valid.Is())
		}}
	// The two together are one symptom: each alone has commoner causes.
	bothFaint = &symptom{says: "network and satellites are faint at the same time", not: "only one of the two radios is faint", base: 0.012,
		reads: func(f *Facts) reading {
			n, s := &f.Network, &f.Sky
			network := n.Levels > 0 || n.NoLevels >= 3
			return given(network && f.longLook(), n.Best.Or(0) < usableLevel && !f.Fix.Valid.Is() && (s.Tracked.Or(0) < 4 || s.Top4.Or(0) < faintLevel))
		}}
	goodSky = &symptom{says: "the sky is heard well", not: "the sky is not heard well", base: 0.7,
		reads: func(f *Facts) reading {
			return given(f.longLook() || f.Fix.Valid.Is(), f.Fix.Valid.Is() || f.Sky.Top4.Or(0) >= goodLevel)
		}}
	antennaSays = &symptom{says: "the receiver says that its antenna is open or short", base: 0.005,
		reads: func(f *Facts) reading { return given(f.Sky.Antenna != "", f.Sky.Antenna != "OK") }}
	voidGiven = &symptom{says: "a position was given away while there was no fix", base: 0.01,
		reads: func(f *Facts) reading { return only(f.Report.Void.Is()) }}
	staleGiven = &symptom{says: "a position was given away long after it was measured", base: 0.01,
		reads: func(f *Facts) reading { return only(f.Report.Stale.Is()) }}
	badSums = &symptom{says: "sentences have wrong checksums", base: 0.03,
		reads: func(f *Facts) reading { return only(f.Line.BadSums.Times >= 3) }}
	byDegrees = &symptom{says: "the position given away is the sentence's degrees and minutes, misread", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[degreesMistake].Is()) }}
	byHemisphere = &symptom{says: "the position given away is the right one with the wrong sign", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[hemisphereMistake].Is()) }}
	bySwap = &symptom{says: "latitude and longitude of the position given away are swapped", base: 0.005,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[swapMistake].Is()) }}
	byDigits = &symptom{says: "the position given away has lost digits", base: 0.02,
		reads: func(f *Facts) reading { return only(f.Report.Mistakes[digitsMistake].Is()) }}
)
