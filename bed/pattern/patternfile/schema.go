package patternfile

import (
	"encoding/json"

	"slatewright/trouble"
)

// Schema returns a JSON schema (draft 7) of the file, made of the very table of keys by which files are read: names and meaning of
// keys, the words that may be chosen, lists and what they hold. Editors complete keys and mark slips by it. Sums, ranges and what
// must stand together are beyond it; reading the file says those.
func Schema() ([]byte, error) {
	r := newReader("")
	root := schemaOf(form{kind: formGroup, keys: r.keys(&draft{count: 3})})
	root["$schema"] = "http://json-schema.org/draft-07/schema#"
	root["title"] = "A slate bed's pattern"
	root["required"] = []string{"pattern", "revision"}
	text, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		return nil, trouble.Own("bad-schema", "", "the schema cannot be written", "").Because(err)
	}
	return append(text, '\n'), nil
}

func schemaOf(f form) map[string]any {
	s := map[string]any{}
	switch f.kind {
	case formText:
		s["type"] = []string{"string", "number"}
	case formSum:
		s["type"] = "string"
	case formCount:
		s["type"] = "integer"
	case formChoice:
		s["enum"] = f.words
	case formList:
		s["type"], s["items"] = "array", schemaOf(*f.item)
	case formNames:
		s["type"], s["additionalProperties"] = "object", map[string]any{"type": []string{"string", "number"}}
	case formGroup:
		properties := map[string]any{}
		for _, k := range f.keys {
			below := schemaOf(k.value.form)
			below["description"] = k.says
			properties[k.name] = below
		}
		s["type"], s["properties"], s["additionalProperties"] = "object", properties, false
		if f.item != nil {
			s["additionalProperties"] = schemaOf(*f.item)
		}
	}
	if f.example != "" && f.kind != formCount {
		s["examples"] = []string{f.example}
	}
	if f.other != nil {
		first := f
		first.other = nil
		return map[string]any{"anyOf": []any{schemaOf(first), schemaOf(*f.other)}}
	}
	return s
}
