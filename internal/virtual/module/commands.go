package module

import (
	"strconv"
	"strings"
	"time"

	"firstfix/internal/wire/at"
)

// A command is one row of what the module understands. To add a command, add a row.
type command struct {
	name      string
	clause    string
	forms     forms
	takes     time.Duration // takesQuick when 0
	needs     need
	abortable bool
	ownTest   bool   // it answers the test form itself
	texts     bool   // its errors are those of texts, 27.005 clause 3.2.5
	test      string // what the test form lists; the form answers a bare OK when empty
	run       func(m *Module, c *at.Command) reply
}

// forms is a set of the forms of V.250 clauses 5.3 and 5.4.
type forms uint8

const (
	execute forms = 1 << iota
	set
	read
	test
)

var formBits = map[at.Form]forms{at.Execute: execute, at.Set: set, at.Read: read, at.Test: test}

// need is what must be so before a command can be run.
type need uint8

const (
	nothing need = iota
	aCard        // present and unlocked: 27.007 clause 8.3 lists what goes without
	aRadio       // besides: full functionality
)

// commands is the list. The demo module's own are at its end; they are invented.
var commands = []command{
	{name: "E", clause: "V.250 6.2.4", forms: execute, run: runEcho},
	{name: "V", clause: "V.250 6.2.6", forms: execute, run: runVerbose},
	{name: "Q", clause: "V.250 6.2.5", forms: execute, run: runQuiet},
	{name: "X", clause: "V.250 6.2.7", forms: execute, run: runBasic(4, func(s *settings) *int { return &s.x })},
	{name: "&C", clause: "V.250 6.2.8", forms: execute, run: runBasic(1, func(s *settings) *int { return &s.c })},
	{name: "&D", clause: "V.250 6.2.9", forms: execute, run: runBasic(2, func(s *settings) *int { return &s.d })},
	{name: "S", clause: "V.250 5.3.2", forms: set | read, run: runRegister},
	{name: "Z", clause: "V.250 6.1.1", forms: execute, takes: takesCard, run: runReset},
	{name: "&F", clause: "V.250 6.1.2", forms: execute, run: runFactory},
	{name: "&W", clause: "common practice, no source", forms: execute, takes: takesCard, run: runSave},
	{name: "I", clause: "V.250 6.1.3", forms: execute, run: runIdentity},
	{name: "L", clause: "V.250 6.3.13", forms: execute, run: runBasic(3, func(s *settings) *int { return &s.l })},
	{name: "M", clause: "V.250 6.3.14", forms: execute, run: runBasic(2, func(s *settings) *int { return &s.m })},
	{name: "P", clause: "V.250 6.3.3", forms: execute, run: accept},
	{name: "T", clause: "V.250 6.3.2", forms: execute, run: accept},
	{name: "H", clause: "V.250 6.3.6", forms: execute, takes: takesRadio, run: runHangUp},
	{name: "A", clause: "V.250 6.3.5", forms: execute, takes: takesRadio, abortable: true, run: runAnswer},
	{name: "O", clause: "V.250 6.3.7", forms: execute, run: runOnline},
	{name: "D", clause: "V.250 6.3.1", forms: execute, needs: aRadio, abortable: true, run: runDial},
	{name: "+GMI", clause: "V.250 6.1.4", forms: execute | test, run: say(maker)},
	{name: "+GMM", clause: "V.250 6.1.5", forms: execute | test, run: say(model)},
	{name: "+GMR", clause: "V.250 6.1.6", forms: execute | test, run: say(revision)},
	{name: "+GSN", clause: "V.250 6.1.7", forms: execute | test, run: say(imei)},
	{name: "+GCAP", clause: "V.250 6.1.9", forms: execute | test, run: say("+GCAP: +CGSM")},
	{name: "+IPR", clause: "V.250 6.2.10", forms: set | read | test, test: "(),(0,1200,2400,4800,9600,19200,38400,57600,115200,230400,460800)", run: runSpeed},
	{name: "+ICF", clause: "V.250 6.2.11", forms: set | read | test, test: "(0-6),(0-3)", run: runFrame},
	{name: "+IFC", clause: "V.250 6.2.12", forms: set | read | test, test: "(0-3),(0-2)", run: runFlow},
	{name: "+ILRR", clause: "V.250 6.2.13", forms: set | read | test, test: "(0,1)", run: runNumber(0, 1, func(s *settings) *int { return &s.ilrr })},

	{name: "+CGMI", clause: "27.007 5.1", forms: execute | test, run: say(maker)},
	{name: "+CGMM", clause: "27.007 5.2", forms: execute | test, run: say(model)},
	{name: "+CGMR", clause: "27.007 5.3", forms: execute | test, run: say(revision)},
	{name: "+CGSN", clause: "27.007 5.4", forms: execute | test, run: say(imei)},
	{name: "+CSCS", clause: "27.007 5.5", forms: set | read | test, test: `("GSM","IRA","UCS2","HEX")`, run: runCharset},
	{name: "+CIMI", clause: "27.007 5.6", forms: execute | test, takes: takesCard, needs: aCard, run: runSubscriber},
	{name: "+CNUM", clause: "27.007 7.1", forms: execute | test, takes: takesCard, needs: aCard, run: runOwnNumber},
	{name: "+CREG", clause: "27.007 7.2", forms: set | read | test, test: "(0-3)", run: runRegistration},
	{name: "+CGREG", clause: "27.007 10.1.20", forms: set | read | test, test: "(0-3)", run: runRegistration},
	{name: "+CEREG", clause: "27.007 10.1.22", forms: set | read | test, test: "(0-3)", run: runRegistration},
	{name: "+COPS", clause: "27.007 7.3", forms: set | read | test, ownTest: true, takes: takesRadio, abortable: true, run: runOperator},
	{name: "+CHUP", clause: "27.007 6.5", forms: execute | test, takes: takesRadio, run: runHangUp},
	{name: "+CRC", clause: "27.007 6.11", forms: set | read | test, test: "(0,1)", run: runNumber(0, 1, func(s *settings) *int { return &s.crc })},
	{name: "+CLCK", clause: "27.007 7.4", forms: set | test, takes: takesCard, test: `("SC")`, run: runLock},
	{name: "+CLIP", clause: "27.007 7.6", forms: set | read | test, test: "(0,1)", run: runCallerNumber},
	{name: "+CLIR", clause: "27.007 7.7", forms: set | read | test, takes: takesRadio, test: "(0-2)", run: runOwnNumberShown},
	{name: "+CPWD", clause: "27.007 7.5", forms: set | test, takes: takesSecret, needs: aCard, test: `("SC",8)`, run: runPassword},
	{name: "+CUSD", clause: "27.007 7.15", forms: set | read | test, takes: takesRadio, needs: aCard, test: "(0-2)", run: runServiceCode},
	{name: "+CLCC", clause: "27.007 7.18", forms: execute | test, run: runCalls},
	{name: "+CPSMS", clause: "27.007 7.38", forms: set | read | test, test: `(0,1),,,("00000000"-"11111111"),("00000000"-"11111111")`, run: runPowerSaving},
	{name: "+CEDRXS", clause: "27.007 7.40", forms: set | read | test, test: `(0,1),(2,4),("0000"-"1111")`, run: runLongPaging},
	{name: "+CPAS", clause: "27.007 8.1", forms: execute | test, test: "(0,5)", run: runActivity},
	{name: "+CFUN", clause: "27.007 8.2", forms: set | read | test, takes: takesPower, test: "(0,1,4),(0,1)", run: runFunction},
	{name: "+CPIN", clause: "27.007 8.3", forms: set | read | test, ownTest: true, takes: takesCard, run: runPIN},
	{name: "+CBC", clause: "27.007 8.4", forms: execute | test, takes: takesRadio, test: "(0),(0-100)", run: runBattery},
	{name: "+CSQ", clause: "27.007 8.5", forms: execute | test, takes: takesRadio, test: "(0-31,99),(0-7,99)", run: runSignal},
	{name: "+CCLK", clause: "27.007 8.15", forms: set | read | test, run: runClock},
	{name: "+CIND", clause: "27.007 8.9", forms: set | read | test, ownTest: true, takes: takesRadio, run: runIndicators},
	{name: "+CMER", clause: "27.007 8.10", forms: set | read | test, test: "(0,3),(0),(0),(0,1),(0,1)", run: runEvents},
	{name: "+CPINR", clause: "27.007 8.65", forms: execute | set | test, takes: takesCard, run: runTries},
	{name: "+CLAC", clause: "27.007 8.37", forms: execute | test, run: runList},
	{name: "+CMOLR", clause: "27.007 8.50", forms: set | read | test, takes: takesRadio, test: "(0,1),(0),(0,1),(0-127),(0,1),(0,1),(0-127),(0-4),(0,1),(1-65535),(1-65535),(1),(0)", run: runLocate},
	{name: "+CMOLRE", clause: "27.007 9.1A", forms: set | read | test, test: "(0,1)", run: runLocateErrors},
	{name: "+CPOSR", clause: "27.007 8.56", forms: set | read | test, test: "(0,1)", run: runPositionReports},
	{name: "+CESQ", clause: "27.007 8.69", forms: execute | test, takes: takesRadio, test: "(0-63,99),(0-7,99),(0-96,255),(0-49,255),(0-34,255),(0-97,255)", run: runExtendedSignal},
	{name: "+CMEE", clause: "27.007 9.1", forms: set | read | test, test: "(0-2)", run: runNumber(0, 2, func(s *settings) *int { return &s.cmee })},
	{name: "+CEER", clause: "27.007 6.10", forms: execute | test, run: runLastError},
	{name: "+CTZU", clause: "27.007 8.40", forms: set | read | test, test: "(0,1)", run: runNumber(0, 1, func(s *settings) *int { return &s.ctzu })},
	{name: "+CTZR", clause: "27.007 8.41", forms: set | read | test, test: "(0,1)", run: runNumber(0, 1, func(s *settings) *int { return &s.ctzr })},
	{name: "+CGDCONT", clause: "27.007 10.1.1", forms: set | read | test, test: `(1-3),"IP",,,(0),(0)`, run: runContext},
	{name: "+CGATT", clause: "27.007 10.1.9", forms: set | read | test, takes: takesRadio, needs: aRadio, abortable: true, test: "(0,1)", run: runAttach},
	{name: "+CGACT", clause: "27.007 10.1.10", forms: set | read | test, takes: takesRadio, needs: aRadio, abortable: true, test: "(0,1)", run: runActivate},
	{name: "+CGDATA", clause: "27.007 10.1.12", forms: execute | set | test, needs: aRadio, abortable: true, test: `("PPP")`, run: runData},
	{name: "+CGEREP", clause: "27.007 10.1.19", forms: set | read | test, test: "(0-2),(0,1)", run: runEventReports},
	{name: "+CGCONTRDP", clause: "27.007 10.1.23", forms: execute | set | test, takes: takesRadio, run: runContextFacts},
	{name: "+CGAUTH", clause: "27.007 10.1.31", forms: set | read | test, test: "(1-3),(0-2),64,64", run: runAuth},
	{name: "+CGPADDR", clause: "27.007 10.1.14", forms: execute | set | test, takes: takesRadio, test: "(1-3)", run: runAddress},

	{name: "+CSMS", clause: "27.005 3.2.1", forms: set | read | test, texts: true, test: "(0,1)", run: runService},
	{name: "+CPMS", clause: "27.005 3.2.2", forms: set | read | test, takes: takesStore, needs: aCard, texts: true, test: `("SM","ME","SR","BM"),("SM","ME"),("SM","ME")`, run: runMemories},
	{name: "+CMGF", clause: "27.005 3.2.3", forms: set | read | test, texts: true, test: "(0,1)", run: runNumber(0, 1, func(s *settings) *int { return &s.cmgf })},
	{name: "+CSCA", clause: "27.005 3.3.1", forms: set | read | test, takes: takesCard, needs: aCard, texts: true, run: runCentre},
	{name: "+CSMP", clause: "27.005 3.3.2", forms: set | read | test, texts: true, run: runTextParameters},
	{name: "+CSDH", clause: "27.005 3.3.3", forms: set | read | test, texts: true, test: "(0,1)", run: runNumber(0, 1, func(s *settings) *int { return &s.csdh })},
	{name: "+CSCB", clause: "27.005 3.3.4", forms: set | read | test, texts: true, test: "(0,1)", run: runBroadcasts},
	{name: "+CSAS", clause: "27.005 3.3.5", forms: execute | set | test, takes: takesCard, texts: true, test: "(0)", run: runSaveTexts},
	{name: "+CRES", clause: "27.005 3.3.6", forms: execute | set | test, takes: takesCard, texts: true, test: "(0)", run: runRestoreTexts},
	{name: "+CNMI", clause: "27.005 3.4.1", forms: set | read | test, texts: true, test: "(0-3),(0-3),(0-3),(0-2),(0,1)", run: runIndications},
	{name: "+CMGL", clause: "27.005 3.4.2, 4.1", forms: execute | set | test, takes: takesStore, needs: aCard, texts: true, run: runListTexts},
	{name: "+CMGR", clause: "27.005 3.4.3, 4.2", forms: set | test, takes: takesStore, needs: aCard, texts: true, run: runReadText},
	{name: "+CNMA", clause: "27.005 3.4.4, 4.6", forms: execute | set | test, texts: true, run: runAcknowledge},
	{name: "+CMGS", clause: "27.005 3.5.1, 4.3", forms: set | test, takes: takesRadio, needs: aCard, texts: true, run: runSend},
	{name: "+CMSS", clause: "27.005 3.5.2, 4.7", forms: set | test, takes: takesStore, needs: aCard, texts: true, run: runSendStored},
	{name: "+CMGW", clause: "27.005 3.5.3, 4.4", forms: execute | set | test, takes: takesRadio, needs: aCard, texts: true, run: runWrite},
	{name: "+CMGC", clause: "27.005 3.5.5, 4.5", forms: set | test, takes: takesRadio, needs: aCard, texts: true, run: runOrder},
	{name: "+CMMS", clause: "27.005 3.5.6", forms: set | read | test, texts: true, test: "(0-2)", run: runKeepLink},
	{name: "+CMGD", clause: "27.005 3.5.4", forms: set | test, ownTest: true, takes: takesStore, needs: aCard, texts: true, run: runDelete},

	{name: "+DEMOGNSS", clause: "sheet demo", forms: set | read | test, takes: takesPower, test: "(0,1)", run: runEngine},
	{name: "+DEMOPOS", clause: "sheet demo", forms: read, takes: takesRadio, run: runPosition},
	{name: "+DEMONMEA", clause: "sheet demo", forms: set | read | test, test: "(0,1)", run: runStream},
	{name: "+DEMOCOLD", clause: "sheet demo", forms: execute, takes: takesPower, run: runCold},
	{name: "+DEMOSLEEP", clause: "sheet demo", forms: set | read | test, test: "(0,1)", run: runNumberOfBool(func(s *settings) *bool { return &s.sleep })},
	{name: "+DEMOOFF", clause: "sheet demo", forms: execute, takes: takesPower, run: runOff},
}

