package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"
)

// streams are the three streams of a command.
type streams struct {
	In  io.Reader
	Out io.Writer
	Err io.Writer
}

// Colour says whether out is a terminal that wants colour.
func (s *streams) Colour() bool {
	if os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb" {
		return false
	}
	f, ok := s.Out.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// The exit statuses, the same for every command.
const (
	statusFine   = 0 // nothing wrong
	statusFound  = 1 // something was found, or a check failed
	statusCannot = 2 // the request cannot be carried out: usage, unreadable input
	statusLine   = 3 // the line failed
)

// stop ends a command with a status. With a nil Err it ends quietly: the
// command has already said what there is to say.
type stop struct {
	Status int
	Err    error
	Hints  []string // what to try, a command or a sentence each
}

func (e *stop) Error() string {
	if e.Err == nil {
		return fmt.Sprintf("status %d", e.Status)
	}
	return e.Err.Error()
}

func (e *stop) Unwrap() error { return e.Err }

// outcome turns a command's error into its status and the words for the person.
func outcome(err error) (status int, report string) {
	if err == nil {
		return statusFine, ""
	}
	var s *stop
	if !errors.As(err, &s) {
		// Cobra's own errors: an unknown command, a wrong number of arguments.
		s = &stop{Status: statusCannot, Err: err, Hints: []string{"firstfix --help lists the commands"}}
	}
	if s.Err == nil {
		return s.Status, ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "firstfix: %v\n", s.Err)
	for _, h := range s.Hints {
		fmt.Fprintf(&b, "  hint: %s\n", h)
	}
	return s.Status, b.String()
}

// exit is one line of a command's table of exit statuses.
type exit struct {
	Status int
	Means  string
}

// exits appends the table of exit statuses to a command's long help.
func exits(long string, table ...exit) string {
	var b strings.Builder
	b.WriteString(strings.TrimSpace(long))
	b.WriteString("\n\nExit status:\n  0  nothing wrong\n")
	for _, e := range table {
		fmt.Fprintf(&b, "  %d  %s\n", e.Status, e.Means)
	}
	return strings.TrimRight(b.String(), "\n")
}

// group makes a command that only holds others.
func group(use, short, long string, under ...*cobra.Command) *cobra.Command {
	c := &cobra.Command{Use: use, Short: short, Long: strings.TrimSpace(long), Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() }}
	c.AddCommand(under...)
	return c
}
