// Package weaksignal reports a cellular signal too weak to rely on.
package weaksignal

import (
	"fmt"
	"time"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/witness"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "weaksignal",
	Title:    "cellular signal too weak",
	Severity: finding.Warning,
	Cites:    []string{"3GPP TS 27.007, 8.5 (+CSQ: -113 dBm + 2 per step), 8.69 (+CESQ)", "common practice, no source (below 10 is weak)"},
	Doc: `
The first number of +CSQ is the level: 0 is -113 dBm or less, each step is 2 dB, 31 is -51 dBm or
more, 99 is not known. Below 10 (-93 dBm) texts fail now and then and the radio sends at full power,
which also tries the supply; 15 and more is comfortable. For LTE +CESQ tells more: its last number
minus 141 is dBm; below -115 dBm is weak. An antenna in the wrong socket, a loose plug or a metal
lid costs 20 dB and more.`,
	Silent: `
Fewer than three weak answers in a row; 99 while the module is registered, as some LTE modules answer;
99 within a minute of the start; the radio is switched off.`,
	Remedy: `Check the antenna, its plug and its socket, compare with a telephone of the same operator at the spot, and move the antenna 20 cm away from metal and leads.`,
	Watch:  watch,
}

const (
	weakRSSI = 10 // 27.007 8.5: -93 dBm; common practice, no source
	weakRSRP = 26 // 27.007 8.69: -115 dBm; common practice, no source
	inARow   = 3
	settling = time.Minute // from start to first level; common practice, no source
)

func watch(p *rulebook.Pass) {
	var weak []dialogue.Line // the weak answers in a row, at most inARow
	worst, said, off := "", false, false
	good := func() { weak, said = weak[:0], false }
	bad := func(line dialogue.Line, level string) {
		if said || off {
			return
		}
		weak = append(weak, line)
		worst = level
		if len(weak) < inARow {
			return
		}
		said = true
		message := fmt.Sprintf("%s, weak %d times in a row", worst, len(weak))
		if p.TimesKnown() {
			message += " within " + rulebook.Span(weak[inARow-1].Began.Sub(weak[0].Began))
		}
		p.Report(message, p.See(weak[inARow-1], worst), p.See(weak[0], "the first of them"), p.See(weak[1], "the second"))
	}
	p.OnInfo("+CSQ", func(_ *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		rssi, ok := rulebook.Int(a.Params, 0)
		_, registered := p.Known().Registered()
		restart, started := p.Known().LastRestart()
		switch {
		case !ok:
		case rssi == 99 && registered:
		case rssi == 99 && started && p.TimesKnown() && line.Began.Sub(restart.At) < settling:
		case rssi == 99:
			bad(line, "signal not known (99)")
		case rssi < weakRSSI:
			bad(line, fmt.Sprintf("signal %d (%d dBm)", rssi, 2*rssi-113))
		default:
			good()
		}
	})
	p.OnInfo("+CESQ", func(_ *dialogue.Exchange, line dialogue.Line, a at.Answer) {
		rsrp, ok := rulebook.Int(a.Params, 5)
		switch {
		case !ok || rsrp == 255:
		case rsrp < weakRSRP:
			bad(line, fmt.Sprintf("LTE signal %d (%d dBm)", rsrp, rsrp-141))
		default:
			good()
		}
	})
	p.OnResult("+CFUN", func(x *dialogue.Exchange, c *at.Command) {
		if n, ok := rulebook.Int(c.Params, 0); ok && c.Form == at.Set && x.Result.Kind == at.OK {
			off = n != 1
			good()
		}
	})
	p.OnRestart(func(witness.Restart) { off = false; weak = weak[:0] })
}
