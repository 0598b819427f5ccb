package sheet

import (
	"encoding/json"
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

// MaxBytes is how long a YAML file of ours may be. A sheet or a procedure
// written by a person has some kilobytes; more is the wrong file.
const MaxBytes = 1 << 20

// MaxDepth is how deep such a file may be nested; ours need six.
const MaxDepth = 16

// MaxProblems is how many mistakes of one file are told; more do not help.
const MaxProblems = 20

// A Problem is one place of a YAML file that does not fit.
type Problem struct {
	File         string
	Line, Column int    // from 1; 0 when the place is not known
	Was          string // what stood there
	Want         string // what would have fitted
	Nearest      string // the nearest known key, "" when none is near
}

func (p *Problem) Error() string {
	where := p.File
	if p.Line > 0 {
		where += ":" + strconv.Itoa(p.Line) + ":" + strconv.Itoa(p.Column)
	}
	text := fmt.Sprintf("%s: %s: want %s", where, p.Was, p.Want)
	if p.Nearest != "" {
		text += fmt.Sprintf("; did you mean %q?", p.Nearest)
	}
	return text
}

// A File is a YAML file whose values can be asked for their place.
type File struct {
	Name     string
	problems []error
	places   map[string]place // "duties.position.on.send" with "[2]" for elements
}

type place struct{ line, column int }

// Decode reads a YAML file into a struct, strictly: every key must be known, every value
// must be of its kind. The file's keys are the yaml tags. Problems are kept in the returned
// File; what could be read is in into. Callers add their own with [File.Add] and end with [File.Err].
func Decode(name string, src []byte, into any) *File {
	f := &File{Name: name, places: map[string]place{}}
	if len(src) > MaxBytes {
		f.add(place{}, fmt.Sprintf("%d bytes", len(src)), fmt.Sprintf("at most %d", MaxBytes), "")
		return f
	}
	root, problem := parse(name, src)
	if problem != nil {
		f.problems = append(f.problems, problem)
		return f
	}
	f.decode("", root, reflect.ValueOf(into).Elem(), 0)
	return f
}

// Add tells a problem of the value at path, such as "duties.position.on.send".
func (f *File) Add(path, was, want, nearest string) { f.add(f.places[path], was, want, nearest) }

// Err returns all problems, or nil.
func (f *File) Err() error { return errors.Join(f.problems...) }

func (f *File) add(at place, was, want, nearest string) {
	if len(f.problems) < MaxProblems {
		f.problems = append(f.problems, &Problem{File: f.Name, Line: at.line, Column: at.column, Was: was, Want: want, Nearest: nearest})
	}
}

func parse(name string, src []byte) (ast.Node, error) {
	file, err := parser.ParseBytes(src, 0)
	if err != nil {
		p := &Problem{File: name, Was: "broken YAML", Want: "YAML"}
		var syntax yaml.Error
		if errors.As(err, &syntax) {
			p.Was = "broken YAML: " + syntax.GetMessage()
			if t := syntax.GetToken(); t != nil && t.Position != nil {
				p.Line, p.Column = t.Position.Line, t.Position.Column
			}
		}
		return nil, p
	}
	var docs []ast.Node
	for _, d := range file.Docs {
		if d.Body != nil && d.Body.Type() != ast.CommentType && d.Body.Type() != ast.CommentGroupType {
			docs = append(docs, d.Body)
		}
	}
	if len(docs) != 1 {
		return nil, &Problem{File: name, Was: fmt.Sprintf("%d documents", len(docs)), Want: "one"}
	}
	return docs[0], nil
}

var unmarshaler = reflect.TypeFor[json.Unmarshaler]()

// decode puts node into v. Kinds that our files do not use are a mistake of ours, not of the file.
func (f *File) decode(path string, node ast.Node, v reflect.Value, depth int) {
	at := placeOf(node)
	f.places[path] = at
	if depth > MaxDepth {
		f.add(at, "a value inside "+strconv.Itoa(depth)+" others", "at most "+strconv.Itoa(MaxDepth), "")
		return
	}
	if _, null := node.(*ast.NullNode); null {
		return // an empty value is a value not given
	}
	if reflect.PointerTo(v.Type()).Implements(unmarshaler) {
		f.unmarshal(at, node, v)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.decode(path, node, v.Elem(), depth)
	case reflect.Struct:
		f.decodeStruct(path, node, v, depth)
	case reflect.Map:
		f.decodeMap(path, node, v, depth)
	case reflect.Slice:
		f.decodeSlice(path, node, v, depth)
	default:
		f.decodeScalar(at, node, v)
	}
}

// unmarshal hands a scalar to the UnmarshalJSON of maybe.Value.
func (f *File) unmarshal(at place, node ast.Node, v reflect.Value) {
	inner := v.FieldByName("v") // only to say which kind is wanted
	text := ""
	switch n := node.(type) {
	case *ast.IntegerNode:
		text = fmt.Sprint(n.Value)
	case *ast.FloatNode:
		text = strconv.FormatFloat(n.Value, 'g', -1, 64)
	case *ast.BoolNode:
		text = strconv.FormatBool(n.Value)
	case *ast.StringNode:
		b, _ := json.Marshal(n.Value)
		text = string(b)
	}
	if text != "" && v.Addr().Interface().(json.Unmarshaler).UnmarshalJSON([]byte(text)) == nil {
		return
	}
	want := "a value"
	if inner.IsValid() {
		want = kindWord(inner.Kind())
	}
	f.add(at, describe(node), want, "")
}

func (f *File) decodeStruct(path string, node ast.Node, v reflect.Value, depth int) {
	values, ok := pairs(node)
	if !ok {
		f.add(placeOf(node), describe(node), "keys with values", "")
		return
	}
	fields := map[string]int{}
	var known []string
	for i := range v.NumField() {
		if key := v.Type().Field(i).Tag.Get("yaml"); key != "" && key != "-" {
			fields[key] = i
			known = append(known, key)
		}
	}
	seen := map[string]bool{}
	for _, p := range values {
		key, at := keyText(p), placeOf(p.Key)
		i, ok := fields[key]
		switch {
		case seen[key]:
			f.add(at, fmt.Sprintf("key %q again", key), "each key once", "")
		case !ok:
			f.add(at, fmt.Sprintf("unknown key %q", key), "one of "+strings.Join(known, ", "), Nearest(key, known))
		default:
			f.decode(join(path, key), p.Value, v.Field(i), depth+1)
			f.places[join(path, key)] = at
		}
		seen[key] = true
	}
}

func (f *File) decodeMap(path string, node ast.Node, v reflect.Value, depth int) {
	values, ok := pairs(node)
	if !ok {
		f.add(placeOf(node), describe(node), "names with values", "")
		return
	}
	v.Set(reflect.MakeMap(v.Type()))
	for _, p := range values {
		key := reflect.ValueOf(keyText(p)).Convert(v.Type().Key())
		if v.MapIndex(key).IsValid() {
			f.add(placeOf(p.Key), fmt.Sprintf("name %q again", keyText(p)), "each name once", "")
			continue
		}
		item := reflect.New(v.Type().Elem()).Elem()
		f.decode(join(path, keyText(p)), p.Value, item, depth+1)
		f.places[join(path, keyText(p))] = placeOf(p.Key)
		v.SetMapIndex(key, item)
	}
}

func (f *File) decodeSlice(path string, node ast.Node, v reflect.Value, depth int) {
	list, ok := node.(*ast.SequenceNode)
	if !ok {
		f.add(placeOf(node), describe(node), "a list", "")
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(list.Values), len(list.Values)))
	for i, item := range list.Values {
		f.decode(path+"["+strconv.Itoa(i)+"]", item, v.Index(i), depth+1)
	}
}

