package bringup

// What a person can measure at card, network, messages and positions.

// Card.
var (
	givePIN = measure("tries-left", 1,
		"Read the tries left (AT+CPINR, or in a phone); with two or more, give the PIN for one run: check --pin.",
		"READY: the PIN was all that was missing; switch its question off for a device that is alone. Error 16: it is the wrong one, stop here.",
		share(0.04).is("ready", "with the PIN the card is ready"),
		share(0.96).is("not", "the PIN is wrong, or changes nothing")).
		with("none", "Never try a PIN twice: after three wrong ones the card wants its PUK.")
	cardInPhone = measure("card-in-phone", 5,
		"Put the card into a phone of the same kind of network and see whether it registers and sends a text.",
		"It works there: holder, adapter or lock to a device. It fails there too: the card or its contract.",
		share(0.10).is("fails", "the card fails in a phone as well"),
		share(0.90).is("works", "in a phone the card works")).
		with("a phone", "A card locked to one device may be blocked by another: ask its provider first.")
	pressHolder = measure("press-card", 2,
		"Press on the card in its holder, tap the board, and repeat AT+CPIN?.",
		"An answer that changes shows the contacts.",
		share(0.03).is("changes", "pressing on the card changes the answer"),
		share(0.97).is("same", "pressing on the card changes nothing")).
		with("a plastic stick", "")
	otherCard = measure("other-card", 5,
		"Put a card into the module that is known to work.",
		"If it works, the first card or its contract is at fault; if not, module, holder or place.",
		share(0.15).is("works", "another card works in this module"),
		share(0.85).is("fails", "another card fails in this module as well")).
		with("a second card", "")
	askPortal = measure("portal", 10,
		"Ask the card's provider, or look into its portal: is the card active, paid, allowed texts and data, tied to a device?",
		"It is the only place that knows.",
		share(0.05).is("barred", "the provider says that the card is inactive, barred or limited"),
		share(0.95).is("fine", "the provider says that the card is fine"))
)

