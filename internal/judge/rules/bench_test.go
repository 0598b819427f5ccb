package rules

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/capture"
)

// hour is an hour of a tracker's line: one set of sentences a second, a look at
// signal and registration every ten seconds, a text and its answer every ten
// minutes. The seed is fixed: the same hour each time.
func hour() (records []capture.Record, bytes int64) {
	chance := rand.New(rand.NewPCG(7, 2026))
	var now time.Duration // since the line began
	add := func(from capture.Direction, text string) {
		r := capture.Record{Number: len(records) + 1, From: from, Bytes: text}
		r.At = r.At.Add(now)
		records = append(records, r)
		bytes += int64(len(text))
	}
	sum := func(body string) string {
		var c byte
		for i := range len(body) {
			c ^= body[i]
		}
		return fmt.Sprintf("$%s*%02X\r\n", body, c)
	}
	ask := func(command, answer string) {
		now += 200 * time.Millisecond
		add(capture.Controller, command+"\r")
		now += 30 * time.Millisecond
		add(capture.Module, "\r\n"+answer+"\r\n")
	}
	for _, set := range []string{"ATE0", "AT+CMEE=1", "AT+CMGF=1", `AT+CSCS="GSM"`, "AT+CSMP=49,167,0,0", "AT+CNMI=2,1,0,1,0"} {
		ask(set, "OK")
	}
	for second := range 3600 {
		now = time.Duration(second+10) * time.Second
		clock := fmt.Sprintf("%02d%02d%02d.00", 10+second/3600, second/60%60, second%60)
		lat, lon := 18.44120+chance.Float64()*2e-4, 37.22900+chance.Float64()*2e-4
		place := fmt.Sprintf("52%08.5f,N,008%08.5f,E", lat, lon)
		add(capture.Module, sum("GNRMC,"+clock+",A,"+place+",0.0,,040326,,,A"))
		add(capture.Module, sum("GNGGA,"+clock+","+place+",1,08,1.1,61.3,M,45.2,M,,"))
		add(capture.Module, sum("GNGSA,A,3,02,05,12,18,25,29,31,06,,,,,2.0,1.1,1.6"))
		add(capture.Module, sum(fmt.Sprintf("GPGSV,2,1,08,02,71,118,%d,05,38,254,41,12,22,043,37,18,55,301,44", 40+chance.IntN(6))))
		add(capture.Module, sum("GPGSV,2,2,08,25,64,067,45,29,19,190,35,31,12,330,33,06,30,160,40"))
		add(capture.Module, sum("GNVTG,,T,,M,0.0,N,0.0,K,A"))
		if second%10 == 0 {
			ask("AT+CSQ", fmt.Sprintf("+CSQ: %d,0\r\n\r\nOK", 15+chance.IntN(6)))
			ask("AT+CREG?", "+CREG: 0,1\r\n\r\nOK")
		}
		if second%600 == 599 {
			add(capture.Module, fmt.Sprintf("\r\n+CMT: \"+447700900123\",,\"26/03/04,%02d:%02d:%02d+00\"\r\nWHERE\r\n", 10+second/3600, second/60%60, second%60))
			ask(`AT+CMGS="+447700900123"`, "> ")
			add(capture.Controller, fmt.Sprintf("T07 %.6f,%.6f\x1a", 52+lat/60, 8+lon/60))
			now += 300 * time.Millisecond
			add(capture.Module, "\r\n+CMGS: 4\r\n\r\nOK\r\n")
		}
	}
	return records, bytes
}

// Enough: 100 MB/s through all rules, so that a day of a line at 115200 bit/s
// (1 GB of log) takes 10 s on one core.
func BenchmarkAllRulesHour(b *testing.B) {
	records, bytes := hour()
	b.SetBytes(bytes)
	b.ReportAllocs()
	for b.Loop() {
		j := rulebook.NewJudge(All, capture.Info{Kind: "capture", TimesKnown: true, DirectionsKnown: true}, rulebook.Options{PlacesPerRule: 20})
		for _, r := range records {
			j.Feed(r)
		}
		j.End()
	}
}

// Enough: the same without rules shows what dialogue, epochs and the witness cost.
func BenchmarkNoRulesHour(b *testing.B) {
	records, bytes := hour()
	b.SetBytes(bytes)
	b.ReportAllocs()
	for b.Loop() {
		j := rulebook.NewJudge(nil, capture.Info{Kind: "capture", TimesKnown: true, DirectionsKnown: true}, rulebook.Options{})
		for _, r := range records {
			j.Feed(r)
		}
		j.End()
	}
}

// Enough: 10 µs for an exchange, so that a page with 100,000 of them is judged
// in a second.
func BenchmarkAllRulesTalk(b *testing.B) {
	records, _ := hour()
	var talk []capture.Record
	var bytes int64
	exchanges := 0
	for _, r := range records {
		if r.Bytes[0] == '$' {
			continue
		}
		talk = append(talk, r)
		bytes += int64(len(r.Bytes))
		if strings.HasPrefix(r.Bytes, "AT") {
			exchanges++
		}
	}
	b.SetBytes(bytes)
	b.ReportAllocs()
	for b.Loop() {
		j := rulebook.NewJudge(All, capture.Info{Kind: "capture", TimesKnown: true, DirectionsKnown: true}, rulebook.Options{PlacesPerRule: 20})
		for _, r := range talk {
			j.Feed(r)
		}
		j.End()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(exchanges*b.N), "ns/exchange")
}

// TestTheHourIsHealthy: a benchmark that spends its time on findings measures nothing.
func TestTheHourIsHealthy(t *testing.T) {
	records, _ := hour()
	for _, f := range judge(All, capture.Info{Kind: "capture", TimesKnown: true, DirectionsKnown: true}, records) {
		t.Errorf("%s: %s (%q)", f.Rule, f.Message, f.Evidence[0].Text)
	}
}
