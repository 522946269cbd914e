package certificate

import (
	"testing"

	"slatewright/judge"
)

// stepped is a set of which the flattest seating makes steps that leave it in doubt, and which conforms when it is seated for
// smaller ones.
func stepped() Input {
	in := invented()
	in.Faces[0], in.Faces[1], in.Faces[2] = inventedFace("QH-0401", 80, 60, 10, 1), inventedFace("QH-0402", -110, -60, 0, 2), inventedFace("QH-0403", 80, 60, -10, 3)
	return in
}

// A set that conforms when the same pieces are seated with smaller steps is composed so, and its body says with which limit.
func TestComposeBestSeatsAnew(t *testing.T) {
	plain := composed(t, stepped())
	if plain.Found.Verdict != "cannot tell" || plain.Found.Next.Code != string(judge.Reseat) {
		t.Fatalf("%s, next %+v", plain.Found.Verdict, plain.Found.Next)
	}
	best, err := ComposeBest(stepped())
	if err != nil {
		t.Fatal(err)
	}
	if best.Found.Verdict != "conforms" || best.Given.Question.MaxStep != plain.Found.Next.Number || best.Found.Seating.Zone < plain.Found.Seating.Zone {
		t.Errorf("%s with steps of at most %s mm", best.Found.Verdict, best.Given.Question.MaxStep)
	}
	if r := check(t, written(t, sealedBy(t, best, testKey(t, true)))); !r.OK() {
		t.Errorf("%+v", r)
	}
}

// What does not conform after all stays as it was asked, and what conforms at once is not seated anew.
func TestComposeBestKeepsTheFirst(t *testing.T) {
	undated := stepped()
	undated.LayUp = readLayUp(t, inventedLayUp)
	undated.LayUp.Date = ""
	for name, in := range map[string]Input{"a lay-up without a date": undated, "good at once": invented()} {
		plain, err := Compose(in)
		if err != nil {
			t.Fatal(err)
		}
		best, err := ComposeBest(in)
		if err != nil {
			t.Fatal(err)
		}
		if d := compare(plain, best); len(d.figures)+len(d.prose) != 0 || best.Given.Question != plain.Given.Question {
			t.Errorf("%s: %+v", name, d)
		}
		if (best.Found.Next.Code == string(judge.Reseat)) != (name != "good at once") {
			t.Errorf("%s: next %+v", name, best.Found.Next)
		}
	}
	in := invented()
	in.Draws = 1
	if _, err := ComposeBest(in); err == nil {
		t.Error("one draw is too few, and no error")
	}
}
