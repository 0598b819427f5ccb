package bringup

import "firstfix/internal/judge/verdict"

// The measurements. Minutes and base figures are our estimates; what they tell is the
// trade's common practice.

const radioCaution = "Have an antenna on the cellular socket before the radio sends, and use only networks and bands you may use."

func measure(base float64, minutes int, do, tells, tools, caution string) *measurement {
	return &measurement{base: base, Measurement: verdict.Measurement{Do: do, Tells: tells, Minutes: minutes, Tools: tools, Caution: caution}}
}

// Supply and line.
var (
	scopeAtPins = measure(0.05, 15,
		"Put an oscilloscope on the module's supply pins: single shot, falling edge at 0.3 V below nominal, 1 ms per division, and send a text.",
		"A dip below the module's minimum in the moment of sending proves the supply; a flat line clears it. A multimeter cannot see it.",
		"oscilloscope, short ground spring", "Clip the probe's ground to the module's ground only; a short across a lithium cell burns.")
	radioOffTest = measure(0.05, 25,
		"Leave the module ten minutes with AT+CFUN=4, then ten with AT+CFUN=1, and count its start-up lines in both.",
		"Restarts only with the radio on point to the supply; restarts in both to the reset line, the power key or heat.",
		"none", radioCaution)
	otherSource = measure(0.1, 10,
		"Feed the module from a bench supply that delivers 2 A, with leads under 20 cm, and repeat.",
		"If the trouble is gone, source or leads were too weak; if it stays, look elsewhere.",
		"bench supply, short thick leads", "Set the voltage before you connect, and keep to the module's range.")
	idleVolts = measure(0.05, 3,
		"Measure the direct voltage at the module's supply pins, idle and while it searches for a network.",
		"Below the range of its sheet the module warns, refuses or restarts; within it the steady supply is fine.",
		"multimeter", "Do not slip between the pins: a short across a lithium cell burns.")
	resetCause = measure(0.1, 10,
		"Print the controller's reset cause at its start, and feed the controller from a source of its own with common ground.",
		"A brown-out as cause, or restarts that stop with the second source, show the shared rail.",
		"firmware with one more line, second supply", "")
	statusPin = measure(0.05, 3,
		"Measure the module's status pin, or its supply current, before and after the power key is pressed.",
		"No current and a low status pin: the module is off. Some milliamperes: it is on, and the fault is in the line.",
		"multimeter", "")
	idleHigh = measure(0.05, 5,
		"With both sides on and silent, measure the voltage of each data wire against ground, at both ends.",
		"A wire that idles high is driven by a sender; two highs joined are two senders. The level must suit the receiver's logic.",
		"multimeter", "")
	groundToGround = measure(0.05, 3,
		"Measure the voltage between the grounds of controller and module, direct and alternating, while the module is active.",
		"More than 50 mV: the grounds are not well joined. Add a short thick wire and repeat.",
		"multimeter", "")
	shortestBit = measure(0.05, 8,
		"Look at the module's data wire with an oscilloscope or logic analyser and measure the shortest pulse.",
		"104 µs is 9600 baud, 8.7 µs is 115200: the speed is one over it. Ragged heights mean levels or ground.",
		"oscilloscope or logic analyser", "")
	otherSpeeds = measure(0.03, 3,
		"Send AT at each usual speed, 115200 and 9600 first, three times each.",
		"OK at one of them settles it; nothing at any of them clears the speed.",
		"none", "")
	hexOfCommand = measure(0.03, 2,
		"Look at the bytes that really leave the controller, in hex.",
		"A command must end in one 0D. 0A alone, a typed \\r or nothing are not an end.",
		"none", "")
	escapeFirst = measure(0.03, 1,
		"Send the byte 1B, then CR, then AT; if that is silent, a second of silence, +++, a second of silence, then AT.",
		"If AT is answered now, the module stood in text entry or data state.",
		"none", "")
	moduleOnlyOff = measure(0.05, 3,
		"Take the supply from the module alone for ten seconds, with its data wires pulled, and try again.",
		"If it answers then, the module itself had hung; if not, look at wiring and controller.",
		"none", "")
	byHand = measure(0.1, 5,
		"Type the same commands by hand, each only after the last one's OK, and the text only after \"> \".",
		"If that works, the controller's timing is the fault; if it fails the same way, it is not.",
		"none", "")
)

