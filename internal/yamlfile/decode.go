package yamlfile

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/goccy/go-yaml/ast"
)

var (
	unmarshaler = reflect.TypeFor[json.Unmarshaler]()
	timeType    = reflect.TypeFor[time.Time]()
)

// decode puts node into v. Kinds that our files do not use are a mistake of ours, not of the file.
func (f *File) decode(key string, node ast.Node, v reflect.Value, depth int) {
	if depth > MaxDepth {
		f.add(placeOf(node), key, fmt.Sprintf("a value inside %d others: want at most %d", depth, MaxDepth))
		return
	}
	if _, null := node.(*ast.NullNode); null {
		return // an empty value is a value not given
	}
	switch {
	case v.Type() == timeType:
		f.decodeTime(key, node, v)
		return
	case reflect.PointerTo(v.Type()).Implements(unmarshaler):
		f.unmarshal(key, node, v)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.decode(key, node, v.Elem(), depth)
	case reflect.Struct:
		f.decodeStruct(key, node, v, depth)
	case reflect.Map:
		f.decodeMap(key, node, v, depth)
	case reflect.Slice:
		f.decodeSlice(key, node, v, depth)
	default:
		f.decodeScalar(key, node, v)
	}
}

// misfit tells that a value is of another kind.
func (f *File) misfit(key string, node ast.Node, want string) {
	f.add(placeOf(node), key, Misfit("found "+describe(node), want, ""))
}

func (f *File) decodeStruct(key string, node ast.Node, v reflect.Value, depth int) {
	known := Keys(v.Type())
	values, ok := pairs(node)
	if !ok {
		f.misfit(key, node, "keys: "+strings.Join(known, ", "))
		return
	}
	for _, p := range values { // the parser has refused a key that stands twice
		name := keyText(p)
		path := join(key, name)
		field, ok := fieldOf(v, name)
		if !ok {
			f.add(placeOf(p.Key), path, unknown(name, known))
			continue
		}
		f.stands(path, p.Key, p.Value)
		f.decode(path, p.Value, field, depth+1)
	}
}

// unknown words that a key does not exist. Where another is near, the list of all only hides it.
func unknown(name string, known []string) string {
	was := fmt.Sprintf("there is no key %q", name)
	if near := Nearest(name, known); near != "" {
		return Misfit(was, "", near)
	}
	return Misfit(was, "one of "+strings.Join(known, ", "), "")
}

// stands notes where a value stands: a plain one itself, anything larger at its key.
func (f *File) stands(path string, key, value ast.Node) {
	if _, plain := scalarText(value); plain || key == nil {
		key = value
	}
	f.places[path] = placeOf(key)
}

func (f *File) decodeMap(key string, node ast.Node, v reflect.Value, depth int) {
	values, ok := pairs(node)
	if !ok {
		f.misfit(key, node, "names with values")
		return
	}
	v.Set(reflect.MakeMap(v.Type()))
	for _, p := range values {
		path := join(key, keyText(p))
		f.stands(path, p.Key, p.Value)
		item := reflect.New(v.Type().Elem()).Elem()
		f.decode(path, p.Value, item, depth+1)
		v.SetMapIndex(reflect.ValueOf(keyText(p)).Convert(v.Type().Key()), item)
	}
}

func (f *File) decodeSlice(key string, node ast.Node, v reflect.Value, depth int) {
	list, ok := node.(*ast.SequenceNode)
	if !ok {
		f.misfit(key, node, "a list")
		return
	}
	if len(list.Values) > MaxItems {
		f.add(placeOf(node), key, fmt.Sprintf("the list has %d items: want at most %d", len(list.Values), MaxItems))
		return
	}
	items := reflect.MakeSlice(v.Type(), len(list.Values), len(list.Values))
	for i, item := range list.Values {
		path := key + "[" + strconv.Itoa(i) + "]"
		f.stands(path, nil, item)
		f.decode(path, item, items.Index(i), depth+1)
	}
	v.Set(items)
}

func (f *File) decodeTime(key string, node ast.Node, v reflect.Value) {
	text, ok := scalarText(node)
	at, err := time.Parse(time.RFC3339, text)
	if !ok || err != nil {
		f.misfit(key, node, "a date and time as 2026-03-04T10:15:00Z")
		return
	}
	v.Set(reflect.ValueOf(at))
}

// unmarshal hands a plain value to a type that reads JSON by itself, such as one that
// may be not known.
func (f *File) unmarshal(key string, node ast.Node, v reflect.Value) {
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
	if inner := v.FieldByName("v"); inner.IsValid() { // only to say which kind is wanted
		want = wanted(inner.Kind())
	}
	f.misfit(key, node, want)
}

// decodeScalar reads text, yes or no, and numbers.
func (f *File) decodeScalar(key string, node ast.Node, v reflect.Value) {
	text, plain := scalarText(node)
	_, quoted := node.(*ast.StringNode) // "5" is a text
	switch v.Kind() {
	case reflect.String:
		if plain {
			v.SetString(text) // 1 is as good as "1", and 0042 keeps its zeros
			return
		}
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
		if x, err := strconv.ParseFloat(text, 64); err == nil && !quoted && !math.IsInf(x, 0) && !math.IsNaN(x) {
			v.SetFloat(x)
			return
		}
	default:
		panic("yamlfile: no way to decode into " + v.Type().String())
	}
	f.misfit(key, node, wanted(v.Kind()))
}

func wanted(k reflect.Kind) string {
	switch k {
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "a whole number"
	case reflect.Uint64:
		return "a whole number, 0 or more"
	case reflect.Float64:
		return "a number"
	}
	return "text"
}

// scalarText returns a plain value as it was written.
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
	if _, ok := pairs(node); ok {
		return "keys"
	}
	switch node.(type) {
	case *ast.SequenceNode:
		return "a list"
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode, *ast.MergeKeyNode:
		return "an anchor, alias or tag"
	}
	text, ok := scalarText(node)
	if !ok {
		return "something else"
	}
	const longest = 60
	if len(text) > longest {
		text = text[:longest] + "…"
	}
	return strconv.Quote(text)
}

// fieldOf finds the field of a struct that a key means; inline structs are looked into.
func fieldOf(v reflect.Value, name string) (reflect.Value, bool) {
	for i := range v.NumField() {
		switch tag := v.Type().Field(i).Tag.Get("yaml"); tag {
		case "", "-":
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

// TypeOf is the type behind a key of a struct.
func TypeOf(t reflect.Type, key string) (reflect.Type, bool) {
	v, ok := fieldOf(reflect.New(t).Elem(), key)
	if !ok {
		return nil, false
	}
	return v.Type(), true
}

// Keys lists the keys that a struct takes, in its own order; schemas are held against it.
func Keys(t reflect.Type) []string {
	var keys []string
	for i := range t.NumField() {
		switch tag := t.Field(i).Tag.Get("yaml"); tag {
		case "", "-":
		case ",inline":
			keys = append(keys, Keys(t.Field(i).Type)...)
		default:
			keys = append(keys, tag)
		}
	}
	return keys
}
