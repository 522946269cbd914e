package cli

import (
	"errors"

	"slatewright/face"
	"slatewright/internal/cli/office"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// refusal is the trouble of a computation with the readings of f: it gets the name of the file as its place, or before a
// place within it, and what reading the file has warned of, since that may be the cause.
func refusal(err error, f *face.Face) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) || t.Kind != trouble.KindData {
		return err
	}
	told := *t
	if told.Where = f.Name; t.Where != "" {
		told.Where += ", " + t.Where
	}
	for i, w := range f.Warnings {
		if i == mostCauses {
			told.What += "; and more"
			break
		}
		told.What += "; " + w
	}
	return told.Because(err)
}

// mostCauses is how many warnings are shown with a refusal.
const mostCauses = 3

// millAnswers are the mill's own answers from the book that is named, none when none is.
func millAnswers(s *verb.Session, place string) (map[string]string, error) {
	if place == "" {
		return nil, nil
	}
	return office.MillAnswers(s, opened.Place{Book: place})
}