// Card, network and messages.
var (
	cardInPhone = measure(0.1, 5,
		"Put the card into a phone of the same kind of network and see whether it registers and sends a text.",
		"It works there: holder, adapter or lock to a device. It fails there too: the card or its contract.",
		"a phone", "A card locked to one device may be blocked by another: ask its provider first.")
	pressHolder = measure(0.03, 2,
		"Press on the card in its holder, tap the board, and repeat AT+CPIN?.",
		"An answer that changes shows the contacts.",
		"a plastic stick", "")
	otherCard = measure(0.15, 5,
		"Put a card into the module that is known to work.",
		"If it works, the first card or its contract is at fault; if not, module, holder or place.",
		"a second card", "")
	askPortal = measure(0.05, 10,
		"Ask the card's provider, or look into its portal: is the card active, paid, allowed texts, tied to a device?",
		"It is the only place that knows.",
		"none", "")
	phoneHere = measure(0.1, 3,
		"Stand at this spot with a phone of the same operator and read its signal in dBm.",
		"10 dB more than the module hears: antenna or cable. The same: the place.",
		"a phone", "")
	otherAntenna = measure(0.05, 5,
		"Swap in a cellular antenna and cable that are known to work, and repeat AT+CSQ.",
		"Five steps or more better: the old antenna or cable. No change: place or module.",
		"a good antenna", radioCaution)
	changeSockets = measure(0.03, 3,
		"Follow both antenna cables to their sockets on the board, and swap them with the module switched off.",
		"If network and satellites come up together, they were swapped.",
		"none", "Switch off first: the radio must not send without its antenna.")
	searchAll = measure(0.3, 4,
		"Send AT+COPS=? and wait the whole three minutes for its answer.",
		"A list with networks: the radio hears, and the question is who lets it in. An empty list: antenna, bands or place.",
		"none", radioCaution)
	causeNumber = measure(0.3, 3,
		"Send AT+CREG=3 and AT+CEER, then let it try again, and read the cause number.",
		"2, 3, 6 and 8 speak of card or device, 11 to 15 of network, area and roaming, 17 and 22 of a network in trouble.",
		"none", "")
	watchAnHour = measure(0.1, 60,
		"Record registration, level and card every ten seconds for an hour without touching anything, then again on another spot.",
		"Losses that follow the spot are coverage; losses that come with a missing card are its contacts.",
		"none", "")
	testText = measure(0.05, 3,
		"Set AT+CSMP=17,167,0,0 and AT+CSCS=\"GSM\", and send the three letters ABC to your own phone.",
		"Readable letters now show that the coding was the fault.",
		"a phone; costs one text", "")
	deleteOne = measure(0.03, 2,
		"Delete one message (AT+CMGD) and send the module a text.",
		"If it is reported within a minute, the full store was the fault.",
		"a phone; costs one text", "")
	textItself = measure(0.05, 3,
		"Compare AT+CPMS? before and after you send the module a text.",
		"One more used and no line on the port: stored and not reported. None more: it did not arrive.",
		"a phone; costs one text", "")
	centreFromOperator = measure(0.03, 5,
		"Compare AT+CSCA? with the number the operator publishes.",
		"Empty or foreign: that is it.",
		"none", "")
)

// Sky and report.
var (
	openSky = measure(0.1, 12,
		"Take module and antenna outdoors, antenna up, for ten minutes, and read the four best levels of GSV.",
		"Above 35 dB-Hz: it was the place. Still below 28: antenna, its supply or its plug.",
		"none", "")
	antennaCurrent = measure(0.05, 5,
		"Measure the direct voltage on the centre pin of the GNSS socket, and the current into the antenna.",
		"An active antenna needs 3 to 5 V and draws 5 to 20 mA. No voltage: its feed is missing; no current: it is not there.",
		"multimeter", "")
	askEngine = measure(0.05, 2,
		"Ask the engine's state as the module's manual says, and look for $ at 4800, 9600, 38400 and 115200 baud on all its ports.",
		"Off, or on another port: that is it. On and silent: its supply pin or the part.",
		"none", "")
	passThrough = measure(0.05, 5,
		"Let the controller do nothing but pass the receiver's bytes through, and record them.",
		"Clean now: the controller's other work starves its port. Still damaged: line, ground or too much for the speed.",
		"firmware of ten lines", "")
	rawBeside = measure(0.03, 5,
		"Print the raw sentence of the same second beside the position that is sent.",
		"V, 0 or N in it, while a position leaves, shows the missing gate; the two numbers side by side show the conversion.",
		"firmware with one more line", "")
)
