package bringup

// What a person can measure at supply, module and line, and see in the dialogue.

// Supply and module.
var (
	// Fast while searching, slow once registered: common practice, no source.
	lamp = measure("lamp", 1,
		"Look at the module's network lamp for ten seconds.",
		"Dark: no supply or switched off. Fast, about once a second: on, and searching. Slow, every two to three seconds: registered. Modules differ; the manual has the last word.",
		share(0.15).is("off", "the network lamp is dark"),
		share(0.37).is("fast", "the network lamp blinks fast: it searches"),
		share(0.38).is("slow", "the network lamp blinks slowly: it is registered"),
		share(0.10).is("steady", "the network lamp is lit and does not blink")).
		unless(func(f *Facts) bool { return f.Network.Asked.Is() }) // the dialogue says the same, and better

	statusPin = measure("status-pin", 3,
		"Measure the module's status pin, or its supply current, before and after the power key is pressed.",
		"No current and a low status pin: the module is off. Some milliamperes: it is on, and the fault is in the line.",
		share(0.05).is("off", "the status pin is low and no current flows: the module is off"),
		share(0.95).is("on", "the status pin is high, or current flows: the module is on")).
		with("multimeter", "")
	idleVolts = measure("idle-volts", 3,
		"Measure the direct voltage at the module's supply pins, idle and while it searches for a network.",
		"Below the range of its sheet, for most 3.4 V, the module warns, refuses or restarts; within it the steady supply is fine.",
		share(0.05).is("low", "the steady voltage at the pins is too low"),
		share(0.95).is("fine", "the steady voltage at the pins is in range")).
		with("multimeter", "Do not slip between the pins: a short across a lithium cell burns.").
		reads("V", below(3.4)) // the lower end for most lithium-fed modules: common practice, no source
	scopeAtPins = measure("supply-scope", 15,
		"Put an oscilloscope on the module's supply pins: single shot, falling edge at 0.3 V below nominal, 1 ms per division, and send a text.",
		"A dip below the module's minimum in the moment of sending proves the supply; a flat line clears it. A multimeter cannot see it.",
		share(0.05).is("dip", "the supply dips when the radio sends"),
		share(0.95).is("flat", "the supply stays flat when the radio sends")).
		with("oscilloscope, short ground spring", "Clip the probe's ground to the module's ground only; a short across a lithium cell burns.")
	radioOffTest = measure("radio-off-restarts", 25,
		"Leave the module ten minutes with AT+CFUN=4, then ten with AT+CFUN=1, and count its start-up lines in both.",
		"Restarts only with the radio on point to the supply; restarts in both to the reset line, the power key or heat.",
		share(0.05).is("only-with-radio", "it restarts only with the radio on"),
		share(0.95).is("both-or-none", "it restarts with the radio off as well, or not at all")).
		with("none", radioCaution)
	otherSource = measure("other-source", 10,
		"Feed the module from a bench supply that delivers 2 A, with leads under 20 cm, and repeat.",
		"If the trouble is gone, source or leads were too weak; if it stays, look elsewhere.",
		share(0.10).is("gone", "with a strong source the trouble is gone"),
		share(0.90).is("same", "with a strong source it is the same")).
		with("bench supply, short thick leads", "Set the voltage before you connect, and keep to the module's range.")
	resetCause = measure("reset-cause", 10,
		"Print the controller's reset cause at its start, and feed the controller from a source of its own with common ground.",
		"A brown-out as cause, or restarts that stop with the second source, show the shared rail; a watchdog as cause shows a wait that is longer than it allows.",
		share(0.08).is("brown-out", "the controller's reset cause is a brown-out"),
		share(0.12).is("watchdog", "the controller's reset cause is its watchdog"),
		share(0.80).is("other", "the controller names another reset cause, or did not restart")).
		with("firmware with one more line, second supply", "")
	heat = measure("heat", 5,
		"Let it run for some minutes and feel regulator and module: can a finger stay on them?",
		"Trouble that comes minutes after each start and goes when it has cooled is heat: the regulator drops too many volts.",
		share(0.05).is("hot", "regulator or module get too hot to touch"),
		share(0.95).is("warm", "nothing gets more than warm")).
		with("a finger, carefully", "Touch low-voltage parts only, and let go at once: a faulty part can burn.")
	moduleOnlyOff = measure("module-power-cycle", 3,
		"Take the supply from the module alone for ten seconds, with its data wires pulled, and try again.",
		"If it answers then, the module itself had hung; if not, look at wiring and controller.",
		share(0.08).is("answers", "after ten seconds without supply it answers"),
		share(0.92).is("silent", "it stays silent after ten seconds without supply"))
	wiresOff = measure("wires-off", 3,
		"Switch off, pull all wires to the controller, wait ten seconds, switch on, and only then join the wires. Measure the supply pins while it is off.",
		"More than 0.3 V at the pins of a module that is off, or a start that works only so: the controller's pins feed it.",
		share(0.04).is("helps", "it starts when the wires to the controller are off"),
		share(0.96).is("same", "pulling the wires changes nothing")).
		with("multimeter", "")
	orderlyOff = measure("orderly-off", 10,
		"Switch it off ten times with the module's own command or AT+CFUN=0, wait for its word, then cut the supply; compare the next starts with ten hard cuts.",
		"If settings, texts and quick registration survive only the orderly way, the hard cuts are the trouble.",
		share(0.05).is("helps", "after an orderly switch-off nothing is lost"),
		share(0.95).is("same", "an orderly switch-off changes nothing"))
)

