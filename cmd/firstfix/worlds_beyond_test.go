package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"firstfix/internal/edge/pump"
	"firstfix/internal/talk/capture"
	"firstfix/internal/virtual/world"
	"firstfix/internal/when"
)

// A symptom is how a fault shows that check has no cause for, or whose walk does
// not ask for it. It demands that the dialogue shows the fault, and that no link
// before the one that is really hit is blamed.
type symptom struct {
	hits  string // the first link that the fault touches; links behind it may suffer
	says  string // a pattern in what the module said
	never string // a pattern that must not be there
	proof func(h hearing) bool
	talk  []string // what a controller says, "12" waits 12 s; nil: the walk of check
	// wrongly is a healthy link that is blamed today. It is here to be seen.
	wrongly string
}

// hearing is all that the controller heard of the module.
type hearing struct {
	text   string
	pieces []capture.Record
}

// The usual beginnings of a talk.
var (
	registered = []string{"12", "ATE0", "1", "AT+CMEE=1;+CMGF=1", "1"}
	streaming  = []string{"12", "ATE0", "1", "AT+DEMOGNSS=1", "1", "AT+DEMONMEA=1", "100"}
	moving     = []string{"12", "ATE0", "1", "AT+DEMOGNSS=1", "1", "AT+DEMONMEA=1", "160"}
)

func after(begin []string, more ...string) []string { return append(slices.Clone(begin), more...) }

const ownNumber = "+447700900707"

