package trouble_test

import (
	"errors"
	"io/fs"
	"testing"

	"slatewright/trouble"
)

func TestErrorSaysWhereWhatAndNext(t *testing.T) {
	cases := []struct {
		t    *trouble.Trouble
		want string
		exit int
	}{
		{trouble.Usage("no-file", "flatness", "no file was given", "name a CSV or PLY file"),
			"flatness: no file was given; name a CSV or PLY file", 64},
		{trouble.Data("bad-number", "a.csv:3", `"1,2" is not a number`, ""), `a.csv:3: "1,2" is not a number`, 65},
		{trouble.Own("lost", "", "the solver lost its basis", "report it"), "the solver lost its basis; report it", 70},
		{trouble.IO("unreadable", "a.csv", "cannot be read", ""), "a.csv: cannot be read", 74},
	}
	for _, c := range cases {
		if got := c.t.Error(); got != c.want {
			t.Errorf("%s: got %q, want %q", c.t.Code, got, c.want)
		}
		if got := c.t.Kind.ExitCode(); got != c.exit {
			t.Errorf("%s (%s): exit %d, want %d", c.t.Code, c.t.Kind, got, c.exit)
		}
	}
}

func TestCauseIsKept(t *testing.T) {
	err := error(trouble.IO("unreadable", "a.csv", "cannot be read", "").Because(fs.ErrNotExist))
	if !errors.Is(err, fs.ErrNotExist) {
		t.Error("the cause is lost")
	}
}