// Line.
var (
	otherSpeeds = measure("other-speeds", 3,
		"Send AT at each usual speed, 115200 and 9600 first, three times each.",
		"OK at one of them settles it; nothing at any of them clears the speed.",
		share(0.03).is("answers", "at another speed the module answers"),
		share(0.97).is("silent", "it answers at no usual speed")).
		unless(func(f *Facts) bool { return f.Walk != nil && len(f.Line.others) > 3 || f.Line.Readable.Is() })
	openAtFound = measure("found-speed", 2,
		"Run the check again with --baud and the speed at which the module answered.",
		"A clean chain at that speed: nothing else was wrong.",
		share(0.5).is("clean", "at the speed found everything holds"),
		share(0.5).is("more", "at the speed found something else shows")).
		unless(func(f *Facts) bool { _, found := f.Line.FoundBaud(); return !found })
	loopBack = measure("loop", 2,
		"Pull the module's two data wires off, join the adapter's or controller's sender to its own receiver, and type.",
		"What you type comes back: your side works, whatever the module does. Nothing comes back: wrong port, driver, pins, or a dead receiver.",
		share(0.95).is("comes-back", "with sender and receiver joined, what is typed comes back"),
		share(0.05).is("nothing", "with sender and receiver joined, nothing comes back")).
		with("one wire", "")
	idleHigh = measure("idle-levels", 5,
		"With both sides on and silent, measure the voltage of each data wire against ground, at both ends.",
		"A wire that idles high is driven by a sender; two highs joined are two senders, a low one nobody's. The level must suit the receiver's logic.",
		share(0.05).is("two-senders", "two senders are joined, or a wire is open"),
		share(0.05).is("wrong-level", "a level does not suit the other side's logic"),
		share(0.90).is("fine", "both wires idle high at a fitting level")).
		with("multimeter", "")
	groundToGround = measure("ground", 3,
		"Measure the voltage between the grounds of controller and module, direct and alternating, while the module is active.",
		"More than 50 mV: the grounds are not well joined. Add a short thick wire and repeat.",
		share(0.05).is("apart", "the two grounds are more than 50 mV apart"),
		share(0.95).is("joined", "the two grounds are within 50 mV")).
		with("multimeter", "").
		reads("mV", above(50))
	shortestBit = measure("shortest-bit", 8,
		"Look at the module's data wire with an oscilloscope or logic analyser and measure the shortest pulse.",
		"104 µs is 9600 baud, 8.7 µs is 115200: the speed is one over it. Ragged heights mean levels or ground.",
		share(0.05).is("other-speed", "the shortest pulse belongs to another speed"),
		share(0.05).is("ragged", "the pulses are ragged or of odd heights"),
		share(0.90).is("fits", "the pulses are clean and fit the speed")).
		with("oscilloscope or logic analyser", "")
	hexOfCommand = measure("hex-of-command", 2,
		"Look at the bytes that really leave the controller, in hex.",
		"A command must end in one 0D, a text in one 1A. 0A alone, a typed \\r or nothing are not an end; bytes that are missing were lost on our side.",
		share(0.04).is("wrong-end", "commands do not end in one 0D, or a text in one 1A"),
		share(0.96).is("right-end", "commands end in 0D and texts in 1A"))
	escapeFirst = measure("escape", 1,
		"Send the byte 1B, then CR, then AT; if that is silent, a second of silence, +++, a second of silence, then AT.",
		"If AT is answered now, the module stood in text entry or data state.",
		share(0.03).is("answers", "after an escape it answers"),
		share(0.97).is("silent", "an escape changes nothing")).
		unless(func(f *Facts) bool { return f.Walk != nil && f.Walk.Asked[Line] })
	otherPort = measure("other-talkers", 5,
		"Hold the controller in reset and record the line; list which programs have the port open.",
		"Bytes with the controller held: somebody else speaks on this line.",
		share(0.04).is("somebody", "somebody else speaks on the line or holds the port"),
		share(0.96).is("nobody", "nobody else uses the line"))
	slowerLine = measure("slower-line", 5,
		"Set both ends to 9600 baud and repeat, if you can on a hardware port.",
		"Errors that vanish: the controller's port cannot keep up, as with one made in software. Errors that stay: ground, levels or noise.",
		share(0.10).is("better", "at 9600 baud the errors are gone"),
		share(0.90).is("same", "at 9600 baud it is the same"))
	longReply = measure("long-reply", 3,
		"Ask for something long (AT+CMGL=\"ALL\" or AT+CLAC) on a PC with the same speed and count the bytes.",
		"Whole on the PC and cut in the controller: its buffer. Cut on the PC as well: flow control or the module.",
		share(0.08).is("whole", "a PC gets the long reply whole"),
		share(0.92).is("cut", "a PC gets it cut as well, or it never was cut")).
		with("a PC with an adapter", "")
	flowOff = measure("flow-control", 3,
		"Send AT+IFC=0,0, tie RTS and DTR low, set flow control to none at your side, and repeat.",
		"Replies that run through now were held back by a handshake line that nobody drives.",
		share(0.05).is("runs", "without flow control replies run through"),
		share(0.95).is("same", "without flow control it is the same"))
	afterPause = measure("after-pause", 3,
		"Wait a minute, send AT twice, 200 ms apart; then switch the module's sleep off and repeat.",
		"Only the second answered, and both with sleep off: the first command only wakes it.",
		share(0.05).is("second-only", "after a pause only the second AT is answered"),
		share(0.95).is("both", "after a pause both are answered, or none"))
	replugCount = measure("port-events", 5,
		"Look into the system's log of the port while the module restarts or the cable moves; try another cable and a powered hub.",
		"A port that vanishes and comes back under another name: open it by its identity, and open it anew.",
		share(0.05).is("vanishes", "the port vanishes and comes back"),
		share(0.95).is("stays", "the port stays"))
)

