package world

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"firstfix/internal/maybe"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// maxFileBytes bounds a world file. The built-in ones have about a thousand
// bytes; a megabyte is a wrong file.
const maxFileBytes = 1 << 20

// Load reads a world. name is used in messages only. What a file leaves out is
// as in [Default]. The error is [Problems]: every unknown key with the nearest
// known one, every value that does not fit, each with line and column.
func Load(name string, src []byte) (*World, error) {
	w := &World{Conditions: Default(), Seed: 1, file: name, marks: map[string]mark{}}
	d := decoder{world: w}
	if root, ok := d.parse(src); ok {
		d.value("", root, reflect.ValueOf(w).Elem())
	}
	if len(d.problems) > 0 {
		return nil, d.problems
	}
	if problems := w.Validate(); len(problems) > 0 {
		return nil, problems
	}
	return w, nil
}

// A decoder walks a file and the type it should become side by side, so that
// it can say for every key what would have fitted there.
type decoder struct {
	world    *World
	problems Problems
}

func (d *decoder) fail(node ast.Node, key, format string, args ...any) {
	p := Problem{File: d.world.file, Key: key, Message: fmt.Sprintf(format, args...)}
	if node != nil && node.GetToken() != nil && node.GetToken().Position != nil {
		p.Line, p.Column = node.GetToken().Position.Line, node.GetToken().Position.Column
	}
	d.problems = append(d.problems, p)
}

func (d *decoder) parse(src []byte) (ast.Node, bool) {
	if len(src) > maxFileBytes {
		d.fail(nil, "", "the file has %d bytes: want at most %d", len(src), maxFileBytes)
		return nil, false
	}
	file, err := parser.ParseBytes(src, 0)
	if err != nil {
		p := Problem{File: d.world.file, Message: strings.SplitN(err.Error(), "\n", 2)[0]}
		var at yaml.Error
		if errors.As(err, &at) {
			p.Message = at.GetMessage()
			if t := at.GetToken(); t != nil && t.Position != nil {
				p.Line, p.Column = t.Position.Line, t.Position.Column
			}
		}
		d.problems = append(d.problems, p)
		return nil, false
	}
	var root ast.Node
	for _, doc := range file.Docs {
		if doc.Body == nil {
			continue
		}
		if root != nil {
			d.fail(doc.Body, "", "a second document begins here: want one world in a file")
			return nil, false
		}
		root = doc.Body
	}
	if root == nil {
		d.fail(nil, "", "the file is empty: want keys such as name, title, truth, start")
		return nil, false
	}
	return root, true
}

var timeType = reflect.TypeFor[time.Time]()

// value reads node into v. The type of v says what is wanted.
func (d *decoder) value(key string, node ast.Node, v reflect.Value) {
	if v.Type() == timeType {
		d.time(key, node, v)
		return
	}
	switch optional := v.Addr().Interface().(type) {
	case *maybe.Value[int]:
		var n int
		d.value(key, node, reflect.ValueOf(&n).Elem())
		*optional = maybe.Known(n)
		return
	case *maybe.Value[float64]:
		var f float64
		d.value(key, node, reflect.ValueOf(&f).Elem())
		*optional = maybe.Known(f)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		d.structure(key, node, v)
	case reflect.Slice:
		d.list(key, node, v)
	default:
		d.scalar(key, node, v)
	}
}

// entries returns the pairs of a mapping; false when node is none.
func entries(node ast.Node) ([]*ast.MappingValueNode, bool) {
	switch n := node.(type) {
	case *ast.MappingNode:
		return n.Values, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{n}, true
	}
	return nil, false
}

func (d *decoder) structure(key string, node ast.Node, v reflect.Value) {
	pairs, ok := entries(node)
	if !ok {
		d.fail(node, key, "found %s: want keys: %s", describe(node), strings.Join(keysOf(v.Type()), ", "))
		return
	}
	for _, pair := range pairs {
		name := pair.Key.GetToken().Value
		path := join(key, name)
		field, ok := fieldOf(v, name)
		if !ok {
			d.unknown(pair.Key, path, name, keysOf(v.Type()))
			continue
		}
		if p := pair.Value.GetToken(); p != nil && p.Position != nil {
			d.world.marks[path] = mark{p.Position.Line, p.Position.Column}
		}
		d.value(path, pair.Value, field)
	}
}

func (d *decoder) unknown(node ast.Node, path, name string, known []string) {
	if near := nearest(name, known); near != "" {
		d.fail(node, path, "there is no key %q; the nearest is %q", name, near)
		return
	}
	d.fail(node, path, "there is no key %q; here go: %s", name, strings.Join(known, ", "))
}

