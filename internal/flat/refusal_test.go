package flat_test

import (
	"errors"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/internal/flat"
	"slatewright/trouble"
)

func TestRefusalNamesTheFileAndWhatReadingItWarnedOf(t *testing.T) {
	f := &face.Face{Warnings: []string{"a.csv:2: no reading", "a.csv:3: no reading", "a.csv:4: no reading", "a.csv:5: no reading"}}
	f.Name = "a.csv"
	cause := trouble.Data("too-few-points", "", "three are too few", "read more")
	var told *trouble.Trouble
	if !errors.As(flat.Refusal(cause, f), &told) {
		t.Fatal("not trouble")
	}
	if told.Where != "a.csv" || told.Code != "too-few-points" || told.Next != "read more" || !errors.Is(told, cause) {
		t.Errorf("got %+v", told)
	}
	if !strings.Contains(told.What, "a.csv:4") || strings.Contains(told.What, "a.csv:5") || !strings.HasSuffix(told.What, "; and more") {
		t.Errorf("what: %q", told.What)
	}
	if cause.Where != "" || cause.What != "three are too few" {
		t.Errorf("the cause was changed: %+v", cause)
	}
	errors.As(flat.Refusal(trouble.Data("x", "point 7", "odd", "next"), f), &told)
	if told.Where != "a.csv, point 7" {
		t.Errorf("where: %q", told.Where)
	}
}

func TestRefusalLeavesOtherErrorsAlone(t *testing.T) {
	for _, err := range []error{errors.New("x"), trouble.Own("x", "", "x", ""), trouble.IO("x", "dev", "x", "")} {
		if got := flat.Refusal(err, &face.Face{}); got != err {
			t.Errorf("%v became %v", err, got)
		}
	}
}