// run checks what every command has in common, then runs it.
func (m *Module) run(row *command, c *at.Command) reply {
	if row.forms&formBits[c.Form] == 0 {
		return failed
	}
	if c.Form == at.Test && (row.test != "" || !row.ownTest) {
		if row.test != "" {
			m.info(row.name + ": " + row.test)
		}
		return ok
	}
	if row.needs >= aCard {
		if r := m.cardReply(row.texts); r != ok {
			return r
		}
	}
	if row.needs >= aRadio && m.settings.cfun != 1 {
		return cme(3) // 27.007 clause 9.2: not allowed in this state
	}
	return row.run(m, c)
}

// accept is for commands that have nothing to do here.
func accept(*Module, *at.Command) reply { return ok }

// say answers with a fixed line.
func say(text string) func(*Module, *at.Command) reply {
	return func(m *Module, _ *at.Command) reply {
		m.info(text)
		return ok
	}
}

// number returns parameter n of a command, counted from 0, as a whole number;
// absent when nothing stands there. False: something else stands there.
func number(c *at.Command, n, absent int) (int, bool) {
	if n >= len(c.Params) || c.Params[n].Empty {
		return absent, true
	}
	if c.Params[n].Quoted {
		return 0, false
	}
	v, err := strconv.Atoi(strings.TrimSpace(c.Params[n].Text))
	return v, err == nil && v >= 0
}

