package cli

import (
	"slatewright/internal/cli/office"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
)

// millAnswers are the mill's own answers from the book that is named, none when none is.
func millAnswers(s *verb.Session, place string) (map[string]string, error) {
	if place == "" {
		return nil, nil
	}
	return office.MillAnswers(s, opened.Place{Book: place})
}