// maxItems bounds every list in a world file.
const maxItems = 1000

func (d *decoder) list(key string, node ast.Node, v reflect.Value) {
	seq, ok := node.(*ast.SequenceNode)
	if !ok {
		d.fail(node, key, "found %s: want a list", describe(node))
		return
	}
	if len(seq.Values) > maxItems {
		d.fail(node, key, "the list has %d items: want at most %d", len(seq.Values), maxItems)
		return
	}
	items := reflect.MakeSlice(v.Type(), len(seq.Values), len(seq.Values))
	for i, item := range seq.Values {
		path := fmt.Sprintf("%s[%d]", key, i)
		if p := item.GetToken(); p != nil && p.Position != nil {
			d.world.marks[path] = mark{p.Position.Line, p.Position.Column}
		}
		d.value(path, item, items.Index(i))
	}
	v.Set(items)
}

func (d *decoder) time(key string, node ast.Node, v reflect.Value) {
	text, ok := scalarText(node)
	at, err := time.Parse(time.RFC3339, text)
	if !ok || err != nil {
		d.fail(node, key, "found %s: want a date and time as 2026-03-04T10:15:00Z", describe(node))
		return
	}
	v.Set(reflect.ValueOf(at))
}

// scalar reads text, yes or no, and numbers.
func (d *decoder) scalar(key string, node ast.Node, v reflect.Value) {
	text, ok := scalarText(node)
	if !ok {
		d.fail(node, key, "found %s: want %s", describe(node), wanted(v.Kind()))
		return
	}
	_, quoted := node.(*ast.StringNode)
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
		return
	case reflect.Bool:
		if b, ok := node.(*ast.BoolNode); ok {
			v.SetBool(b.Value)
			return
		}
	case reflect.Int:
		if n, err := strconv.Atoi(text); err == nil && !quoted {
			v.SetInt(int64(n))
			return
		}
	case reflect.Uint64:
		if n, err := strconv.ParseUint(text, 10, 64); err == nil && !quoted {
			v.SetUint(n)
			return
		}
	case reflect.Float64:
		if f, err := strconv.ParseFloat(text, 64); err == nil && !quoted && !math.IsInf(f, 0) && !math.IsNaN(f) {
			v.SetFloat(f)
			return
		}
	default:
		panic("world: no rule for reading a " + v.Kind().String())
	}
	d.fail(node, key, "found %s: want %s", describe(node), wanted(v.Kind()))
}

func wanted(k reflect.Kind) string {
	switch k {
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "a whole number"
	case reflect.Uint64:
		return "a whole number, 0 or more"
	}
	return "a number"
}

// scalarText returns a scalar as it was written; "0000" keeps its zeros.
func scalarText(node ast.Node) (string, bool) {
	switch n := node.(type) {
	case *ast.StringNode:
		return n.Value, true
	case *ast.LiteralNode:
		return n.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return n.GetToken().Value, true
	}
	return "", false
}

func describe(node ast.Node) string {
	if _, ok := entries(node); ok {
		return "keys"
	}
	switch node.(type) {
	case *ast.SequenceNode:
		return "a list"
	case *ast.NullNode, nil:
		return "nothing"
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode:
		return "an anchor, alias or tag"
	}
	if text, ok := scalarText(node); ok {
		const longest = 40
		if len(text) > longest {
			text = text[:longest] + "…"
		}
		return strconv.Quote(text)
	}
	return "something else"
}

func join(key, name string) string {
	if key == "" {
		return name
	}
	return key + "." + name
}

// fieldOf finds the field of a struct that a key means; inline structs are looked into.
func fieldOf(v reflect.Value, name string) (reflect.Value, bool) {
	for i := range v.NumField() {
		switch tag := v.Type().Field(i).Tag.Get("yaml"); tag {
		case "":
		case ",inline":
			if f, ok := fieldOf(v.Field(i), name); ok {
				return f, true
			}
		case name:
			return v.Field(i), true
		}
	}
	return reflect.Value{}, false
}

// keysOf lists the keys that a struct takes, in its own order.
func keysOf(t reflect.Type) []string {
	var keys []string
	for i := range t.NumField() {
		switch tag := t.Field(i).Tag.Get("yaml"); tag {
		case "":
		case ",inline":
			keys = append(keys, keysOf(t.Field(i).Type)...)
		default:
			keys = append(keys, tag)
		}
	}
	return keys
}
