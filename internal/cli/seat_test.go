package cli

import (
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/seating"
)

// Where nothing can be said a list is empty, never null: programs count on it.
func TestListsOfASeatingAreNeverNull(t *testing.T) {
	q := seating.Question{Spec: bed.NineFoot(), MaxStep: 0.127}
	for k := range q.Faces {
		q.Faces[k] = &face.Face{}
	}
	var text strings.Builder
	if err := verb.Render(&text, seatVerb{}.report(q, seating.Result{Feasible: true}), true); err != nil {
		t.Fatal(err)
	}
	for _, list := range []string{"levels", "shims", "contacts", "warnings"} {
		if !strings.Contains(text.String(), `"`+list+`":[]`) {
			t.Errorf("%s is not an empty list in %s", list, text.String())
		}
	}
}