// beyondCauses lists the worlds whose fault check does not rank first.
var beyondCauses = map[string]symptom{
	// Supply.
	"supply-drift": {hits: "supply", says: `(?s)DEMO UNDERVOLTAGE.*DEMO READY`},
	"supply-high":  {hits: "supply", says: `DEMO POWER DOWN`},
	"supply-gone":  {hits: "supply", says: `(?s)DEMO READY.*DEMO READY`, never: `UNDERVOLTAGE`},
	"cell-tired":   {hits: "supply", says: `(?s)DEMO READY.*UNDERVOLTAGE.*DEMO READY`},
	"heat":         {hits: "supply", says: `DEMO POWER DOWN`},
	"power-key":    {hits: "supply", says: `(?s)DEMO POWER DOWN.*DEMO READY`},

	// Line.
	"wrong-frame":       {hits: "line", says: `D\xc5M\xcf`}, // DEMO with its parity in the top bit
	"slow-to-train":     {hits: "line", says: `OK`, never: `DEMO READY`},
	"wires-crossed":     {hits: "line", never: `(?s).`},
	"noisy-ground":      {hits: "line", says: `[\x80-\xff]`},
	"burst-noise":       {hits: "line", says: `[\x80-\xff]`, talk: after(registered, `AT+CMGS="+12025550143"`, "1", "a long text while the radio sends\x1a", "5", `AT+CMGS="+12025550143"`, "1", "another long text while the radio sends\x1a", "5", "AT+CSQ", "10")},
	"bytes-lost":        {hits: "line", proof: func(h hearing) bool { return damaged(h) > 10 }},
	"flow-characters":   {hits: "line", says: "\r\nab\r\n", talk: after(registered, `AT+CSCS="IRA"`, "1", `AT+CMGW="+12025550143"`, "1", "a_b\x1a", "1", `AT+CSCS="GSM"`, "1", "AT+CMGR=2", "2")},
	"flow-stall":        {hits: "line", proof: func(h hearing) bool { return longestGap(h, false) > 2400*time.Millisecond }, talk: after(registered, "AT+CLAC", "20")},
	"controller-buffer": {hits: "line", never: `\+CMGW`, says: `AT\+CGMI\r\n`, talk: after(registered, "AT+CLAC", "5")},
	"software-serial":   {hits: "line", never: `AT\+CGMM\r`},
	"other-master":      {hits: "line", says: `AT\+CMGF=0\r`, wrongly: "supply"},
	"boot-text":         {hits: "line", says: `(?s)boot: rev.*DEMO READY`},
	"start-noise":       {hits: "line", says: `(?s)[\x00\x80-\xff]{2}.*DEMO READY`},

	// The module's manners.
	"echo-stays":        {hits: "line", says: `(?s)ATE0\r.*AT\+CSQ\r`, talk: []string{"12", "ATE0", "1", "AT+CSQ", "1"}},
	"numeric-results":   {hits: "line", says: `AT\r0\r`},
	"no-results":        {hits: "line", says: `AT\+CSQ\r\r\n\+CSQ`, never: `OK`, talk: []string{"12", "AT+CSQ", "1"}},
	"sleeps":            {hits: "line", says: `^\r\nDEMO READY\r\nAT\r\r\nOK\r\n$`, talk: []string{"12", "AT", "0.2", "AT", "1"}},
	"breaks-in":         {hits: "line", says: `\+[A-Z]+[^\r\n]*\$GP`},
	"late-prompt":       {hits: "module", proof: func(h hearing) bool { return longestGap(h, true) > 6*time.Second }, talk: after(registered, `AT+CMGS="+12025550143"`, "10", "hello\x1a", "8")},
	"lost-prompt":       {hits: "module", says: `\+CMGS: 0`, never: `\r\n> `, talk: after(registered, `AT+CMGS="+12025550143"`, "10", "hello\x1a", "8")},
	"deaf-after-prompt": {hits: "messages", says: `> \x1a`},
	"slow-answers":      {hits: "line", proof: func(h hearing) bool { return longestGap(h, true) > 4*time.Second }},
	"slow-start":        {hits: "supply", proof: func(h hearing) bool { return len(h.pieces) > 0 && h.pieces[0].At > 30*when.Second }},
	"resets":            {hits: "supply", says: `(?s)DEMO READY.*DEMO READY`, never: `UNDERVOLTAGE`},
	"charset-left":      {hits: "messages", says: `\+CSCS: "UCS2"`},

	// Card.
	"puk-wanted":  {hits: "card", says: `\+CPIN: SIM PUK`},
	"card-dead":   {hits: "card", says: `\+CME ERROR: 13`},
	"card-busy":   {hits: "card", says: `(?s)\+CME ERROR: 14.*\+CPIN: READY`},
	"store-fails": {hits: "messages", says: `\+CMS ERROR: 320`},

	// Network.
	"cellular-antenna-missing": {hits: "network", says: `\+CSQ: (0|99),`},
	"network-switched-off":     {hits: "network", says: `\+CSQ: 99,99`},
	"subscription-ended":       {hits: "network", says: `\+CREG: 3,3,"00C3","0000A1F2",0,0,2\r`, talk: []string{"12", "AT+CREG=3", "1", "AT+CREG?", "1"}},
	"limited-service":          {hits: "network", says: `(?s)\+CSQ: 2\d.*\+CREG: 0,0`},
	"slow-registration":        {hits: "network", proof: func(h hearing) bool { return firstAt(h, "+CREG: 0,1") > 40*when.Second }},
	"roaming":                  {hits: "network", says: `(?s)\+CREG: 0,5.*Heidenetz`},
	"registration-stuck":       {hits: "network", says: `(?s)\+CREG: 0,1.*\+CREG: 0,0.*\+CREG: 0,1`, talk: []string{"12", "AT+CREG?", "20", "AT+CREG?", "60", "AT+CREG?", "1", "AT+COPS=0", "40", "AT+CREG?", "1"}},
	"cells-change":             {hits: "network", says: `(?s)\+CREG: 1,"00C4","0000A217",0.*\+CREG: 1,"00C3","0000A1F2",0`, talk: after(registered, "AT+CREG=2", "30")},
	"deregistered":             {hits: "network", says: `\+COPS: 2\r`, talk: after(registered, "AT+COPS?", "1")},
	"no-network-time":          {hits: "network", says: `\+CCLK: "80/01/06`, talk: after(registered, "AT+CCLK?", "1")},
	"wrong-zone":               {hits: "network", says: `\+CCLK: "26/03/04,12:15:\d\d\+08"`, talk: after(registered, "AT+CCLK?", "1")},

	// Texts.
	"centre-wrong":          {hits: "messages", says: `(?s)\+CSCA: "\+447700900999".*\+CMS ERROR: 38`},
	"centre-refuses":        {hits: "messages", says: `\+CMS ERROR: 21`},
	"quota":                 {hits: "messages", says: `(?s)\+CMGS: 0.*\+CMS ERROR: 28`},
	"texts-late":            {hits: "messages", says: `\+CMGS: 0`, never: `\+CMTI`, talk: after(registered, "AT+CNMI=2,1", "1", `AT+CMGS="`+ownNumber+`"`, "1", "where are you\x1a", "300")},
	"texts-doubled":         {hits: "messages", says: `(?s)\+CMTI: "SM",2.*\+CMTI: "SM",3`, talk: after(registered, "AT+CNMI=2,1", "1", `AT+CMGS="`+ownNumber+`"`, "1", "pump on\x1a", "30")},
	"texts-shuffled":        {hits: "messages", proof: func(h hearing) bool { return !slices.IsSorted(regexp.MustCompile(`part \d`).FindAllString(h.text, -1)) }, talk: after(registered, sixParts()...)},
	"texts-lost":            {hits: "messages", says: `(?s)\+CMGS: 0.*\+CDS: 6,0,"` + regexp.QuoteMeta(ownNumber) + `".*,70\r`, never: `\+CMTI`, talk: reportTalk},
	"reports-failed":        {hits: "messages", says: `\+CDS: .*,70\r`, talk: reportTalk},
	"reports-missing":       {hits: "messages", says: `(?s)\+CMGS: 0.*\+CMTI`, never: `\+CDS`, talk: reportTalk},
	"indications-forgotten": {hits: "messages", says: `(?s)\+CNMI: 2,1,0,0,0.*\+CNMI: 0,0,0,0,0`, talk: []string{"13", "AT+CNMI=2,1", "1", "AT+CNMI?", "20", "AT+CNMI?", "1"}},
	"adverts":               {hits: "messages", says: `\+CMT: "MOORFUNK"`, talk: sitting},
	"flash-texts":           {hits: "messages", says: `\+CMT: "\+447700900321",,"[^"]*",145,4,0,16,`, talk: sitting},
	"foreign-letters":       {hits: "messages", says: `\r\n007700680065007200650020201C`, talk: sitting},
	"long-texts":            {hits: "messages", says: `\r\n050003010201[0-9A-F]+\r\n(?s:.*)\r\n050003010202`, talk: sitting},
	"flood":                 {hits: "messages", says: `\+CMTI: "SM",20\r\n$`, talk: []string{"5", "AT+CNMI=2,1", "100"}},
	"old-texts":             {hits: "messages", says: `\+CMT: "\+447700900321",,"26/03/03,21:`, talk: sitting},

	// Calls and packet data.
	"no-voice":        {hits: "network", says: `\+CLIP: 1,1`, never: `RING`, talk: []string{"12", "AT+CLIP=1", "1", "AT+CLIP?", "60"}},
	"caller-withheld": {hits: "network", says: `(?s)RING.*\+CLIP: "",128`, talk: []string{"5", "AT+CLIP=1", "60"}},
	"caller-missing":  {hits: "network", says: `(?s)RING.*RING`, never: `\+CLIP: `, talk: []string{"5", "AT+CLIP=1", "60"}},
	"calls-repeat":    {hits: "network", says: `(?s)RING.*\+CLIP: "\+447700900321".*(RING.*){5}`, talk: []string{"5", "AT+CLIP=1", "90"}},
	"attach-refused":  {hits: "network", says: `\+CME ERROR: 107`, talk: after(registered, "AT+CGATT=1", "4")},
	"context-refused": {hits: "network", says: `(?s)\+CGATT: 1.*\+CME ERROR: 133`, talk: sessionTalk},
	"context-dropped": {hits: "network", says: `(?s)192\.0\.2\.10.*\+CGEV: NW PDN DEACT 1.*0\.0\.0\.0`, talk: sessionTalk},
	"no-address":      {hits: "network", says: `(?s)\+CGACT: 1,1.*\+CGPADDR: 1,"0\.0\.0\.0"`, talk: sessionTalk},

	// Sky and position.
	"weak-sky":           {hits: "sky", proof: func(h hearing) bool { return strongest(h) > 25 && strongest(h) < 40 }, talk: streaming},
	"half-sky":           {hits: "sky", proof: onlyWest, talk: streaming},
	"jammed":             {hits: "sky", says: `(?s)RMC,[\d.]+,A,.*RMC,[\d.]*,V,`, talk: moving},
	"desensitised":       {hits: "sky", proof: func(h hearing) bool { return dip(h) >= 10 }, talk: after(streaming, "AT+CMGF=1", "1", `AT+CMGS="+12025550143"`, "1", "here\x1a", "10")},
	"shared-radio":       {hits: "sky", says: `(?s)GSV,1,1,00\*.*RMC,[\d.]+,A,`, talk: after(streaming, "AT+CFUN=4", "90", "AT+CFUN=1", "20")},
	"engine-stops":       {hits: "sky", says: `(?s)RMC,[\d.]+,A,.*\+DEMOGNSS: 0`, talk: after(streaming, "AT+DEMOGNSS?", "1")},
	"cold-every-time":    {hits: "fix", proof: func(h hearing) bool { return len(regexp.MustCompile(`RMC,[\d.]*,V,`).FindAllString(h.text, -1)) > 40 }, talk: after(streaming, "AT+DEMOGNSS=0", "2", "AT+DEMOGNSS=1", "40")},
	"leap-seconds":       {hits: "fix", proof: func(h hearing) bool { return clockOff(h) > 1500*time.Millisecond }, talk: streaming},
	"early-date":         {hits: "fix", says: `RMC,0000\d\d\.00,V,,,,,,,060180,`, talk: streaming},
	"no-date":            {hits: "fix", says: `RMC,[\d.]+,A,[^\r]*,,,,A\*`, talk: streaming},
	"reflections":        {hits: "fix", proof: func(h hearing) bool { return scatterM(h) > 25 }, talk: moving},
	"false-signals":      {hits: "fix", proof: func(h hearing) bool { return scatterM(h) > 2000 }, talk: moving},
	"frozen-position":    {hits: "fix", proof: func(h hearing) bool { return stillFor(h) > 60 }, talk: moving},
	"estimated-position": {hits: "fix", says: `RMC,[\d.]+,A,[^\r]*,E\*`, talk: moving},
	"void-filled":        {hits: "fix", says: `RMC,[\d.]+,V,\d{4}\.\d+,N,`, talk: moving},
	"other-talkers":      {hits: "fix", says: `(?s)\$GNRMC.*\$GNGGA`, never: `\$GPRMC`, talk: streaming},
	"too-fast":           {hits: "line", says: `[^\n]\$GP`, talk: streaming},
}