// Network.
var (
	phoneHere = measure("phone-here", 3,
		"Stand at this spot with a phone of the same operator and read its signal in dBm.",
		"10 dB more than the module hears: antenna or cable. The same: the place.",
		share(0.10).is("better", "a phone hears 10 dB more at this spot"),
		share(0.90).is("same", "a phone hears no better here")).
		with("a phone", "")
	toWindow = measure("window", 5,
		"Move the whole thing to a window, or outdoors, and look at level and satellites again.",
		"Better by five steps or more: the place. Unchanged: antenna, plug or cable.",
		share(0.15).is("better", "at the window it hears much better"),
		share(0.85).is("same", "at the window it is the same"))
	otherAntenna = measure("other-antenna", 5,
		"Swap in a cellular antenna and cable that are known to work, and repeat AT+CSQ.",
		"Five steps or more better: the old antenna or cable. No change: place or module.",
		share(0.05).is("better", "with another antenna it hears much better"),
		share(0.95).is("same", "with another antenna it is the same")).
		with("a good antenna", radioCaution)
	changeSockets = measure("antenna-sockets", 3,
		"Follow both antenna cables to their sockets on the board, and swap them with the module switched off.",
		"If network and satellites come up together, they were swapped.",
		share(0.03).is("swapped", "the two antennas were on each other's socket"),
		share(0.97).is("right", "each antenna is on its own socket")).
		with("none", "Switch off first: the radio must not send without its antenna.")
	searchAll = measure("search", 4,
		"Send AT+COPS=? and wait the whole three minutes for its answer.",
		"A list with networks: the radio hears, and the question is who lets it in. An empty list: antenna, bands or place.",
		share(0.30).is("empty", "a search finds no network"),
		share(0.70).is("networks", "a search finds networks")).
		with("none", radioCaution).
		unless(func(f *Facts) bool { return f.Network.Found.IsKnown() })
	leaveAlone = measure("leave-alone", 20,
		"Leave the module alone for 20 minutes with its antenna, without any reset, and ask AT+CREG? once a minute.",
		"It registers after some minutes: it was only never given the time.",
		share(0.10).is("registers", "left alone it registers"),
		share(0.90).is("not", "left alone for 20 minutes it does not register")).
		with("none", radioCaution)
	automaticChoice = measure("automatic-choice", 3,
		"Read AT+CFUN? and AT+COPS?; then send AT+CFUN=1 and AT+COPS=0 and wait two minutes.",
		"Anything but 1 and 0 there was left by somebody: with it set right it searches again.",
		share(0.05).is("helps", "with AT+CFUN=1 and AT+COPS=0 it registers"),
		share(0.95).is("same", "radio and choice of operator were as they should be"))
	causeNumber = measure("cause-number", 3,
		"Send AT+CREG=3 and AT+CEER, then let it try again, and read the cause number.",
		"2, 3, 6 and 8 speak of card or device, 11 to 15 of network, area and roaming, 17 and 22 of a network in trouble.",
		share(0.40).is("card", "the cause number speaks of card, contract or device"),
		share(0.60).is("network", "the cause number speaks of network, area or roaming")).
		unless(func(f *Facts) bool { return f.Network.Cause.IsKnown() })
	watchAnHour = measure("watch-an-hour", 60,
		"Record registration, level and card every ten seconds for an hour without touching anything, then again on another spot.",
		"Losses that follow the spot are coverage; losses that come with a missing card are its contacts.",
		share(0.10).is("place", "the losses follow the spot"),
		share(0.08).is("card", "the losses come with a missing card"),
		share(0.82).is("neither", "neither the spot nor the card explains the losses"))
	restOneHour = measure("rest", 60,
		"Leave it off for an hour, then let it try once.",
		"Accepted after the rest: the network had told it to wait, and every further try made it longer.",
		share(0.05).is("helps", "after an hour of rest it is accepted"),
		share(0.95).is("same", "an hour of rest changes nothing"))
	accessPoint = measure("access-point", 5,
		"Set AT+CFUN=4, then AT+CGDCONT=1,\"IP\" with the access point name from the card's contract, then AT+CFUN=1.",
		"It registers or gets an address now: a name of an earlier card, or a slip of the pen, was in the way.",
		share(0.05).is("helps", "with the contract's access point name it works"),
		share(0.95).is("same", "the access point name is right"))
	contextNow = measure("context", 2,
		"When the data stops, ask AT+CGATT?, AT+CGACT? and AT+CGPADDR at once.",
		"No address, or 0.0.0.0: the session below is gone, and connecting above it cannot work. An address: look at the server and the way to it.",
		share(0.10).is("gone", "the session has no address any more"),
		share(0.90).is("there", "the session still has its address"))
)

// Messages and calls.
var (
	testText = measure("test-text", 3,
		"Set AT+CSMP=17,167,0,0 and AT+CSCS=\"GSM\", and send the three letters ABC to your own phone.",
		"Readable letters now show that the coding was the fault.",
		share(0.05).is("readable", "with plain coding ABC arrives readable"),
		share(0.95).is("not", "with plain coding it is the same")).
		with("a phone; costs one text", "")
	shortText = measure("short-text", 3,
		"Send the same text cut to 100 plain letters, without @, _, braces or accents.",
		"It passes: the long one, or one of its signs, was the trouble.",
		share(0.06).is("passes", "a short plain text passes"),
		share(0.94).is("fails", "a short plain text fails the same way")).
		with("a phone; costs one text", "")
	deleteOne = measure("delete-one", 2,
		"Delete one message (AT+CMGD) and send the module a text.",
		"If it is reported within a minute, the full store was the fault.",
		share(0.03).is("arrives", "after one deletion the next text arrives"),
		share(0.97).is("not", "a deletion changes nothing")).
		with("a phone; costs one text", "")
	textItself = measure("text-itself", 3,
		"Compare AT+CPMS? before and after you send the module a text.",
		"One more used and no line on the port: stored and not reported. None more: it did not arrive.",
		share(0.05).is("stored", "the text is stored and was not reported"),
		share(0.95).is("not-stored", "the text was reported, or did not arrive")).
		with("a phone; costs one text", "")
	centreFromOperator = measure("service-centre", 5,
		"Compare AT+CSCA? with the number the operator publishes.",
		"Empty or foreign: that is it.",
		share(0.03).is("differs", "the service-centre number is empty or foreign"),
		share(0.97).is("same", "the service-centre number is the operator's"))
	internationalForm = measure("number-form", 2,
		"Send the same text to the same number with + and country code, digits only.",
		"Accepted now: the number's form was the fault.",
		share(0.04).is("accepted", "with + and country code the text is accepted"),
		share(0.96).is("same", "the form of the number changes nothing")).
		with("a phone; costs one text", "")
	whoSends = measure("senders", 5,
		"List the senders of the texts that were answered: names, short codes, the own number?",
		"Answers to names or to the own number feed a loop.",
		share(0.05).is("machines", "machines or the own number were answered"),
		share(0.95).is("people", "only people were answered"))
	callTest = measure("call-test", 3,
		"Set AT+CLIP=1 and call the module from a phone that shows its number.",
		"+CLIP with the number after RING: the caller was only not shown before.",
		share(0.05).is("shown", "with AT+CLIP=1 the caller is shown"),
		share(0.95).is("not", "the caller is not shown, or was before")).
		with("a phone", "")
)

