package main

import "github.com/spf13/cobra"

// planners lists the calculators, in the order of the job.
var planners = []func(*streams) *cobra.Command{
	planReportingCommand,
}

// planCommand works things out on paper: `firstfix plan reporting …`.
func planCommand(s *streams) *cobra.Command {
	c := group("plan", "work out on paper whether it will do", "Budgets, before anything is built or while it is tuned.")
	for _, make := range planners {
		c.AddCommand(make(s))
	}
	return c
}