var (
	reportTalk  = after(registered, "AT+CSMP=49,167,0,0;+CNMI=2,1,0,1,0", "1", `AT+CMGS="`+ownNumber+`"`, "1", "are you there\x1a", "30")
	sitting     = []string{"5", "AT+CMGF=1;+CSDH=1;+CNMI=2,2", "60"}
	sessionTalk = after(registered, "AT+CGEREP=2,1", "1", `AT+CGDCONT=1,"IP","moor.example"`, "1", "AT+CGATT=1", "4", "AT+CGATT?", "1", "AT+CGACT=1,1", "4", "AT+CGACT?", "1", "AT+CGPADDR=1", "60", "AT+CGPADDR=1", "1")
)

func sixParts() []string {
	lines := []string{"AT+CNMI=2,2", "1"}
	for n := range 6 {
		lines = append(lines, `AT+CMGS="`+ownNumber+`"`, "1", fmt.Sprintf("part %d\x1a", n+1), "4")
	}
	return append(lines, "120")
}

// TestBeyondCauses plays each of these worlds: the fault must show in what the
// module says, and check or review must not blame a link that is healthy.
func TestBeyondCauses(t *testing.T) {
	for _, e := range world.Builtin() {
		want, listed := beyondCauses[e.Name]
		if !listed {
			continue
		}
		t.Run(e.Name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join(t.TempDir(), "talk.capture")
			var v reviewed
			if want.talk == nil {
				v, _ = runJSON(t, "check", "--world", e.Name, "--capture", file)
			} else {
				holdTalk(t, e.World(), want.talk, file)
				v, _ = runJSON(t, "review", file)
			}
			h := heardIn(t, file)
			if want.says != "" && !regexp.MustCompile(want.says).MatchString(latin(h.text)) {
				t.Errorf("the fault does not show: want %s in\n%s", want.says, end(h.text))
			}
			if want.never != "" && regexp.MustCompile(want.never).MatchString(latin(h.text)) {
				t.Errorf("%s is there:\n%s", want.never, end(h.text))
			}
			if want.proof != nil && !want.proof(h) {
				t.Errorf("the fault does not show:\n%s", end(h.text))
			}
			for _, l := range v.Chain {
				if l.Link == want.hits {
					break
				}
				if l.State == "broken" && l.Link != want.wrongly {
					t.Errorf("the healthy link %s is blamed: %s", l.Link, l.Says)
				}
			}
		})
	}
}

