package sheet

import "firstfix/internal/yamlfile"

// Decode, Nearest, Problem and File are those of yamlfile, where they moved to.
func Decode(name string, src []byte, into any) *yamlfile.File {
	return yamlfile.Decode(name, src, into)
}

// Nearest is [yamlfile.Nearest].
func Nearest(word string, names []string) string { return yamlfile.Nearest(word, names) }

// The types of yamlfile.
type (
	Problem = yamlfile.Problem
	File    = yamlfile.File
)
