package world

// Truths are the names of what can be planted. A judge uses the same names for
// its causes, which is the only thing the two have in common; some of them no
// judge has a cause for yet.
var Truths = []string{
	"none",
	// Supply.
	"supply-sags", "supply-wrong", "hard-power-cuts", "low-battery", "overheats", "power-key",
	// Line.
	"wrong-speed", "wrong-frame", "speed-not-found", "wiring", "level-mismatch", "no-common-ground", "transmit-noise", "bytes-lost",
	"flow-characters-eaten", "flow-control", "buffer-too-small", "software-serial", "somebody-else-on-the-line", "start-noise",
	// The module's manners.
	"echo-stays", "results-wordless", "asleep", "lines-interleaved", "late-prompt", "lost-prompt", "deaf-after-prompt",
	"slow-module", "slow-start", "module-hangs", "module-restarts", "character-set",
	// Card.
	"no-card", "card-contact", "card-failed", "card-busy", "pin-wanted", "puk-wanted", "locked-device", "store-fails",
	// Network.
	"weak-signal", "cellular-antenna-missing", "never-registers", "registration-denied", "subscription-inactive", "emergency-only",
	"slow-registration", "roaming", "registration-flaps", "registration-stuck", "cells-change", "radio-off", "clock-unset", "zone-wrong",
	// Texts.
	"no-service-centre", "foreign-service-centre", "blank-text-parameters", "store-full", "data-only", "network-trouble", "texts-refused",
	"quota-used", "texts-late", "texts-doubled", "texts-shuffled", "texts-lost", "texts-undelivered", "reports-missing", "arrivals-not-reported",
	"adverts", "flash-texts", "received-as-hex", "long-texts", "text-flood", "old-texts",
	// Calls and packet data.
	"no-voice", "caller-unknown", "calls-repeat", "attach-refused", "apn-wrong", "context-lost", "no-address",
	// Sky and position.
	"antennas-swapped", "no-sky", "gnss-antenna-missing", "weak-gnss-signal", "half-sky", "jammed", "shared-radio",
	"engine-off", "engine-stops", "cold-starts", "date-rollover", "leap-seconds", "date-default", "date-missing",
	"position-jumps", "false-signals", "position-frozen", "position-estimated", "void-filled",
	"sentences-damaged", "talker-not-expected", "line-overfull",
}
