package world

import (
	"firstfix/internal/yamlfile"
)

// Problem is one thing wrong with a world: where, what was there, what would fit.
type Problem = yamlfile.Problem

// Problems is the error of [Load]: all that is wrong, in the order of the file.
type Problems = yamlfile.Problems

// Load reads a world. name is used in messages only. What a file leaves out is
// as in [Default]. The error is [Problems]: every unknown key with the nearest
// known one, every value that does not fit, each with line and column.
func Load(name string, src []byte) (*World, error) {
	w := &World{Conditions: Default(), Seed: 1}
	f := yamlfile.Decode(name, src, w)
	if err := f.Err(); err != nil {
		return nil, err
	}
	w.read = f
	if problems := w.Validate(); len(problems) > 0 {
		return nil, problems
	}
	return w, nil
}