// The dialogue.
var (
	byHand = measure("by-hand", 5,
		"Type the same commands by hand, each only after the last one's OK, and the text only after \"> \".",
		"If that works, the controller's timing or its reading is the fault; if it fails the same way, it is not.",
		share(0.10).is("works", "typed by hand it works"),
		share(0.90).is("fails", "typed by hand it fails the same way"))
	waitLonger = measure("wait-longer", 4,
		"Send the same command once and wait its whole limit (three minutes for AT+COPS=?, one for a text) without a byte from your side.",
		"An answer within the limit: only the patience was too short.",
		share(0.10).is("answers", "with enough patience the answer comes"),
		share(0.90).is("silent", "within the whole limit no answer comes"))
	errorCodes = measure("error-codes", 1,
		"Send AT+CMEE=1, or 2, and repeat the command that failed.",
		"A number or words instead of ERROR name the reason.",
		share(0.5).is("named", "with error codes on, the reason is named"),
		share(0.5).is("bare", "it still says no more than ERROR")).
		unless(func(f *Facts) bool { return f.numbered() })
	testForm = measure("test-form", 2,
		"Send the command's test form (AT+XXX=?), half a minute after the module is ready.",
		"ERROR: this module does not have it. A list: compare your values with it.",
		share(0.10).is("unknown", "its test form is an error, or its values are outside the list"),
		share(0.90).is("listed", "the module lists it, with the values that were used"))
)

// numbered says that errors came with numbers or words.
func (f *Facts) numbered() bool {
	for i := range f.Errors {
		if f.Errors[i].Code >= 0 {
			return true
		}
	}
	return false
}
