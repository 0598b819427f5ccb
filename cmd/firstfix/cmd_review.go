package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"firstfix/internal/judge/bringup"
	"firstfix/internal/judge/rules"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/talk/capture"
	"firstfix/internal/talk/intake"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const reviewHelp = `
Judge a recording of a line and say what is wrong in it, why, and what to do.

Any recording will do: a capture file, a pasted terminal window without times or
directions, a log with time stamps, raw GNSS sentences; two files with one
direction each go with --controller and --module. What had to be assumed is said.
"-" reads standard input. The recording is only read.

Numbers, identities and texts are replaced in the output by placeholders, the
same for the same number, unless --show-private is given.

What you see and measure beside the recording counts as well: --saw lamp=fast tells
it, --ask asks for it, one measurement after the other, and weighs the causes anew.

With a recording of a unit that works, --against says where this one parts from it: in
meaning, settings, order and timing.`

// reviewOptions are the flags of review.
type reviewOptions struct {
	output     outputOptions
	observe    observeOptions
	against    string
	only       []string
	kind       string
	controller string
	module     string
}

func (o *reviewOptions) flags(f *pflag.FlagSet) {
	o.output.flags(f)
	o.observe.flags(f)
	f.StringSliceVar(&o.only, "only", nil, "apply only these rules, by name")
	f.StringVar(&o.against, "against", "", "file with a dialogue that worked: say where this one parts from it")
	f.StringVar(&o.kind, "kind", "", "say what the file is instead of letting it be found out: capture, stamped, window, nmea, talk")
	f.StringVar(&o.controller, "controller", "", "file with what the controller sent")
	f.StringVar(&o.module, "module", "", "file with what the module sent")
}

// reviewCommand judges recordings: `firstfix review FILE…`.
func reviewCommand(s *streams) *cobra.Command {
	var opts reviewOptions
	c := &cobra.Command{
		Use:   "review FILE...",
		Short: "say what is wrong in a recorded dialogue",
		Long:  exits(reviewHelp, exit{statusFound, "something was found"}, exit{statusCannot, "the input could not be read"}),
		Example: `  firstfix review yesterday.txt
  firstfix review yesterday.txt --report verdict.html
  firstfix review yesterday.txt --ask
  firstfix review today.txt --against when-it-worked.txt
  firstfix review --controller sent.log --module received.log
  firstfix review night.capture --only smsprompt,overlap --json`,
		RunE: func(_ *cobra.Command, files []string) error { return runReview(s, opts, files) },
	}
	opts.flags(c.Flags())
	return c
}

func runReview(s *streams, o reviewOptions, files []string) error {
	chosen := rules.All
	if len(o.only) > 0 {
		var err error
		if chosen, err = chooseRules(o.only); err != nil {
			return err
		}
	}
	pair := o.controller != "" || o.module != ""
	switch {
	case pair && (o.controller == "" || o.module == "" || len(files) > 0):
		return &stop{Status: statusCannot, Err: errors.New("--controller and --module go together, without other files")}
	case !pair && len(files) == 0:
		return &stop{Status: statusCannot, Err: errors.New("no file was given"),
			Hints: []string{"firstfix review yesterday.txt", "firstfix check needs no file: it asks a module, or the built-in stand-in"}}
	case o.output.report != "" && len(files) > 1:
		return &stop{Status: statusCannot, Err: errors.New("--report writes one page for one recording"), Hints: []string{"review the files one by one"}}
	}
	if pair {
		files = []string{o.controller + " and " + o.module}
	}
	if o.observe.ask && (len(files) > 1 || slices.Contains(files, "-")) {
		return &stop{Status: statusCannot, Err: errors.New("--ask is for one recording, and reads the answers from standard input"), Hints: []string{"review the files one by one"}}
	}
	saw, err := o.observe.read()
	if err != nil {
		return err
	}
	options := bringup.Options{Rules: chosen, Saw: saw}
	if o.against != "" {
		if options.Against, err = readGood(s, o); err != nil {
			return err
		}
	}
	status := statusFine
	for i, name := range files {
		v, err := reviewOne(s, o, name, options)
		if v == nil {
			return err
		}
		if i > 0 && !o.output.json {
			fmt.Fprintf(s.Out, "\n%s\n\n", separator)
		}
		if err := o.output.write(s, v); err != nil {
			return err
		}
		if err != nil {
			// What could be read was judged and shown; say what could not.
			return &stop{Status: statusCannot, Err: err}
		}
		if failed(v) {
			status = statusFound
		}
	}
	if status != statusFine {
		return &stop{Status: status}
	}
	return nil
}

// readGood reads the dialogue that worked.
func readGood(s *streams, o reviewOptions) (*bringup.Good, error) {
	name := o.against
	o.controller, o.module = "", ""
	src, close, err := openRecording(s, o, name)
	if err != nil {
		return nil, unreadable(err)
	}
	defer close()
	good, err := bringup.ReadGood(src, bringup.Options{Input: name})
	if err != nil {
		return nil, &stop{Status: statusCannot, Err: err}
	}
	return good, nil
}

func reviewOne(s *streams, o reviewOptions, name string, options bringup.Options) (*verdict.Verdict, error) {
	src, close, err := openRecording(s, o, name)
	if err != nil {
		return nil, unreadable(err)
	}
	defer close()
	options.Input = name
	r := bringup.NewReviewer(src.Info(), nil, options)
	v, err := r.Read(src)
	if o.observe.ask {
		s.interview(r, v, options.Saw)
	}
	return v, err
}

// unreadable says why a recording cannot be read, and what would help.
func unreadable(err error) error {
	var no *intake.Unreadable
	if errors.As(err, &no) {
		return &stop{Status: statusCannot, Err: err, Hints: hintsOf(no.Hint)}
	}
	return &stop{Status: statusCannot, Err: err}
}

func hintsOf(hint string) []string {
	if hint == "" {
		return nil
	}
	return []string{hint}
}

// openRecording opens one file, standard input, or a pair of files.
func openRecording(s *streams, o reviewOptions, name string) (src capture.Source, close func(), err error) {
	if o.controller != "" {
		var files [2]*os.File
		for i, one := range []string{o.controller, o.module} {
			if files[i], err = openFile(one); err != nil {
				return nil, nil, err
			}
		}
		close = func() { files[0].Close(); files[1].Close() }
		src, err = intake.OpenPair(files[0], files[1], intake.Options{Kind: o.kind})
		return src, close, err
	}
	if name == "-" {
		src, err = intake.Open(s.In, "standard input", intake.Options{Kind: o.kind})
		return src, func() {}, err
	}
	f, err := openFile(name)
	if err != nil {
		return nil, nil, err
	}
	src, err = intake.Open(f, name, intake.Options{Kind: o.kind})
	return src, func() { f.Close() }, err
}

func openFile(name string) (*os.File, error) {
	f, err := os.Open(name)
	if err != nil {
		var lost *fs.PathError
		if errors.As(err, &lost) {
			return nil, fmt.Errorf("open the recording %s: %w", name, lost.Err)
		}
		return nil, err
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, fmt.Errorf("%s is a folder; name the files in it", name)
	}
	return f, nil
}
