package field_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/internal/book/field"
	"slatewright/trouble"
)

// mark is a kind and a number, as a thing is named.
type mark string

func (m mark) CheckKind(where, kinds string) error {
	for _, k := range strings.Split(kinds, ",") {
		if string(m) == k {
			return nil
		}
	}
	return trouble.Data("bad-kind", where, "of another kind", "one of "+kinds)
}

type inner struct {
	ID string `json:"id" form:"id"`
}

type record struct {
	Depth   float64           `json:"depth" exclusiveMinimum:"0" maximum:"50"`
	Shift   *float64          `json:"shift,omitempty" maximum:"5"`
	Count   int               `json:"count" minimum:"1" maximum:"9"`
	Word    string            `json:"word,omitempty" enum:"red,green,blue"`
	Why     string            `json:"why" minLength:"1" maxLength:"10"`
	Digest  string            `json:"digest,omitempty" form:"digest"`
	Names   []string          `json:"names" form:"id" minItems:"1" maxItems:"3" uniqueItems:"true"`
	Steps   []float64         `json:"steps,omitempty" minimum:"-1" maximum:"1"`
	Inside  inner             `json:"inside"`
	Maybe   *inner            `json:"maybe,omitempty"`
	List    []inner           `json:"list,omitempty"`
	Due     time.Time         `json:"due"`
	Mark    mark              `json:"mark" kinds:"a,b"`
	Answers map[string]string `json:"answers,omitempty" maxItems:"2"`
	Raw     json.RawMessage   `json:"raw,omitempty"`
	Yes     bool              `json:"yes"`
}

func good() *record {
	return &record{Depth: 1, Count: 1, Why: "so", Names: []string{"A"}, Inside: inner{"X"}, Due: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), Mark: "a"}
}

func code(err error) string {
	if t, ok := err.(*trouble.Trouble); ok && t.What != "" && t.Next != "" {
		return t.Code + " " + t.Where
	}
	return fmt.Sprint(err)
}

func TestGoodRecordPasses(t *testing.T) {
	full := good()
	shift := -5.0
	full.Shift, full.Word, full.Digest, full.Names = &shift, "red", strings.Repeat("0a", 32), []string{"A", "b/2", "c_3.x-4"}
	full.Steps, full.Maybe, full.List, full.Answers = []float64{-1, 0, 1}, &inner{"Y"}, []inner{{"Z"}}, map[string]string{"a": "", "b": "two\nlines"}
	full.Depth, full.Count, full.Why = 50, 9, "ten signs¨"
	for _, r := range []*record{good(), full} {
		if err := field.Check(r); err != nil {
			t.Errorf("%+v: %v", r, err)
		}
	}
}

func TestEachLimit(t *testing.T) {
	six := 6.0
	nan := math.NaN()
	for want, spoil := range map[string]func(*record){
		"out-of-range depth":   func(r *record) { r.Depth = 0 },
		"out-of-range shift":   func(r *record) { r.Shift = &six },
		"out-of-range steps.2": func(r *record) { r.Steps = []float64{0, 1, -1.01} },
		"out-of-range steps.0": func(r *record) { r.Steps = []float64{nan} },
		"out-of-range count":   func(r *record) { r.Count = 10 },
		"not-one-of word":      func(r *record) { r.Word = "gren" },
		"missing why":          func(r *record) { r.Why = "" },
		"too-long why":         func(r *record) { r.Why = "eleven sign" },
		"bad-text why":         func(r *record) { r.Why = "\xff" },
		"bad-digest digest":    func(r *record) { r.Digest = strings.Repeat("0A", 32) },
		"bad-count names":      func(r *record) { r.Names = nil },
		"bad-id names.1":       func(r *record) { r.Names = []string{"A", "-"} },
		"missing names.1":      func(r *record) { r.Names = []string{"A", ""} },
		"twice names.2":        func(r *record) { r.Names = []string{"A", "B", "A"} },
		"missing inside.id":    func(r *record) { r.Inside.ID = "" },
		"bad-id maybe.id":      func(r *record) { r.Maybe = &inner{"a "} },
		"bad-id list.1.id":     func(r *record) { r.List = []inner{{"a"}, {"é"}} },
		"missing due":          func(r *record) { r.Due = time.Time{} },
		"out-of-range due":     func(r *record) { r.Due = time.Date(2200, 1, 2, 0, 0, 0, 0, time.UTC) },
		"bad-kind mark":        func(r *record) { r.Mark = "c" },
		"bad-count answers":    func(r *record) { r.Answers = map[string]string{"a": "", "b": "", "c": ""} },
		"too-long answers.a":   func(r *record) { r.Answers = map[string]string{"a": strings.Repeat("x", 201)} },
	} {
		r := good()
		spoil(r)
		if got := code(field.Check(r)); got != want {
			t.Errorf("want %s, got %s", want, got)
		}
	}
}

