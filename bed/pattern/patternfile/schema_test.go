package patternfile

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"go.yaml.in/yaml/v4"
)

// The schema is made of the reader's own keys. An independent reader of schemas takes every shipped pattern by it and refuses a
// key that is not there; so schema and reader cannot drift apart unseen.
func TestSchemaTakesTheShippedPatterns(t *testing.T) {
	text, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	var plain map[string]any
	if err := json.Unmarshal(text, &plain); err != nil {
		t.Fatal(err)
	}
	said := described(t, "", plain)
	if said < 120 {
		t.Errorf("only %d keys are described", said)
	}
	if file, err := os.ReadFile(filepath.Join(examples, "bed", "bed.schema.json")); err != nil || !bytes.Equal(file, text) {
		t.Errorf("docs/examples/bed/bed.schema.json is not what the program prints (%v): write 'slatewright bed schema' to it", err)
	}
	delete(plain, "$schema")
	var schema openapi3.Schema
	if err := json.Unmarshal(must(json.Marshal(plain)), &schema); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(examples, "bed", "*foot.yaml"))
	if err != nil || len(files) != 4 {
		t.Fatal(files, err)
	}
	more, err := filepath.Glob(filepath.Join(examples, "*foot.yaml"))
	if err != nil || len(more) != 3 {
		t.Fatal(more, err)
	}
	for _, file := range append(files, more...) {
		yamlText, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var value map[string]any
		if err := yaml.Load(yamlText, &value); err != nil {
			t.Fatal(err)
		}
		value = asJSON(t, value)
		if err := schema.VisitJSON(value); err != nil {
			t.Errorf("%s: %v", file, err)
		}
		value["colour"] = "grey"
		if err := schema.VisitJSON(value); err == nil {
			t.Errorf("%s: a key that is not there was taken", file)
		}
		delete(value, "colour")
		value["symmetry"] = "eighth"
		if err := schema.VisitJSON(value); err == nil {
			t.Errorf("%s: a word that is not there was taken", file)
		}
	}
}

func asJSON(t *testing.T, v map[string]any) (back map[string]any) {
	t.Helper()
	if err := json.Unmarshal(must(json.Marshal(v)), &back); err != nil {
		t.Fatal(err)
	}
	return back
}

// described counts the keys of a schema, each of which says what it is for.
func described(t *testing.T, at string, s map[string]any) (n int) {
	for name, below := range asMap(s["properties"]) {
		b := asMap(below)
		if says, _ := b["description"].(string); says == "" {
			t.Errorf("%s.%s does not say what it is for", at, name)
		}
		n += 1 + described(t, at+"."+name, b)
	}
	n += described2(t, at, s["items"])
	for _, b := range asList(s["anyOf"]) {
		n += described2(t, at, b)
	}
	return n
}

func described2(t *testing.T, at string, s any) int {
	if m := asMap(s); m != nil {
		return described(t, at, m)
	}
	return 0
}

func asMap(v any) map[string]any { m, _ := v.(map[string]any); return m }
func asList(v any) []any         { l, _ := v.([]any); return l }

// The handbook's page explains every key.
func TestHandbookNamesEveryKey(t *testing.T) {
	page, err := os.ReadFile("../../../docs/bed.md")
	if err != nil {
		t.Fatal(err)
	}
	var walk func(at string, keys []key)
	seen := 0
	walk = func(at string, keys []key) {
		for _, k := range keys {
			seen++
			if !bytes.Contains(page, []byte("`"+k.name+"`")) && !bytes.Contains(page, []byte("`"+k.name+":`")) {
				t.Errorf("docs/bed.md does not name %s%s", at, k.name)
			}
			walk(at+k.name+".", k.value.form.keys)
			if k.value.form.item != nil {
				walk(at+k.name+".", k.value.form.item.keys)
			}
		}
	}
	walk("", newReader("").keys(&draft{count: 3}))
	if seen < 100 {
		t.Errorf("only %d keys", seen)
	}
}
