package bringup

var moduleOff = &Cause{
	Name: "module-off", Title: "the module is switched off", Prior: 0.06,
	Signs:  []sign{{noBytes, 0.97}},
	Remedy: "Check its supply, hold the power key as long as the manual says, and test with AT or the status pin before you press: the key toggles.",
	Tests:  []test{statusPin.gives(0.97), lamp.gives(0.93, 0.02, 0.02), loopBack.gives(0.97)},
}

var wiring = &Cause{
	Name: "wiring", Title: "the two data wires are swapped or one is open", Prior: 0.05,
	Signs:  []sign{{noBytes, 0.9}, {halfHeard, 0.4}},
	Remedy: "Join the controller's sender to the module's receiver and the other way round; write on the drawing who drives which wire.",
	Tests:  []test{idleHigh.gives(0.9, 0.02), statusPin.gives(0.02), lamp.gives(0.02, 0.32, 0.62), loopBack.gives(0.97)},
}

var controllerPort = &Cause{
	Name: "controller-port", Title: "the controller's own port is the wrong one, or its receiver is dead", Prior: 0.025,
	Signs:  []sign{{noBytes, 0.85}, {fellSilent, 0.15}, {portGone, 0.05}},
	Remedy: "Open the right port and close every other program; in firmware clear the receiver's error flags and take up receiving again after each of them.",
	Tests:  []test{loopBack.gives(0.05), statusPin.gives(0.02), lamp.gives(0.02, 0.32, 0.62), otherPort.gives(0.4)},
}

var wrongSpeed = &Cause{
	Name: "wrong-speed", Title: "the two ends do not speak at the same speed", Prior: 0.06,
	Signs:  []sign{{otherSpeed, 0.95}, {onlyNoise, 0.85}, {fitsSpeed, 0.85}, {noBytes, 0.10}, {someNoise, 0.05}, {speedForgotten, 0.3}},
	Remedy: "Open the line at the speed at which AT brings OK; set another with +IPR only if you need it, and store it.",
	Tests: []test{openAtFound.gives(0.85), otherSpeeds.gives(0.95), shortestBit.gives(0.95, 0.02), statusPin.gives(0.02), lamp.gives(0.02, 0.32, 0.62),
		loopBack.gives(0.97)},
}

var noCommonGround = &Cause{
	Name: "no-common-ground", Title: "controller and module do not share a good ground", Prior: 0.03,
	Signs:  []sign{{onlyNoise, 0.4}, {someNoise, 0.6}, {fitsSpeed, 0.02}, {noBytes, 0.10}, {noiseOnSend, 0.3}, {flippedLetters, 0.2}},
	Remedy: "Join both grounds with one short thick wire beside the data wires.",
	Tests:  []test{groundToGround.gives(0.95), otherSpeeds.gives(0.02), shortestBit.gives(0.05, 0.6), slowerLine.gives(0.2)},
}

var levelMismatch = &Cause{
	Name: "level-mismatch", Title: "the logic levels of the two sides do not fit", Prior: 0.03,
	Signs:  []sign{{halfHeard, 0.6}, {someNoise, 0.3}, {noBytes, 0.25}, {onlyNoise, 0.1}, {fitsSpeed, 0.02}, {flippedLetters, 0.1}},
	Remedy: "Put a level shifter between them that takes its reference from the module, and never drive a pin above its own supply.",
	Tests:  []test{idleHigh.gives(0.05, 0.8), shortestBit.gives(0.02, 0.5), statusPin.gives(0.02), lamp.gives(0.02, 0.32, 0.62)},
}

var softwareSerial = &Cause{
	Name: "software-serial", Title: "a serial port made in software is too slow for the line", Prior: 0.03,
	Signs:   []sign{{flippedLetters, 0.85}},
	Besides: []sign{{someNoise, 0.25}, {overlapping, 0.3}, {ownCommandsCut, 0.1}, {badSums, 0.3}},
	Remedy:  "Use a hardware port for the module, or 9600 baud on one made in software, and listen to one such port at a time.",
	Tests:   []test{slowerLine.gives(0.9), groundToGround.gives(0.03)},
}

var noiseWhileSending = &Cause{
	Name: "transmit-noise", Title: "the radio's bursts get into the data wires", Prior: 0.02,
	Signs:   []sign{{noiseOnSend, 0.85}},
	Besides: []sign{{badSums, 0.4}, {flippedLetters, 0.15}, {someNoise, 0.2}},
	Remedy:  "Keep the antenna and its cable away from the data wires, shorten and screen them, add ferrites, and join the grounds well.",
	Tests:   []test{otherAntenna.gives(0.3), groundToGround.gives(0.2), slowerLine.gives(0.2)},
}

