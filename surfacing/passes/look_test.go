package passes_test

import (
	"testing"

	"slatewright/surfacing/passes"
)

func TestLook(t *testing.T) {
	a, err := passes.Ask(question(t))
	if err != nil || a.Plan == nil {
		t.Fatal(err)
	}
}
