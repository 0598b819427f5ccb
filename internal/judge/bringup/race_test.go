//go:build race

package bringup_test

const raceDetector = true
