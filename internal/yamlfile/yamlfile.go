// Package yamlfile reads one of our YAML files strictly.
//
// # What it promises
//
// The Go type says what a file may hold. A key that the type does not have, a key
// twice, a value of another kind: each is a [Problem] with file, line, column and
// what would have fitted, and one does not hide the next. What could be read is in
// the value. Files are bounded in length, depth and width; anchors, aliases and tags
// are not read.
//
// # What it leaves to others
//
// Whether the values make sense together: callers ask for the place of a key
// ([File.Place]) and add problems of their own ([File.Add]).
//
// # Where to start
//
// Read [Decode].
package yamlfile

import (
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Limits, each with its reason.
const (
	MaxBytes    = 1 << 20 // a file written by a person has some kilobytes; more is the wrong file
	MaxDepth    = 16      // ours need six
	MaxItems    = 10_000  // of one list; ours have some dozens
	MaxProblems = 20      // of one file that are told; more do not help
)

// A Problem is one thing wrong with a file: where, what was there, what would fit.
type Problem struct {
	File         string
	Line, Column int    // from 1; 0 when the place is not known
	Key          string // "card.tries_left", "steps[1].send"; "" for the whole file
	Message      string
}

func (p *Problem) Error() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File + ":")
	}
	if p.Line > 0 {
		fmt.Fprintf(&b, "%d:%d:", p.Line, p.Column)
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if p.Key != "" {
		b.WriteString(p.Key + ": ")
	}
	b.WriteString(p.Message)
	return b.String()
}

// Problems is the error of a file: all that is wrong with it, in the order in which it was found.
type Problems []*Problem

func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives each problem to errors.As.
func (p Problems) Unwrap() []error {
	all := make([]error, len(p))
	for i, one := range p {
		all[i] = one
	}
	return all
}

// Misfit words a problem: what was there, what would have fitted, and the nearest word
// that would; what is "" is left out.
func Misfit(was, want, nearest string) string {
	if want != "" {
		was += ": want " + want
	}
	if nearest != "" {
		was += "; the nearest is " + strconv.Quote(nearest)
	}
	return was
}

// A File is a YAML file that was read, whose keys can be asked for their place.
type File struct {
	Name     string
	problems Problems
	places   map[string]place // "duties.position.on.send" with "[2]" for elements
}

// place is where something stands: a plain value where it is, anything larger at its key.
type place struct{ line, column int }

// Decode reads a YAML file into a struct. The keys are the yaml tags; ",inline" takes
// the keys of an embedded struct. What the file leaves out stays as it was. Problems are
// kept in the returned File: callers add their own and end with [File.Err].
func Decode(name string, src []byte, into any) *File {
	f := &File{Name: name, places: map[string]place{}}
	if len(src) > MaxBytes {
		f.add(place{}, "", fmt.Sprintf("the file has %d bytes: want at most %d", len(src), MaxBytes))
		return f
	}
	v := reflect.ValueOf(into).Elem()
	if root := f.parse(src, v.Type()); root != nil {
		f.decode("", root, v, 0)
	}
	return f
}

// Add tells a problem of the value at a key, such as "duties.position.on.send".
func (f *File) Add(key, was, want, nearest string) { f.Fail(key, Misfit(was, want, nearest)) }

// Fail tells a problem of the value at a key in words of the caller's.
func (f *File) Fail(key, message string) {
	line, column := f.Place(key)
	f.add(place{line, column}, key, message)
}

// Place says where a key stands, counted from 1; a key that the file leaves out stands
// where its parent does. 0, 0 when nothing is known of it.
func (f *File) Place(key string) (line, column int) {
	for k := key; k != ""; k = parent(k) {
		if at, ok := f.places[k]; ok {
			return at.line, at.column
		}
	}
	return 0, 0
}

func parent(key string) string {
	if i := strings.LastIndexAny(key, ".["); i > 0 {
		return key[:i]
	}
	return ""
}

// Err returns all problems as [Problems], or nil.
func (f *File) Err() error {
	if len(f.problems) == 0 {
		return nil
	}
	return f.problems
}

func (f *File) add(at place, key, message string) {
	if len(f.problems) < MaxProblems {
		f.problems = append(f.problems, &Problem{File: f.Name, Line: at.line, Column: at.column, Key: key, Message: message})
	}
}

// parse returns the one document of a file; nil when there is not exactly one.
func (f *File) parse(src []byte, wanted reflect.Type) ast.Node {
	file, err := parser.ParseBytes(src, 0)
	if err != nil {
		message, at := "this is no YAML", place{}
		var syntax yaml.Error
		if errors.As(err, &syntax) {
			message += ": " + syntax.GetMessage()
			if t := syntax.GetToken(); t != nil && t.Position != nil {
				at = place{t.Position.Line, t.Position.Column}
			}
		}
		f.add(at, "", message)
		return nil
	}
	var root ast.Node
	for _, d := range file.Docs {
		switch {
		case d.Body == nil || d.Body.Type() == ast.CommentType || d.Body.Type() == ast.CommentGroupType:
		case root != nil:
			f.add(placeOf(d.Body), "", "a second document begins here: want one in a file")
			return nil
		default:
			root = d.Body
		}
	}
	if root == nil {
		f.add(place{}, "", "the file is empty: want "+someKeys(wanted))
	}
	return root
}

// someKeys names the first few keys of a struct.
func someKeys(t reflect.Type) string {
	if t.Kind() != reflect.Struct {
		return "names with values"
	}
	const few = 4
	keys := Keys(t)
	return "keys such as " + strings.Join(keys[:min(few, len(keys))], ", ")
}

// pairs returns the keys and values of a mapping; false when node is none.
func pairs(node ast.Node) ([]*ast.MappingValueNode, bool) {
	switch n := node.(type) {
	case *ast.MappingNode:
		return n.Values, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{n}, true
	}
	return nil, false
}

func keyText(p *ast.MappingValueNode) string { return p.Key.GetToken().Value }

func placeOf(node ast.Node) place {
	var t *token.Token
	switch n := node.(type) {
	case *ast.MappingNode:
		if len(n.Values) > 0 {
			return placeOf(n.Values[0].Key)
		}
		t = n.GetToken()
	case *ast.MappingValueNode:
		return placeOf(n.Key)
	default:
		t = n.GetToken()
	}
	if t == nil || t.Position == nil {
		return place{}
	}
	return place{t.Position.Line, t.Position.Column}
}

func join(key, name string) string {
	if key == "" {
		return name
	}
	return key + "." + name
}
