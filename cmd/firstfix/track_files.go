package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"firstfix/internal/earth/track"
	"firstfix/internal/earth/trackfile"
	"firstfix/internal/earth/trackmap"
)

// trackOutput is one file that is written.
type trackOutput struct {
	name    string
	title   string
	file    *os.File // nil: standard output
	w       trackfile.Writer
	written int
}

// openFiles begins the files that are written.
func (r *trackRun) openFiles() error {
	for _, f := range trackfile.Formats {
		name := *r.o.files[f.Name]
		if name == "" {
			continue
		}
		out, err := r.create(name, f.Title)
		if err != nil {
			return err
		}
		out.w = f.New(out.under(r.s), r.title)
		r.writers = append(r.writers, out)
	}
	if r.o.apart != "" {
		out, err := r.create(r.o.apart, "a table of what was set apart")
		if err != nil {
			return err
		}
		out.w = trackfile.NewApart(out.under(r.s))
		r.apart = out
	}
	for _, name := range [2]string{r.o.svg, r.o.report} {
		if name == "-" {
			if err := r.standardOutput(); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *trackRun) standardOutput() error {
	if !r.toPage || r.o.json {
		return cannot(errors.New("only one thing can go to standard output"))
	}
	r.toPage = false
	return nil
}

func (r *trackRun) create(name, title string) (*trackOutput, error) {
	if name == "-" {
		return &trackOutput{name: "standard output", title: title}, r.standardOutput()
	}
	f, err := createBeside(name)
	if err != nil {
		r.closeFiles()
		return nil, cannot(fmt.Errorf("write the track: %w", err))
	}
	return &trackOutput{name: name, title: title, file: f}, nil
}

// createBeside opens a new file beside the one named, which it replaces only when it is
// complete: the name may be that of a file that is read. What is no plain file is written at once.
func createBeside(name string) (*os.File, error) {
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		return os.OpenFile(name, os.O_WRONLY, 0)
	}
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return nil, err
	}
	const usual = 0o644
	if err := f.Chmod(usual); err != nil {
		f.Close()
		os.Remove(f.Name())
		return nil, err
	}
	return f, nil
}

// done closes a complete file and gives it its name.
func (t *trackOutput) done() error {
	f := t.file
	if f == nil {
		return nil
	}
	t.file = nil
	if err := f.Close(); err != nil {
		return err
	}
	if f.Name() == t.name {
		return nil
	}
	return os.Rename(f.Name(), t.name)
}

func (t *trackOutput) under(s *streams) io.Writer {
	if t.file == nil {
		return s.Out
	}
	return t.file
}

// closeFiles gives up the files that are not complete.
func (r *trackRun) closeFiles() {
	for _, t := range append(r.writers[:len(r.writers):len(r.writers)], r.apart) {
		if t != nil && t.file != nil {
			t.file.Close()
			if t.file.Name() != t.name {
				os.Remove(t.file.Name())
			}
			t.file = nil
		}
	}
}

func (t *trackOutput) write(j *track.Judged) error {
	t.written++
	if err := t.w.Write(j); err != nil {
		return cannot(fmt.Errorf("write %s: %w", t.name, err))
	}
	return nil
}

// svg draws the picture.
func (r *trackRun) svg() ([]byte, error) {
	var b bytes.Buffer
	err := r.picture.Draw(&b, trackmap.Options{Title: r.title, Stops: r.figures.Stops.List, Fences: r.fenced, Zone: r.zone})
	return b.Bytes(), err
}

// put writes a finished file, or standard output.
func (r *trackRun) put(name string, b []byte) error {
	if name == "-" {
		_, err := r.s.Out.Write(b)
		return err
	}
	if err := os.WriteFile(name, b, 0o644); err != nil {
		return cannot(fmt.Errorf("write %s: %w", name, err))
	}
	return nil
}