func (f *File) decodeScalar(at place, node ast.Node, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		switch n := node.(type) {
		case *ast.StringNode:
			v.SetString(n.Value)
			return
		case *ast.LiteralNode:
			v.SetString(n.Value.Value)
			return
		case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
			v.SetString(node.GetToken().Value) // version: 1 is as good as version: "1"
			return
		}
	case reflect.Bool:
		if n, ok := node.(*ast.BoolNode); ok {
			v.SetBool(n.Value)
			return
		}
	case reflect.Int:
		if n, err := strconv.ParseInt(node.GetToken().Value, 10, 64); err == nil {
			if _, ok := node.(*ast.IntegerNode); ok {
				v.SetInt(n)
				return
			}
		}
	case reflect.Float64:
		switch node.(type) {
		case *ast.IntegerNode, *ast.FloatNode:
			if x, err := strconv.ParseFloat(node.GetToken().Value, 64); err == nil {
				v.SetFloat(x)
				return
			}
		}
	default:
		panic("sheet: no way to decode into " + v.Type().String())
	}
	f.add(at, describe(node), kindWord(v.Kind()), "")
}

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

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func describe(node ast.Node) string {
	switch node.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return "keys with values"
	case *ast.SequenceNode:
		return "a list"
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode, *ast.MergeKeyNode:
		return "a YAML anchor, alias or tag"
	}
	text := node.GetToken().Value
	if len(text) > 60 {
		text = text[:60] + "…"
	}
	return strconv.Quote(text)
}

func kindWord(k reflect.Kind) string {
	switch k {
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	}
	return "a text"
}

// Nearest returns the name that needs the fewest changed letters to become word,
// "" when none is within a third of its length: then a guess only misleads.
func Nearest(word string, names []string) string {
	best, bestCost := "", (len(word)+1)/3+1
	for _, n := range names {
		if cost := distance(word, n); cost < bestCost {
			best, bestCost = n, cost
		}
	}
	return best
}

// distance is the number of letters to change, add, drop or swap (neighbours) from a to b.
func distance(a, b string) int {
	if len(a) > 64 || len(b) > 64 {
		return 64 // no key of ours is that long
	}
	var rows [3][65]int
	before, last, this := &rows[0], &rows[1], &rows[2]
	for j := range len(b) + 1 {
		last[j] = j
	}
	for i := range len(a) {
		this[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			this[j+1] = min(last[j]+cost, last[j+1]+1, this[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				this[j+1] = min(this[j+1], before[j-1]+1)
			}
		}
		before, last, this = last, this, before
	}
	return last[len(b)]
}