// Positions.
var (
	openSky = measure("open-sky", 12,
		"Take module and antenna outdoors, antenna up, for ten minutes, and read the four best levels of GSV.",
		"Above 35 dB-Hz: it was the place. Still below 28: antenna, its supply or its plug.",
		share(0.10).is("good", "under the open sky four satellites are above 35 dB-Hz"),
		share(0.90).is("poor", "under the open sky they stay faint"))
	antennaCurrent = measure("antenna-current", 5,
		"Measure the direct voltage on the centre pin of the GNSS socket, and the current into the antenna.",
		"An active antenna needs 3 to 5 V and draws 5 to 20 mA. No voltage: its feed is missing; no current: it is not there.",
		share(0.05).is("none", "the GNSS antenna gets no voltage, or draws no current"),
		share(0.95).is("draws", "the GNSS antenna has its voltage and draws current")).
		with("multimeter", "").
		reads("mA", below(2))
	askEngine = measure("engine", 2,
		"Ask the engine's state as the module's manual says, and look for $ at 4800, 9600, 38400 and 115200 baud on all its ports.",
		"Off, or on another port: that is it. On and silent: its supply pin or the part.",
		share(0.05).is("off", "the engine is off, or speaks on another port"),
		share(0.95).is("on", "the engine is on, and this is its port"))
	radioOffSky = measure("radio-off-sky", 5,
		"Outdoors, send AT+CFUN=4 and wait a minute for satellites and a fix.",
		"They come with the radio off: the module has one receiver for both, or its radio disturbs the other.",
		share(0.05).is("comes", "with the radio off satellites and fix come"),
		share(0.95).is("same", "the radio makes no difference"))
	warmRestart = measure("warm-restart", 5,
		"Outdoors, after a fix, switch the engine off for one minute with its backup supply kept, and on again; time the next fix.",
		"Five seconds: the memory works, so keep the backup supply. Half a minute each time: memory or clock is lost at every start.",
		share(0.15).is("slow", "each fix takes half a minute or more, also after a minute's pause"),
		share(0.85).is("quick", "after a short pause the fix is there in seconds"))
	passThrough = measure("pass-through", 5,
		"Let the controller do nothing but pass the receiver's bytes through, and record them.",
		"Clean now: the controller's other work starves its port. Still damaged: line, ground or too much for the speed.",
		share(0.05).is("clean", "passed through alone, the sentences are clean"),
		share(0.95).is("damaged", "passed through alone, they are damaged as well")).
		with("firmware of ten lines", "")
	rawBeside = measure("raw-beside", 5,
		"Print the raw sentence of the same second beside the position that is sent.",
		"V, 0 or N in it, while a position leaves, shows the missing gate; the two numbers side by side show the conversion.",
		share(0.03).is("differs", "the position sent is not what the raw sentence says"),
		share(0.97).is("agrees", "the position sent is what the raw sentence says")).
		with("firmware with one more line", "")
	standStill = measure("stand-still", 30,
		"Leave it at one point under the open sky for half an hour and look at how far the positions wander.",
		"Metres: the jumps were the surroundings. Still jumps: antenna, interference, or damaged sentences.",
		share(0.10).is("steady", "under the open sky the positions stay within metres"),
		share(0.90).is("jumps", "they jump under the open sky as well"))
)

// Whatever it is.
var compareGood = measure("compare", 5,
	"Record the same exchange on a unit that works, and compare: review BAD --against GOOD.",
	"The first difference in meaning is where to look.",
	share(0.5).is("differs", "there is a difference from a unit that works"),
	share(0.5).is("same", "a unit that works says the same"))
