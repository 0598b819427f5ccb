// Package tidy holds the rules of the house as tests: who may import whom,
// what pure code must not touch, lists that must equal their folders.
// It has no code of its own; read tidy_test.go and layers.txt.
package tidy