// The range that was overstepped stands in the refusal.
func TestRangeIsSaid(t *testing.T) {
	r := good()
	for depth, says := range map[float64]string{51.5: "51.5", 250000: "250000", 1e99: "1e+99", -2e-30: "-2e-30"} {
		r.Depth = depth
		if err := field.Check(r); err == nil || !strings.Contains(err.Error(), ": "+says+" is out of range: above 0 to 50") {
			t.Error(err)
		}
	}
	r.Depth, r.Count = 1, 0
	if err := field.Check(r); err == nil || !strings.Contains(err.Error(), "0 is out of range: from 1 to 9") {
		t.Error(err)
	}
}

func TestDidYouMean(t *testing.T) {
	words := []string{"thickness", "crack", "vein", "chip"}
	for word, near := range map[string]string{"crak": "crack", "Crack": "crack", "thicknes": "thickness", "tickness": "thickness", "ship": "chip"} {
		err := field.OneOf(word, words, "cause")
		if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("did you mean %q?", near)) || !strings.Contains(err.Error(), strings.Join(words, ", ")) {
			t.Errorf("%s: %v", word, err)
		}
	}
	for _, word := range []string{"", "xyz", "weather", strings.Repeat("crack", 100)} {
		if err := field.OneOf(word, words, "cause"); err == nil || strings.Contains(err.Error(), "did you mean") {
			t.Errorf("%.20q: %v", word, err)
		}
	}
	if err := field.OneOf("vein", words, ""); err != nil {
		t.Error(err)
	}
}

func TestTagThatIsNoNumber(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a tag that is no number was taken")
		}
	}()
	_ = field.Check(&struct {
		X float64 `json:"x" maximum:"ten"`
	}{})
}

func TestReadIsStrict(t *testing.T) {
	type small struct {
		A int             `json:"a"`
		B json.RawMessage `json:"b,omitempty"`
	}
	deep := func(n int) string { return strings.Repeat(`{"a":`, n) + "1" + strings.Repeat("}", n) }
	for text, want := range map[string]string{
		`{"a":1}`:                           "<nil>",
		" \n{ \"a\" : 1 }\n":                "<nil>",
		`{"a":1,"b":{"a":1,"c":["a","a"]}}`: "<nil>",
		`{"a":1,"b":[{"x":1},{"x":2}]}`:     "<nil>",
		`{"a":1,"b":` + deep(15) + `}`:      "<nil>",
		`{"a":1,"b":` + deep(16) + `}`:      "too-deep ",
		`{"a":1,"a":1}`:                     "twice a",
		`{"a":1,"b":{"c":{"d":1},"c":2}}`:   "twice c",
		`{"a":1,"c":1}`:                     "unknown-field c",
		`{"a":"1"}`:                         "bad-field a",
		`{"a":1}{}`:                         "bad-body ",
		`{"a":1`:                            "bad-body ",
		`}{`:                                "bad-body ",
		`{"a":1}}`:                          "bad-body ",
		`"a"`:                               "bad-body ",
		`{"a\"":1}`:                         `unknown-field a\"`,
		`{"` + strings.Repeat("x", field.MaxBytes): "too-large ",
	} {
		var s small
		if got := code(field.Read([]byte(text), &s)); got != want && !(strings.HasPrefix(want, "unknown-field a") && strings.HasPrefix(got, "unknown-field a")) {
			t.Errorf("%.50s: want %s, got %s", text, want, got)
		}
	}
}

// What encoding/json writes of any map of numbers is read; what has one key twice is not.
func TestScanAgreesWithJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.MapOf(rapid.String(), rapid.Int()).Draw(t, "map")
		text, err := json.Marshal(map[string]any{"m": m})
		if err != nil {
			t.Fatal(err) // any text is a key: what is no UTF-8 is replaced
		}
		var into struct {
			M map[string]int `json:"m"`
		}
		if err := field.Read(text, &into); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		for k := range m {
			key, _ := json.Marshal(k)
			twice := fmt.Sprintf(`{"m":{%s:1,"other":{},%s:2}}`, key, key)
			if err := field.Read([]byte(twice), &into); code(err) != "twice "+string(key[1:len(key)-1]) && k != "other" {
				t.Fatalf("%s: %v", twice, err)
			}
		}
	})
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"depth":1,"names":["A"],"inside":{"id":"x"},"raw":[{}]}`))
	f.Add([]byte(`{"\"`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var r record
		if err := field.Read(text, &r); err == nil {
			_ = field.Check(&r)
		} else if code(err) == fmt.Sprint(err) {
			t.Fatalf("%v is no refusal", err)
		}
	})
}