// latin makes each byte one character, so that patterns can speak of bytes.
func latin(s string) string {
	r := make([]rune, len(s))
	for i := range len(s) {
		r[i] = rune(s[i])
	}
	return string(r)
}

func end(s string) string {
	const shown = 3000
	return fmt.Sprintf("%q", s[max(0, len(s)-shown):])
}

// talker is a controller that says its lines at their times.
type talker struct {
	lines []string
	next  when.Instant
}

func (k *talker) Feed(_ when.Instant, _ []byte, out []byte) []byte { return out }

func (k *talker) Tick(now when.Instant, out []byte) []byte {
	for now >= k.next && len(k.lines) > 0 {
		l := k.lines[0]
		k.lines = k.lines[1:]
		if wait, err := strconv.ParseFloat(l, 64); err == nil {
			k.next = now.Add(time.Duration(wait * float64(time.Second)))
			continue
		}
		out = append(out, l...)
		if !strings.HasSuffix(l, "\x1a") {
			out = append(out, '\r')
		}
	}
	return out
}

func (k *talker) Deadline() (when.Instant, string) {
	if k.Done() {
		return when.Never, ""
	}
	return k.next, "the next line"
}

// Done when nothing is left to say; the last wait is waited for.
func (k *talker) Done() bool { return len(k.lines) == 0 }

