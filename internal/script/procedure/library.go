package procedure

import (
	"embed"
	"slices"
)

// library holds the ready procedures. Each is held on the stand-in by a test in cmd/firstfix.
//
//go:embed library/*.yaml
var library embed.FS

// readyMade names them in the order of the job.
var readyMade = []string{
	"wake", "card-and-network", "first-fix", "text-with-delivery-report", "report-loop", "recovery-ladder", "store-housekeeping",
}

// Library returns the names of the ready procedures, in the order of the job.
func Library() []string { return slices.Clone(readyMade) }

// Ready returns the ready procedure of that name.
func Ready(name string) (*Procedure, bool) {
	if !slices.Contains(readyMade, name) {
		return nil, false
	}
	p, err := Load(name+".yaml", source(name))
	if err != nil {
		panic("procedure: " + name + " does not load: " + err.Error())
	}
	return p, true
}

// Source returns the file of a ready procedure; false when there is none.
func Source(name string) ([]byte, bool) {
	if !slices.Contains(readyMade, name) {
		return nil, false
	}
	return source(name), true
}

func source(name string) []byte {
	src, err := library.ReadFile("library/" + name + ".yaml")
	if err != nil {
		panic("procedure: " + name + " is not embedded: " + err.Error())
	}
	return src
}
