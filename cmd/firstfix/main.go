// Command firstfix is a bench for bringing up a cellular and GNSS module: it
// walks the chain from supply to report, judges captured dialogues, explains
// lines, and plays the module.
//
// This file is wiring only: streams, signals, the list of commands, and the
// one place where an error becomes an exit status.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"
)

// commands lists every command, in the order of the job.
var commands = []func(*streams) *cobra.Command{
	checkCommand,
	driveCommand,
	listenCommand,
	reviewCommand,
	explainCommand,
	messageCommand,
	trackCommand,
	standinCommand,
	fixCommand,
	planCommand,
	skyCommand,
	sheetCommand,
	worldCommand,
	rulesCommand,
	causesCommand,
	scoreCommand,
}

func main() {
	os.Exit(run(os.Args[1:], &streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
}

// run is main without the process: the tests call it.
func run(args []string, s *streams) int {
	ctx, stopSignals := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stopSignals()

	root := rootCommand(s)
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	status, report := outcome(err)
	if report != "" {
		fmt.Fprint(s.Err, report)
	}
	return status
}

func rootCommand(s *streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "firstfix",
		Short: "a bench for bringing up a cellular and GNSS module",
		Long: `firstfix brings a cellular and GNSS module to life beside its controller: it walks
the chain from supply to report, says which link is broken and why, and names
the next measurement. It judges any log you have, explains any line, and plays
the module when there is no hardware.`,
		Example: `  firstfix check                              the built-in stand-in, healthy
  firstfix check --world antennas-swapped     a fault is planted; see it found
  firstfix check --port /dev/ttyUSB0          your module
  firstfix review yesterday.txt               what went wrong in a pasted window
  firstfix explain 'AT+CSMP=17,167,0,8'       one line in plain words`,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.NoArgs,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetIn(s.In)
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return &stop{Status: statusCannot, Err: err, Hints: []string{c.CommandPath() + " --help lists what it takes"}}
	})
	for _, make := range commands {
		root.AddCommand(make(s))
	}
	return root
}