var wrongLineEnd = &Cause{
	Name: "wrong-line-end", Title: "command lines do not end in CR", Prior: 0.04,
	Signs:  []sign{{wrongEnd, 0.95}, {echoOnly, 0.6}, {noBytes, 0.2}},
	Remedy: "End every command with one CR (0x0D) and nothing else.",
	Tests:  []test{hexOfCommand.gives(0.98), lamp.gives(0.02, 0.32, 0.62)},
}

var strayLineFeed = &Cause{
	Name: "stray-line-feed", Title: "a line feed behind the CR gets into the text", Prior: 0.02,
	Signs:  []sign{{feedAfterCR, 0.9}, {refused, 0.2}},
	Remedy: "Send CR alone after a command that asks for text: a print-line function adds CR and LF.",
	Tests:  []test{hexOfCommand.gives(0.9), byHand.gives(0.8)},
}

var stuckInText = &Cause{
	Name: "stuck-in-text", Title: "the module stands in text entry", Prior: 0.02,
	Signs:  []sign{{echoOnly, 0.6}, {openText, 0.4}, {fellSilent, 0.4}},
	Remedy: "Begin every start with ESC, CR and AT; end every text with Ctrl-Z, and after any doubt send ESC and wait for OK.",
	Tests:  []test{escapeFirst.gives(0.95), moduleOnlyOff.gives(0.95)},
}

var stuckInData = &Cause{
	Name: "stuck-in-data", Title: "the module stands in data state and takes commands as data", Prior: 0.015,
	Signs:  []sign{{asData, 0.9}, {badEscape, 0.4}, {fellSilent, 0.2}, {halfHeard, 0.05}},
	Remedy: "Leave it with a second of silence, +++, a second of silence, or by the DTR line; then AT.",
	Tests:  []test{escapeFirst.gives(0.95), moduleOnlyOff.gives(0.95)},
}

var moduleHangs = &Cause{
	Name: "module-hangs", Title: "the module has stopped working", Prior: 0.02,
	Signs:  []sign{{fellSilent, 0.95}, {slower, 0.2}},
	Remedy: "Let the controller go up a ladder: try again, ESC, AT+CFUN=4 and 1, the reset line, ten seconds without supply; each with growing pauses.",
	Tests:  []test{moduleOnlyOff.gives(0.9), escapeFirst.gives(0.03), lamp.gives(0.15, 0.2, 0.25)},
}

var flowControl = &Cause{
	Name: "flow-control", Title: "a handshake line that nobody drives holds the module's replies back", Prior: 0.02,
	Signs:   []sign{{stalling, 0.9}, {softFlow, 0.3}},
	Besides: []sign{{fellSilent, 0.05}},
	Remedy:  "Wire RTS and CTS and set AT+IFC=2,2, or tie them low and set AT+IFC=0,0; never XON/XOFF where data passes.",
	Tests:   []test{flowOff.gives(0.95)},
}

var bufferTooSmall = &Cause{
	Name: "buffer-too-small", Title: "the controller's receive buffer is too small for long replies", Prior: 0.03,
	Signs:   []sign{{cutReplies, 0.95}},
	Besides: []sign{{badSums, 0.1}, {overlapping, 0.4}},
	Remedy:  "Read the port all the time, make the buffer as long as the longest reply, and read messages one at a time.",
	Tests:   []test{longReply.gives(0.95), slowerLine.gives(0.5)},
}

var otherMaster = &Cause{
	Name: "somebody-else-on-the-line", Title: "another program or a console speaks on this line", Prior: 0.02,
	Signs:  []sign{{otherTalker, 0.95}, {someNoise, 0.05}},
	Remedy: "Switch the console or the probing of this port off, open it exclusively, or take another port.",
	Tests:  []test{otherPort.gives(0.95)},
}

var portVanishes = &Cause{
	Name: "port-vanishes", Title: "the port vanishes: cable, hub, or the module started anew as a USB device", Prior: 0.02,
	Signs:  []sign{{portGone, 0.95}, {openRestarts, 0.15}},
	Remedy: "Open the port by its stable identity, close and open it anew after an error, and use a good cable and a powered hub.",
	Tests:  []test{replugCount.gives(0.95), otherSource.gives(0.3)},
}

var openingResets = &Cause{
	Name: "opening-resets", Title: "opening the port restarts the module or the board", Prior: 0.015,
	Signs:  []sign{{openRestarts, 0.95}, {restarting, 0.3}},
	Remedy: "Cut the board's automatic reset, set AT&D0, and try the firmware without a cable that carries data.",
	Tests:  []test{replugCount.gives(0.1), radioOffTest.gives(0.1)},
}

var asleep = &Cause{
	Name: "asleep", Title: "the module sleeps and the first command only wakes it", Prior: 0.02,
	Signs:   []sign{{firstLost, 0.95}},
	Besides: []sign{{overlapping, 0.4}},
	Remedy:  "Pull the wake line, or send AT, wait 100 ms and send it again, before the first command after a pause.",
	Tests:   []test{afterPause.gives(0.95)},
}
