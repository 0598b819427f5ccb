package dialogue_test

import (
	"fmt"
	"strings"
	"testing"

	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/when"
)

func bench(b *testing.B, records []capture.Record) {
	total := int64(0)
	for _, r := range records {
		total += int64(len(r.Bytes))
	}
	b.SetBytes(total)
	b.ReportAllocs()
	var out []dialogue.Event
	for b.Loop() {
		a := dialogue.New()
		for _, r := range records {
			out = a.Feed(r, out[:0])
		}
		out = a.End(out[:0])
	}
}

// anHour is an hour of a tracker: three sentences and a signal query each second, a text
// every five minutes. pieces: how the module's bytes are cut.
func anHour(cut func(s string) []string) []capture.Record {
	var out []capture.Record
	add := func(at when.Instant, from capture.Direction, bytes string) {
		for _, piece := range cut(bytes) {
			out = append(out, capture.Record{Number: len(out) + 1, At: at, From: from, Bytes: piece})
		}
	}
	for s := range 3600 {
		at := when.Instant(s) * when.Second
		clock := fmt.Sprintf("%02d%02d%02d.00", 10+s/3600, s/60%60, s%60)
		add(at, capture.Module, "$GPRMC,"+clock+",A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F\r\n")
		add(at+20*when.Millisecond, capture.Module, "$GPGGA,"+clock+",5142.61260,N,00018.44160,W,1,08,1.01,61.3,M,45.2,M,,*41\r\n")
		add(at+40*when.Millisecond, capture.Module, "$GPGSV,3,1,11,05,62,110,44,13,48,250,41,15,30,301,38,20,22,045,33*76\r\n")
		add(at+500*when.Millisecond, capture.Controller, "AT+CSQ\r")
		add(at+510*when.Millisecond, capture.Module, "\r\n+CSQ: 17,0\r\n\r\nOK\r\n")
		if s%300 == 7 {
			add(at+600*when.Millisecond, capture.Controller, "AT+CMGS=\"+12025550143\"\r")
			add(at+620*when.Millisecond, capture.Module, "\r\n> ")
			add(at+700*when.Millisecond, capture.Controller, "Trailer 07 at 51.71021,-0.30736\x1a")
			add(at+900*when.Millisecond, capture.Module, "\r\n+CMGS: 12\r\n\r\nOK\r\n")
		}
	}
	return out
}

func whole(s string) []string { return []string{s} }

// Enough: 100 MB/s: a day at 115200 bit/s is 1 GB, and assembling it may take the
// most of the 10 s of a review.
func BenchmarkSentences(b *testing.B) {
	var records []capture.Record
	for i := range 10000 {
		records = append(records, capture.Record{Number: i + 1, At: when.Instant(i) * 20 * when.Millisecond, From: capture.Module,
			Bytes: "$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F\r\n"})
	}
	bench(b, records)
}

// Enough: 100 MB/s, for sentences that come in blocks, as a fast line gives them.
func BenchmarkSentenceBlocks(b *testing.B) {
	var records []capture.Record
	block := strings.Repeat("$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F\r\n", 61)[:4096]
	for i := range 500 {
		records = append(records, capture.Record{Number: i + 1, At: when.Instant(i) * 200 * when.Millisecond, From: capture.Module, Bytes: block})
	}
	bench(b, records)
}

// Enough: an hour of talk in 10 ms.
func BenchmarkHour(b *testing.B) { bench(b, anHour(whole)) }

// Enough: an hour of talk in 200 ms when every byte comes alone, as a slow line gives them.
func BenchmarkHourByteByByte(b *testing.B) {
	bench(b, anHour(func(s string) []string { return strings.Split(s, "") }))
}
