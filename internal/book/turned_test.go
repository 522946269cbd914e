package book_test

import (
	"fmt"
	"slices"
	"testing"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// An entry that says nothing of the turns is written as it ever was; one that says that none is turned says so.
func TestTurnsInTheBody(t *testing.T) {
	for _, c := range []struct {
		act  book.Act
		want string
	}{
		{&book.Match{Pieces: three, StepMM: 0.04}, `{"pieces":["P1","P2","P3"],"step_mm":0.04}`},
		{&book.Match{Pieces: three, Turned: []string{}}, `{"pieces":["P1","P2","P3"],"turned":[]}`},
		{&book.Match{Pieces: three, Turned: []string{"P3", "P1"}}, `{"pieces":["P1","P2","P3"],"turned":["P3","P1"]}`},
		{&book.LayUp{Set: "S1", Pieces: three, StepsMM: []float64{0, 0}}, `{"set":"S1","pieces":["P1","P2","P3"],"steps_mm":[0,0]}`},
		{&book.LayUp{Set: "S1", Pieces: three, StepsMM: []float64{0, 0}, Turned: []string{"P2"}}, `{"set":"S1","pieces":["P1","P2","P3"],"steps_mm":[0,0],"turned":["P2"]}`},
	} {
		word, body, err := book.Encode(c.act)
		if err != nil || string(body) != c.want {
			t.Errorf("%s, %v, want %s", body, err, c.want)
		}
		again, err := book.Decode(word, body)
		if err != nil {
			t.Fatal(err)
		}
		if _, body, err := book.Encode(again); err != nil || string(body) != c.want {
			t.Errorf("read and written again: %s, %v, want %s", body, err, c.want)
		}
	}
}

func TestWrongTurnsAreRefused(t *testing.T) {
	for body, want := range map[string]string{
		`"turned":["P4"]`:      "other-pieces turned.0",
		`"turned":["P1","P4"]`: "other-pieces turned.1",
		`"turned":["P1","P1"]`: "twice turned.1",
		`"turned":[""]`:        "missing turned.0",
		`"turned":["P1","P2","P3","P4","P5","P6","P7","P8"]`: "bad-count turned",
	} {
		for word, rest := range map[string]string{"match": "", "lay-up": `"set":"S1","steps_mm":[0,0],`} {
			_, err := book.Decode(word, []byte(`{"pieces":["P1","P2","P3"],`+rest+body+`}`))
			if told, ok := err.(*trouble.Trouble); !ok || told.Code+" "+told.Where != want || told.What == "" || told.Next == "" {
				t.Errorf("%s with %s: %v, want %s", word, body, err, want)
			}
		}
	}
}

// A bed from its other end: those lie turned that did not.
func TestTurnsFromEitherEnd(t *testing.T) {
	back := []string{"P3", "P2", "P1"}
	for _, c := range []struct {
		turned, seen []string
		want         string
		same         bool
	}{
		{[]string{"P2"}, three, "[P2] false", true},
		{[]string{"P2"}, back, "[P3 P1] false", true},
		{[]string{"P1", "P2", "P3"}, back, "[] false", true},
		{[]string{}, back, "[P3 P2 P1] false", true},
		{[]string{}, three, "[] false", true},
		{nil, back, "[] true", true},
		{nil, three, "[] true", true},
		{[]string{"P2"}, []string{"P1", "P3", "P2"}, "[] true", false},
	} {
		turned, same := (&book.Match{Pieces: three, Turned: c.turned}).TurnedIn(c.seen)
		if got := fmt.Sprint(turned, turned == nil); got != c.want || same != c.same {
			t.Errorf("%q seen as %q: %s %v, want %s %v", c.turned, c.seen, got, same, c.want, c.same)
		}
	}
}

// A set lies as its last lay-up says; one that does not say leaves it unknown.
func TestASetKeepsItsTurns(t *testing.T) {
	s := sawn(t)
	for _, turned := range [][]string{{"P2"}, {}, nil, {"P3", "P1"}} {
		a := layUp()
		a.Turned = turned
		s.do(a)
		if _, set := decoded[book.SetState](t, s.memory, book.KindSet, "S1"); !slices.Equal(set.Turned, turned) || (set.Turned == nil) != (turned == nil) {
			t.Errorf("%q were said, %q are kept", turned, set.Turned)
		}
	}
}