// text returns parameter n; "" when nothing stands there.
func text(c *at.Command, n int) (value string, quoted bool) {
	if n >= len(c.Params) || c.Params[n].Empty {
		return "", false
	}
	return c.Params[n].Text, c.Params[n].Quoted
}

// bad is the answer to a parameter that does not fit.
func bad(row *command) reply {
	if row.texts {
		return cms(302) // 27.005 clause 3.2.5: not allowed
	}
	return cme(50) // 27.007 clause 9.2.1: wrong parameters
}

// runNumber is a command that sets and reads one number from low to high.
func runNumber(low, high int, field func(*settings) *int) func(*Module, *at.Command) reply {
	return func(m *Module, c *at.Command) reply {
		p := field(&m.settings)
		if c.Form == at.Read {
			m.info(c.Name + ": " + strconv.Itoa(*p))
			return ok
		}
		v, fits := number(c, 0, 0)
		if !fits || v < low || v > high || len(c.Params) > 1 {
			return bad(m.exec.row)
		}
		*p = v
		return ok
	}
}

// runNumberOfBool is the same for 0 and 1.
func runNumberOfBool(field func(*settings) *bool) func(*Module, *at.Command) reply {
	return func(m *Module, c *at.Command) reply {
		p := field(&m.settings)
		if c.Form == at.Read {
			m.info(c.Name + ": " + bit(*p))
			return ok
		}
		v, fits := number(c, 0, 0)
		if !fits || v > 1 || len(c.Params) > 1 {
			return bad(m.exec.row)
		}
		*p = v == 1
		return ok
	}
}

func bit(b bool) string {
	if b {
		return "1"
	}
	return "0"
}
