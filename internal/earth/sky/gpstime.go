package sky

import (
	"math"
	"time"
)

// gpsEpoch is when GPS week 0 began: IS-GPS-200, 3.3.4.
var gpsEpoch = time.Date(1980, 1, 6, 0, 0, 0, 0, time.UTC)

const weekS = 7 * 86400

// leaps are the instants in UTC from which GPS time is so many seconds ahead. The row of 2017 is
// in IS-GPS-200's companion notices; the others are from memory (IERS Bulletin C).
var leaps = [...]struct {
	year    int
	month   time.Month
	seconds int
}{
	{1981, time.July, 1}, {1982, time.July, 2}, {1983, time.July, 3}, {1985, time.July, 4},
	{1988, time.January, 5}, {1990, time.January, 6}, {1991, time.January, 7}, {1992, time.July, 8},
	{1993, time.July, 9}, {1994, time.July, 10}, {1996, time.January, 11}, {1997, time.July, 12},
	{1999, time.January, 13}, {2006, time.January, 14}, {2009, time.January, 15}, {2012, time.July, 16},
	{2015, time.July, 17}, {2017, time.January, 18},
}

// LeapSeconds is by how much GPS time is ahead of UTC. After the last row it stays 18: no
// further leap second has been announced that we know of.
func LeapSeconds(utc time.Time) int {
	for i := len(leaps) - 1; i >= 0; i-- {
		l := &leaps[i]
		if !utc.Before(time.Date(l.year, l.month, 1, 0, 0, 0, 0, time.UTC)) {
			return l.seconds
		}
	}
	return 0
}

// GPSTime returns the week, counted on from 1980 without ever beginning again, and the time in it.
func GPSTime(utc time.Time) (week int, ofWeek time.Duration) {
	since := utc.Sub(gpsEpoch) + time.Duration(LeapSeconds(utc))*time.Second
	week = int(since / (weekS * time.Second))
	if ofWeek = since - time.Duration(week)*weekS*time.Second; ofWeek < 0 {
		week, ofWeek = week-1, ofWeek+weekS*time.Second
	}
	return week, ofWeek
}

// FromGPSTime is the way back. The week must be counted on from 1980, see [FullWeek].
func FromGPSTime(week int, ofWeek time.Duration) time.Time {
	gps := gpsEpoch.Add(time.Duration(week)*weekS*time.Second + ofWeek)
	utc := gps
	for range 2 { // the leap seconds are told in UTC
		utc = gps.Add(-time.Duration(LeapSeconds(utc)) * time.Second)
	}
	return utc
}

// RoundWeeks is after how many weeks the number in the legacy message begins again: ten bits,
// IS-GPS-200, 20.3.3.3.1.1.
const RoundWeeks = 1024

// FullWeek is the week, counted on from 1980, that ends in the ten bits short and is
// nearest to a date. It is never before week 0.
func FullWeek(short int, near time.Time) int {
	now, _ := GPSTime(near)
	round := math.Round(float64(now-short) / RoundWeeks)
	return short + RoundWeeks*max(0, int(round))
}
