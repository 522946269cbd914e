package book_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/internal/book"
	"slatewright/trouble"
)

func TestEveryActHasItsWord(t *testing.T) {
	want := "take-in survey lift slice cut reject surface mark read match lay-up dress-joint part-set resize drill check weigh enter-room leave-room " +
		"glue-lining ream finish repair judge certify pack ship return calibrate correct appoint settle"
	var words []string
	for _, a := range book.Acts() {
		words = append(words, a.Word())
	}
	if got := strings.Join(words, " "); got != want {
		t.Errorf("acts are %s", got)
	}
}

// Every struct in the file of acts that has a note of being an act is one: none is forgotten in the list.
func TestNoActIsForgotten(t *testing.T) {
	source, err := os.ReadFile("wording.go")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?m)^func \(\*(\w+)\) Word\(\)`).FindAllSubmatch(source, -1)
	if len(found) != len(book.Acts()) || len(found) == 0 {
		t.Errorf("%d structs have a word and %d are listed", len(found), len(book.Acts()))
	}
}

// Every field of every act and of what is in it says what it may hold, as far as numbers, numbers of things and digests go.
func TestFieldsSayWhatTheyHold(t *testing.T) {
	fields := 0
	var look func(path string, typ reflect.Type)
	look = func(path string, typ reflect.Type) {
		for i := range typ.NumField() {
			f := typ.Field(i)
			inner := f.Type
			for inner.Kind() == reflect.Pointer || inner.Kind() == reflect.Slice && inner.Elem().Kind() != reflect.Uint8 {
				inner = inner.Elem()
			}
			where := path + "." + f.Name
			fields++
			switch {
			case inner == reflect.TypeFor[book.Ref]() && f.Tag.Get("kinds") == "":
				t.Errorf("%s does not say which kinds it may name", where)
			case (inner.Kind() == reflect.Float64 || inner.Kind() == reflect.Int) && f.Tag.Get("maximum") == "":
				t.Errorf("%s has no greatest value", where)
			case inner.Kind() == reflect.Struct && inner != reflect.TypeFor[book.Ref]() && inner != reflect.TypeFor[time.Time]():
				look(where, inner)
			}
		}
	}
	for _, a := range book.Acts() {
		look(a.Word(), reflect.TypeOf(a).Elem())
	}
	if fields < 100 {
		t.Errorf("only %d fields were looked at", fields)
	}
}

func TestWhatOneActRefuses(t *testing.T) {
	nan := math.NaN()
	long := strings.Repeat("x", 2001)
	for _, c := range []struct {
		code, where string
		act         book.Act
	}{
		{"bad-id", "piece", &book.Ream{Piece: "P 1"}},
		{"missing", "piece", &book.Ream{}},
		{"out-of-range", "holes", &book.Ream{Piece: "P1", Holes: -1}},
		{"out-of-range", "mass_kg", &book.Weigh{Thing: onPiece("P1"), Scale: "S", MassKg: 0}},
		{"out-of-range", "mass_kg", &book.Weigh{Thing: onPiece("P1"), Scale: "S", MassKg: nan}},
		{"out-of-range", "mass_kg", &book.Weigh{Thing: onPiece("P1"), Scale: "S", MassKg: math.Inf(1)}},
		{"not-one-of", "thing", &book.Weigh{Thing: ref(book.KindDisc, "D"), Scale: "S", MassKg: 1}},
		{"missing", "thing", &book.Weigh{Scale: "S", MassKg: 1}},
		{"not-one-of", "cause", &book.Reject{Thing: onPiece("P1"), Cause: "crak"}},
		{"too-long", "note", &book.Reject{Thing: onPiece("P1"), Cause: "crack", Note: long}},
		{"bad-text", "note", &book.Reject{Thing: onPiece("P1"), Cause: "crack", Note: "a\x00b"}},
		{"bad-digest", "blob", &book.Read{Thing: onPiece("P1"), What: "top", Instruments: []string{"D"}, Blob: strings.ToUpper(digest)}},
		{"empty-reading", "value", &book.Read{Thing: onPiece("P1"), What: "top", Instruments: []string{"D"}}},
		{"not-one-of", "unit", &book.Read{Thing: onPiece("P1"), What: "thickness", Instruments: []string{"D"}, Value: value(1.02), Unit: "in"}},
		{"out-of-range", "value", &book.Read{Thing: onPiece("P1"), What: "thickness", Instruments: []string{"D"}, Value: value(0), Unit: "mm"}},
		{"bad-count", "instruments", &book.Read{Thing: onPiece("P1"), What: "top", Blob: digest}},
		{"out-of-range", "top_c", &book.Read{Thing: onPiece("P1"), What: "top", Instruments: []string{"D"}, TopC: &nan}},
		{"twice", "pieces.1", &book.Match{Pieces: []string{"P1", "P1"}}},
		{"bad-count", "pieces", &book.Match{Pieces: []string{"P1"}}},
		{"bad-count", "steps_mm", &book.LayUp{Set: "S", Pieces: three, StepsMM: []float64{0}}},
		{"out-of-range", "steps_mm.1", &book.LayUp{Set: "S", Pieces: three, StepsMM: []float64{0, 51}}},
		{"bad-facts", "stone", &book.TakeIn{Thing: ref(book.KindRoom, "R"), Room: &book.RoomFacts{}, Stone: &book.StoneFacts{}}},
		{"bad-facts", "room", &book.TakeIn{Thing: ref(book.KindRoom, "R")}},
		{"not-one-of", "thing", &book.TakeIn{Thing: ref(book.KindPerson, "R")}},
		{"out-of-range", "stone.length_mm", &book.TakeIn{Thing: onPiece("P1"), Stone: &book.StoneFacts{LengthMM: 1e6}}},
		{"missing", "order.due", &book.TakeIn{Thing: ref(book.KindOrder, "O"), Order: &book.OrderFacts{Size: "9 ft", Sets: 1}}},
		{"not-one-of", "order.size", &book.TakeIn{Thing: ref(book.KindOrder, "O"), Order: &book.OrderFacts{Size: "10 ft", Sets: 1, Due: opening}}},
		{"out-of-range", "order.sets", &book.TakeIn{Thing: ref(book.KindOrder, "O"), Order: &book.OrderFacts{Size: "9 ft", Due: opening}}},
		{"too-long", "order.class", &book.TakeIn{Thing: ref(book.KindOrder, "O"), Order: &book.OrderFacts{Size: "9 ft", Sets: 1, Due: opening, Class: long}}},
		{"out-of-range", "stone.length_mm", &book.TakeIn{Thing: onPiece("P1"), Stone: &book.StoneFacts{LengthMM: 914, WidthMM: 1473}}},
		{"out-of-range", "stone.length_mm", &book.Lift{Block: "B", Layer: "L", Stone: book.StoneFacts{LengthMM: 914, WidthMM: 1473}}},
		{"out-of-range", "pieces.0.stone.length_mm", &book.Cut{Slab: "S", Pieces: []book.NewStone{{ID: "X", Stone: book.StoneFacts{LengthMM: 914, WidthMM: 1473}}}}},
		{"not-one-of", "to", &book.Resize{Piece: "P1", To: "6 ft", LengthMM: 3, WidthMM: 3}},
		{"out-of-range", "width_mm", &book.Resize{Piece: "P1", To: "7 ft", LengthMM: 3}},
		{"twice", "pieces.1.id", &book.Cut{Slab: "S", Pieces: []book.NewStone{stone("P1", ""), stone("P1", "")}}},
		{"bad-facts", "slabs.0.stone.from", &book.Slice{Block: "B", How: "sawn", Slabs: []book.NewStone{{ID: "X", Stone: book.StoneFacts{From: "B"}}}}},
		{"not-one-of", "slabs.0.stone.marked_on", &book.Slice{Block: "B", How: "sawn", Slabs: []book.NewStone{stone("X", "side")}}},
		{"missing", "due", &book.Calibrate{Thing: ref(book.KindBench, "B"), Good: true}},
		{"out-of-range", "due", &book.Calibrate{Thing: ref(book.KindBench, "B"), Good: true, Due: opening.AddDate(9000, 0, 0)}},
		{"missing", "why", &book.Correct{Entry: "E"}},
		{"bad-correction", "act", &book.Correct{Entry: "E", Why: "?", Act: "ream"}},
		{"bad-correction", "at", &book.Correct{Entry: "E", Why: "?", At: &opening}},
		{"bad-correction", "act", &book.Correct{Entry: "E", Why: "?", Act: "settle", Body: []byte(`{}`)}},
		{"missing", "piece", &book.Correct{Entry: "E", Why: "?", Act: "ream", Body: []byte(`{"holes":1}`)}},
		{"not-one-of", "role", &book.Appoint{Person: "p", Role: "boss"}},
		{"missing", "name", &book.Settle{}},
		{"bad-text", "answers.a", &book.Settle{Name: "x", Answers: map[string]string{"a": "\x01"}}},
		{"not-one-of", "answers.lining-layout", &book.Settle{Name: "x", Answers: map[string]string{"lining-layout": "wool"}}},
		{"missing", "answers", &book.Settle{Name: "x", Answers: map[string]string{"": "b"}}},
	} {
		_, _, err := book.Encode(c.act)
		tr, ok := err.(*trouble.Trouble)
		if !ok || tr.Code != c.code || tr.Where != c.where || tr.What == "" || tr.Next == "" {
			t.Errorf("%s %+v:\n want %s at %s, got %+v", c.act.Word(), c.act, c.code, c.where, tr)
		}
	}
}

func TestDecodingIsStrict(t *testing.T) {
	for _, c := range []struct{ word, body, code, where string }{
		{"reem", `{}`, "not-one-of", "act"},
		{"ream", `{"piece":"P1","holes":8,"colour":1}`, "unknown-field", "colour"},
		{"ream", `{"piece":"P1","holes":"8"}`, "bad-field", "holes"},
		{"ream", `{"piece":"P1","holes":8.5}`, "bad-field", "holes"},
		{"ream", `{"piece":"P1","piece":"P2","holes":8}`, "twice", "piece"},
		{"ream", `{"piece":"P1","holes":8} {}`, "bad-body", ""},
		{"ream", `{"piece":"P1","holes":8`, "bad-body", ""},
		{"ream", `[]`, "bad-body", ""},
		{"ream", `null`, "bad-body", ""},
		{"ream", ``, "bad-body", ""},
		{"ream", `{"piece":"` + strings.Repeat("x", 1<<16) + `"}`, "too-large", ""},
		{"correct", `{"entry":"E","why":"w","act":"x","body":` + strings.Repeat("[", 20) + strings.Repeat("]", 20) + `}`, "too-deep", ""},
		{"weigh", `{"thing":"stone:1","scale":"S","mass_kg":1}`, "not-one-of", ""},
		{"weigh", `{"thing":"piece","scale":"S","mass_kg":1}`, "bad-ref", ""},
	} {
		a, err := book.Decode(c.word, []byte(c.body))
		tr, ok := err.(*trouble.Trouble)
		if !ok || tr.Code != c.code || c.where != "" && tr.Where != c.where || tr.Next == "" || a != nil && err == nil {
			t.Errorf("%s %.60s: want %s, got %+v", c.word, c.body, c.code, tr)
		}
	}
	if _, err := book.Decode("reem", []byte(`{}`)); !strings.Contains(err.Error(), `did you mean "ream"`) {
		t.Error(err)
	}
}

// What is encoded is decoded to the same act, and encodes to the same bytes.
func TestEncodedIsDecoded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &story{t: t}
		a := s.act()
		word, body, err := book.Encode(a)
		if err != nil {
			t.Fatal(err)
		}
		again, err := book.Decode(word, body)
		if err != nil || !reflect.DeepEqual(again, a) {
			t.Fatalf("%v: %+v came back as %+v", err, a, again)
		}
	})
	for _, a := range furniture() {
		word, body, err := book.Encode(a)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := book.Decode(word, body); err != nil || !reflect.DeepEqual(again, a) {
			t.Errorf("%v: %+v came back as %+v", err, a, again)
		}
	}
}

// FuzzDecode: no bytes make a panic, and what is read is canonical: its encoding is read as the same.
func FuzzDecode(f *testing.F) {
	for _, a := range append(furniture(), finishing()...) {
		word, body, err := book.Encode(a)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(word, []byte(body))
	}
	f.Add("correct", []byte(`{"entry":"E","why":"w","act":"weigh","body":{"thing":"piece:P","scale":"S","mass_kg":1},"at":"2026-01-01T00:00:00+02:00"}`))
	f.Fuzz(func(t *testing.T, word string, body []byte) {
		a, err := book.Decode(word, body)
		if err != nil {
			if tr, ok := err.(*trouble.Trouble); !ok || tr.Kind != trouble.KindData || tr.Next == "" {
				t.Fatalf("%v is no refusal", err)
			}
			return
		}
		_, once, err := book.Encode(a)
		if err != nil {
			t.Fatalf("read and not written: %v", err)
		}
		b, err := book.Decode(word, once)
		if err != nil {
			t.Fatalf("%s is not read again: %v", once, err)
		}
		if _, twice, err := book.Encode(b); err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("%s became %s", once, twice)
		}
	})
}

// The hash is SHA-256 over one line of JSON and the body's own bytes, written here by hand.
func TestHashOfAnEntry(t *testing.T) {
	e := book.Entry{Seq: 7, ID: "01KJPNHFC00000000000000010", Site: "quern-hollow", At: time.UnixMilli(1772434800123), Person: "saw-1", Station: book.Saw,
		Act: "ream", Body: json.RawMessage(`{ "piece": "<P1>" }`)}
	e.Prev[0] = 0xab
	line := `{"seq":7,"id":"01KJPNHFC00000000000000010","site":"quern-hollow","at_ms":1772434800123,"person":"saw-1","station":"saw","act":"ream","prev":"ab` +
		strings.Repeat("0", 62) + `"}` + "\n" + `{ "piece": "<P1>" }`
	if got, want := book.HashOf(e), book.Digest(sha256.Sum256([]byte(line))); got != want {
		t.Errorf("%s, by hand %s", got, want)
	}
	// Every field is held by it.
	for i, change := range []func(*book.Entry){
		func(e *book.Entry) { e.Seq++ }, func(e *book.Entry) { e.ID = "x" }, func(e *book.Entry) { e.Site = "x" }, func(e *book.Entry) { e.At = e.At.Add(time.Millisecond) },
		func(e *book.Entry) { e.Person = "x" }, func(e *book.Entry) { e.Station = "x" }, func(e *book.Entry) { e.Act = "x" },
		func(e *book.Entry) { e.Body = json.RawMessage(`{ "piece":"<P1>" }`) }, func(e *book.Entry) { e.Prev[31] = 1 }, func(e *book.Entry) { e.Body = json.RawMessage("{") },
	} {
		other := e
		if change(&other); book.HashOf(other) == book.HashOf(e) {
			t.Errorf("change %d does not show", i)
		}
	}
	if d := book.HashOf(e); d.String() != fmt.Sprintf("%x", d[:]) {
		t.Error("a digest is not written in hexadecimal")
	}
}

func TestRefsAreReadAsWritten(t *testing.T) {
	for _, s := range []string{"piece:QH-0101", "bit-set:B.1_a/2", "mill:quern-hollow", "order:1"} {
		r, err := book.ParseRef(s)
		if err != nil || r.String() != s {
			t.Errorf("%s: %v %v", s, r, err)
		}
		var again book.Ref
		if err := again.UnmarshalText([]byte(s)); err != nil || again != r {
			t.Errorf("%s: %v %v", s, again, err)
		}
	}
	for s, code := range map[string]string{"piece": "bad-ref", "": "bad-ref", "stone:1": "not-one-of", "piece:": "bad-id", "piece:-1": "bad-id",
		"piece:a b": "bad-id", "piece:" + strings.Repeat("a", 41): "bad-id", "piece:a:b": "bad-id"} {
		if _, err := book.ParseRef(s); err == nil || err.(*trouble.Trouble).Code != code {
			t.Errorf("%q: %v", s, err)
		}
	}
	empty := book.Ref{Kind: "x"}
	if err := empty.UnmarshalText(nil); err != nil || empty != (book.Ref{}) {
		t.Errorf("%v %v", empty, err)
	}
}

func TestEveryKindHasAState(t *testing.T) {
	for _, k := range book.Kinds() {
		s, err := book.StateOf(book.Thing{Ref: book.Ref{Kind: k, ID: "X"}, State: []byte(`{"born_ms":5,"met":["disc:D@7"]}`)})
		if err != nil {
			t.Errorf("%s: %v", k, err)
			continue
		}
		text, err := json.Marshal(s)
		if err != nil || !bytes.Contains(text, []byte(`"met":["disc:D@7"]`)) || !bytes.Contains(text, []byte(`"born_ms":5`)) {
			t.Errorf("%s: %s %v", k, text, err)
		}
		for _, bad := range []string{`{"met":["disc:D"]}`, `{"met":["disc@7"]}`, `{"met":["disc:D@x"]}`, `[]`} {
			if _, err := book.StateOf(book.Thing{Ref: book.Ref{Kind: k, ID: "X"}, State: []byte(bad)}); err == nil {
				t.Errorf("%s: %s was read", k, bad)
			}
		}
	}
}
