package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/spf13/cobra"
)

// TestMain lets the test binary be the command itself, so that the scripts run
// what people run.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"firstfix": func() {
			os.Exit(run(os.Args[1:], &streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
		},
	})
}

// TestScripts runs one script per command: testdata/<command>.txtar.
func TestScripts(t *testing.T) {
	top, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("EXAMPLES", filepath.Join(top, "examples"))
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			// fits FILE SCHEMA holds a JSON file against a schema of docs/formats.
			"fits": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) != 2 {
					ts.Fatalf("usage: fits FILE SCHEMA")
				}
				schema, err := jsonschema.NewCompiler().Compile(filepath.Join(top, "docs/formats", args[1]))
				ts.Check(err)
				instance, err := jsonschema.UnmarshalJSON(strings.NewReader(ts.ReadFile(args[0])))
				ts.Check(err)
				ts.Check(schema.Validate(instance))
			},
			// status N COMMAND ARG… runs a command and wants exactly that exit status.
			"status": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) < 2 {
					ts.Fatalf("usage: status N COMMAND ARG...")
				}
				err := ts.Exec(args[1], args[2:]...)
				got := "0"
				if err != nil {
					_, after, found := strings.Cut(err.Error(), "exit status ")
					if !found {
						ts.Fatalf("%v", err)
					}
					got = after
				}
				if got != args[0] {
					ts.Fatalf("exit status %s, want %s", got, args[0])
				}
			},
		},
	})
}

// TestEveryCommandHasAScript compares the list of commands with testdata.
func TestEveryCommandHasAScript(t *testing.T) {
	for _, c := range rootCommand(&streams{}).Commands() {
		if c.Name() == "help" || c.Name() == "completion" {
			continue
		}
		if _, err := os.Stat(filepath.Join("testdata", c.Name()+".txtar")); err != nil {
			t.Errorf("command %s has no script: %v", c.Name(), err)
		}
	}
}

// TestEveryCommandHelps: each command says in one line and at length what it is
// for, and its help ends well.
func TestEveryCommandHelps(t *testing.T) {
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		if c.Short == "" || strings.HasSuffix(c.Short, ".") || c.Short[0] >= 'A' && c.Short[0] <= 'Z' {
			t.Errorf("%s: the short help %q should be small letters without a full stop", c.CommandPath(), c.Short)
		}
		for _, under := range c.Commands() {
			if under.Name() != "help" && under.Name() != "completion" {
				walk(under)
			}
		}
	}
	root := rootCommand(&streams{})
	walk(root)
	var out, errs bytes.Buffer
	if status := run([]string{"--help"}, &streams{Out: &out, Err: &errs}); status != 0 || errs.Len() > 0 {
		t.Errorf("--help ended with %d and said %q", status, errs.String())
	}
}

func TestNearHints(t *testing.T) {
	known := []string{"overlap", "smsprompt", "lineend"}
	if got := nearHints("smsprompd", known, "all"); len(got) != 2 || got[0] != "the nearest is smsprompt" {
		t.Errorf("hints %q", got)
	}
	if got := nearHints("zzzz", known, "all"); len(got) != 1 || got[0] != "all" {
		t.Errorf("hints %q", got)
	}
}