// holdTalk lets a controller say its lines in a world and keeps what passed.
func holdTalk(t *testing.T, w *world.World, lines []string, file string) {
	t.Helper()
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	info := capture.Info{Kind: "check", Began: w.Start.Format(time.RFC3339), Baud: 9600, Frame: "8N1", TimesKnown: true, DirectionsKnown: true}
	to, err := capture.NewWriter(f, info)
	if err != nil {
		t.Fatal(err)
	}
	m, wire := standIn(w, w.Seed, 9600)
	n := 0
	tap := func(from pump.Side, at when.Instant, b []byte, event string) {
		n++
		if err := to.Write(capture.Record{Number: n, At: at, From: from, Bytes: string(b), Event: event}); err != nil {
			t.Fatal(err)
		}
	}
	// The last line is said when the last wait is over.
	if _, err := pump.Simulate(t.Context(), pump.Limits{}, &talker{lines: append(slices.Clone(lines), "AT")}, m, wire, tap); err != nil {
		t.Fatal(err)
	}
}

func heardIn(t *testing.T, file string) (h hearing) {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	from, err := capture.NewReader(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for {
		r, err := from.Next()
		if err != nil {
			break
		}
		if r.From == capture.Module && r.Bytes != "" {
			h.pieces = append(h.pieces, r)
			all.WriteString(r.Bytes)
		}
	}
	h.text = all.String()
	return h
}

// firstAt is when a text was complete for the first time.
func firstAt(h hearing, text string) when.Instant {
	var all strings.Builder
	for _, p := range h.pieces {
		all.WriteString(p.Bytes)
		if strings.Contains(all.String(), text) {
			return p.At
		}
	}
	return 0
}

// longestGap is the longest pause inside something: inside a line, or (between)
// from an echo to what answers it.
func longestGap(h hearing, between bool) (gap time.Duration) {
	for i := 1; i < len(h.pieces); i++ {
		before := h.pieces[i-1].Bytes
		inside := !strings.HasSuffix(before, "\n") && !strings.HasSuffix(before, "\r") && !strings.HasSuffix(before, "> ")
		if between {
			inside = strings.HasSuffix(before, "\r") || strings.HasPrefix(h.pieces[i].Bytes, "\r\n")
		}
		if inside {
			gap = max(gap, h.pieces[i].At.Sub(h.pieces[i-1].At))
		}
	}
	return gap
}

// sentencesIn cuts what was heard into sentences with their times.
func sentencesIn(h hearing) (lines []string, at []when.Instant) {
	var line strings.Builder
	for _, p := range h.pieces {
		for i := range len(p.Bytes) {
			switch c := p.Bytes[i]; {
			case c == '\n':
				if s := strings.TrimSpace(line.String()); strings.HasPrefix(s, "$") {
					lines, at = append(lines, s), append(at, p.At)
				}
				line.Reset()
			default:
				line.WriteByte(c)
			}
		}
	}
	return lines, at
}

// damaged counts sentences whose checksum does not fit.
func damaged(h hearing) (n int) {
	lines, _ := sentencesIn(h)
	for _, l := range lines {
		body, sum, _ := strings.Cut(strings.TrimPrefix(l, "$"), "*")
		xor := byte(0) // IEC 61162-1: all between "$" and "*"
		for i := range len(body) {
			xor ^= body[i]
		}
		if want, err := strconv.ParseUint(sum, 16, 8); err != nil || byte(want) != xor {
			n++
		}
	}
	return n
}

// levels lists the C/N0 of each group of four of GSV in what was heard, with azimuths.
func levels(h hearing, each func(at when.Instant, azimuth, cn0 int)) {
	lines, at := sentencesIn(h)
	for i, l := range lines {
		body, _, _ := strings.Cut(l, "*")
		f := strings.Split(body, ",")
		if !strings.HasSuffix(f[0], "GSV") {
			continue
		}
		for k := 4; k+3 < len(f); k += 4 {
			azimuth, err1 := strconv.Atoi(f[k+2])
			cn0, err2 := strconv.Atoi(f[k+3])
			if err1 == nil && err2 == nil {
				each(at[i], azimuth, cn0)
			}
		}
	}
}

func strongest(h hearing) (best int) {
	levels(h, func(_ when.Instant, _, cn0 int) { best = max(best, cn0) })
	return best
}

// onlyWest: many satellites, and next to none between 20 and 180 degrees.
func onlyWest(h hearing) bool {
	west, east := 0, 0
	levels(h, func(_ when.Instant, azimuth, _ int) {
		if azimuth > 20 && azimuth < 180 {
			east++
		} else {
			west++
		}
	})
	return west > 100 && east*5 < west
}

// dip is by how much the best level falls below its usual value, for some seconds
// or more, in decibels.
func dip(h hearing) int {
	best := map[when.Instant]int{}
	levels(h, func(at when.Instant, _, cn0 int) {
		second := at / when.Second
		best[second] = max(best[second], cn0)
	})
	highest, lowest := 0, 99
	for _, v := range best {
		highest, lowest = max(highest, v), min(lowest, v)
	}
	return highest - lowest
}

// fixes lists the valid positions of RMC as degrees and minutes, with their times.
func fixes(h hearing, each func(at when.Instant, clock string, lat, lon float64)) {
	lines, at := sentencesIn(h)
	for i, l := range lines {
		f := strings.Split(l, ",")
		if !strings.HasSuffix(f[0], "RMC") || len(f) < 7 || f[2] != "A" {
			continue
		}
		lat, err1 := strconv.ParseFloat(f[3], 64)
		lon, err2 := strconv.ParseFloat(f[5], 64)
		if err1 == nil && err2 == nil {
			each(at[i], f[1], lat, lon)
		}
	}
}

// scatterM is how far apart the positions are in latitude; a minute is 1852 m.
func scatterM(h hearing) float64 {
	least, most := 1e9, -1e9
	fixes(h, func(_ when.Instant, _ string, lat, _ float64) { least, most = min(least, lat), max(most, lat) })
	return (most - least) * 1852
}

// stillFor is how many positions in a row were the same to the last digit.
func stillFor(h hearing) (longest int) {
	n, lastLat, lastLon := 0, 0.0, 0.0
	fixes(h, func(_ when.Instant, _ string, lat, lon float64) {
		if lat == lastLat && lon == lastLon {
			n++
		} else {
			n = 0
		}
		lastLat, lastLon = lat, lon
		longest = max(longest, n)
	})
	return longest
}

// clockOff is by how much the receiver's time was ever wrong: the worlds begin at 10:15:00.
func clockOff(h hearing) (worst time.Duration) {
	fixes(h, func(at when.Instant, clock string, _, _ float64) {
		told, err := time.Parse("150405.00", clock)
		if err != nil {
			return
		}
		really := time.Date(0, 1, 1, 10, 15, 0, 0, time.UTC).Add(time.Duration(at))
		worst = max(worst, told.Sub(really).Abs())
	})
	return worst
}
