package world

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/maybe"
	"firstfix/internal/yamlfile"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// TestSchemaAcceptsTheWorlds: an editor with the schema finds nothing wrong
// with the built-in worlds, and does find a wrong key.
func TestSchemaAcceptsTheWorlds(t *testing.T) {
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(readRepoFile(t, "docs/formats/world.schema.json")))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("world.schema.json", document); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("world.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	check := func(src []byte) error {
		asJSON, err := yaml.YAMLToJSON(src)
		if err != nil {
			return err
		}
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
		if err != nil {
			return err
		}
		return schema.Validate(value)
	}
	for _, e := range Builtin() {
		if err := check(e.Source); err != nil {
			t.Errorf("%s: %v", e.Name, err)
		}
	}
	if check([]byte(head+"antena_gnss: good\n")) == nil {
		t.Error("the schema accepts a key that does not exist")
	}
}

// TestSchemaAndTypesAgree: the schema, the page and the types list the same keys.
func TestSchemaAndTypesAgree(t *testing.T) {
	var schema map[string]any
	if err := json.Unmarshal(readRepoFile(t, "docs/formats/world.schema.json"), &schema); err != nil {
		t.Fatal(err)
	}
	compareKeys(t, "", schema, reflect.TypeFor[World]())
	page := string(readRepoFile(t, "docs/formats/world.md"))
	for _, key := range pageKeys("", reflect.TypeFor[World]()) {
		if !strings.Contains(page, "`"+key+"`") {
			t.Errorf("docs/formats/world.md says nothing about `%s`", key)
		}
	}
	for _, name := range faultNames() {
		if !strings.Contains(page, "`"+name+"`") {
			t.Errorf("docs/formats/world.md says nothing about the fault `%s`", name)
		}
	}
	for _, c := range []struct {
		path  string
		words []string
	}{
		{"truth", Truths}, {"antenna_gnss", AntennaStates}, {"antenna_cellular", AntennaStates},
		{"sky.view", SkyViews}, {"gnss.engine", EngineStates}, {"coverage.registration", Registrations},
		{"coverage.access", Accesses}, {"settings.cscs", Charsets}, {"settings.memory", Memories}, {"faults.fault", faultNames()},
	} {
		got := enumAt(schema, strings.Split(c.path, "."))
		if !slices.Equal(got, c.words) {
			t.Errorf("schema, %s: %v; the types say %v", c.path, got, c.words)
		}
	}
}

func compareKeys(t *testing.T, path string, schema map[string]any, typ reflect.Type) {
	properties, _ := schema["properties"].(map[string]any)
	var inSchema []string
	for k := range properties {
		inSchema = append(inSchema, k)
	}
	slices.Sort(inSchema)
	inTypes := yamlfile.Keys(typ)
	slices.Sort(inTypes)
	if !slices.Equal(inSchema, inTypes) {
		t.Errorf("%s: the schema has %v, the types %v", path, inSchema, inTypes)
		return
	}
	if schema["additionalProperties"] != false {
		t.Errorf("%s: the schema lets unknown keys pass", path)
	}
	for _, k := range inTypes {
		inner, _ := yamlfile.TypeOf(typ, k)
		below, _ := properties[k].(map[string]any)
		if below["description"] == nil {
			t.Errorf("%s: the schema does not say what %s means", path, k)
		}
		if inner.Kind() == reflect.Slice {
			inner = inner.Elem()
			below, _ = below["items"].(map[string]any)
		}
		if isGroup(inner) {
			compareKeys(t, under(path, k), below, inner)
		}
	}
}

// isGroup says that a type holds keys of its own.
func isGroup(t reflect.Type) bool {
	return t.Kind() == reflect.Struct && t != reflect.TypeFor[time.Time]() && t != reflect.TypeFor[maybe.Value[int]]() && t != reflect.TypeFor[maybe.Value[float64]]()
}

// pageKeys lists the keys as the page writes them: with the group's name, in
// lists without.
func pageKeys(path string, typ reflect.Type) []string {
	var keys []string
	for _, k := range yamlfile.Keys(typ) {
		inner, _ := yamlfile.TypeOf(typ, k)
		switch {
		case inner.Kind() == reflect.Slice && isGroup(inner.Elem()):
			keys = append(keys, under(path, k))
			keys = append(keys, pageKeys("", inner.Elem())...)
		case isGroup(inner):
			keys = append(keys, pageKeys(under(path, k), inner)...)
		default:
			keys = append(keys, under(path, k))
		}
	}
	return keys
}

func enumAt(schema map[string]any, path []string) []string {
	for _, step := range path {
		if items, ok := schema["items"].(map[string]any); ok {
			schema = items
		}
		properties, _ := schema["properties"].(map[string]any)
		schema, _ = properties[step].(map[string]any)
	}
	list, _ := schema["enum"].([]any)
	var words []string
	for _, w := range list {
		words = append(words, fmt.Sprint(w))
	}
	return words
}

func under(path, key string) string { return strings.TrimPrefix(path+"."+key, ".") }
