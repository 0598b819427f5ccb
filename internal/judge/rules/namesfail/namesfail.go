// Package namesfail reports that servers are found by address and not by name.
package namesfail

import (
	"slices"
	"strings"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/rulebook"
	"firstfix/internal/talk/dialogue"
	"firstfix/internal/wire/at"
)

// Rule is listed in judge/rules.
var Rule = &rulebook.Rule{
	Name:     "namesfail",
	Title:    "a server is reached by its address and not by its name",
	Severity: finding.Warning,
	Cites:    []string{"RFC 1035, 4.2.1 (names are asked for over port 53; from memory)", "common practice, no source (private access points without name service)"},
	Doc: `
Opening a connection to 192.0.2.7 works, to ring.example it fails: the session is fine and names are not resolved. Some access points,
private ones most of all, offer no name service, or only their own; some modules want its address set by hand. A fixed address in the
firmware works until the server moves.`,
	Silent: `
A name worked once; no address was tried; the command is one that the standards know.`,
	Remedy: `Ask the operator for the name service of this access point and set it in the module, or let the server's address be set from afar.`,
	Watch:  watch,
}

const kept = 4 // commands that open connections

type opened struct {
	command string
	name    *dialogue.Exchange // a name that failed
	number  *dialogue.Exchange // an address that worked
	settled bool
}

func watch(p *rulebook.Pass) {
	var list [kept]opened
	p.OnAnswered(func(x *dialogue.Exchange) {
		if len(x.Parsed.Commands) != 1 || x.Outcome != dialogue.Finished {
			return
		}
		c := &x.Parsed.Commands[0]
		if _, known := at.Lookup(c.Name); known || c.Form != at.Set {
			return
		}
		i := slices.IndexFunc(c.Params, func(v at.Param) bool { return v.Quoted && host(v.Text) })
		if i < 0 {
			return
		}
		k := slices.IndexFunc(list[:], func(o opened) bool { return o.command == c.Name || o.command == "" })
		if k < 0 {
			return
		}
		o := &list[k]
		o.command = c.Name
		worked := x.Result.Kind == at.OK || x.Result.Kind == at.Connect
		switch numeric := strings.Trim(c.Params[i].Text, "0123456789.") == ""; {
		case numeric && worked:
			o.number = x
		case !numeric && worked:
			o.settled = true
		case !numeric && x.Result.Failed():
			o.name = x
		}
		if o.settled || o.name == nil || o.number == nil {
			return
		}
		o.settled = true
		p.Report("a connection by name failed with "+rulebook.Failure(o.name.Result)+", and one by address works", p.See(o.name.Command, "by name"), p.See(o.name.Final, "fails"), p.See(o.number.Command, "by address: works"))
	})
}

// host: a name with a dot in it, or an address of four numbers.
func host(s string) bool {
	if strings.ContainsAny(s, " /@:,") || len(s) < 4 || len(s) > 253 {
		return false
	}
	first, _, dotted := strings.Cut(s, ".")
	return dotted && first != "" && !strings.HasSuffix(s, ".")
}
