package capture

import (
	"bytes"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"
)

// Every line that the writer writes fits the published schema.
func TestSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("../../../docs/formats/capture.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	fits := func(line string) error {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(line))
		if err != nil {
			return err
		}
		return schema.Validate(v)
	}
	rapid.Check(t, func(t *rapid.T) {
		var file bytes.Buffer
		info := Info{TimesKnown: rapid.Bool().Draw(t, "times"), DirectionsKnown: rapid.Bool().Draw(t, "directions"),
			Baud: rapid.SampledFrom([]int{0, 9600}).Draw(t, "baud"), Assumed: rapid.SampledFrom([][]string{nil, {"a"}}).Draw(t, "assumed")}
		w, err := NewWriter(&file, info)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rapid.SliceOfN(recordGen(), 0, 4).Draw(t, "records") {
			if err := w.Write(r); err != nil {
				t.Fatal(err)
			}
		}
		for line := range strings.Lines(file.String()) {
			if err := fits(line); err != nil {
				t.Fatalf("%s: %v", line, err)
			}
		}
	})
	for _, bad := range []string{`{"t":1}`, `{"t":1,"text":"a","hex":"00"}`, `{"t":1,"from":"x","text":"a"}`, `{"firstfix":"capture"}`} {
		if fits(bad) == nil {
			t.Errorf("the schema lets pass %s", bad)
		}
	}
}
