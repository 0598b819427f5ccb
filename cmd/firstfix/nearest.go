package main

import "firstfix/internal/yamlfile"

// nearHints are the hints for a name that is not known: the nearest one that is, if any
// is near, and then what else helps.
func nearHints(name string, known []string, more ...string) []string {
	if near := yamlfile.Nearest(name, known); near != "" {
		return append([]string{"the nearest is " + near}, more...)
	}
	return more
}
