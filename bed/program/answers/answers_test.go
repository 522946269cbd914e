package answers_test

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"strings"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/program/answers"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/machinefile"
	"slatewright/trouble"
)

func handbook(t *testing.T, name string) (pattern.Pattern, machine.Machine) {
	t.Helper()
	p, err := patternfile.ReadFile("../../../docs/examples/bed/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../../docs/examples/program/machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := machinefile.Parse("machine.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	return p, m
}

// Each program, replayed from its own text, is found as it was when it was written: its head names piece, face, pattern and revision.
func TestAProgramIsKnownByItsHead(t *testing.T) {
	p, m := handbook(t, "snooker-twelve-foot")
	a, err := answers.Written("bed.yaml", p, m, "", 0)
	if err != nil {
		t.Fatal(err)
	}
	if !a.Fits || len(a.Programs) < 5 || len(a.Warnings) != 4 {
		t.Errorf("fits %v, %d programs, %q", a.Fits, len(a.Programs), a.Warnings)
	}
	names := map[string]bool{}
	for _, one := range a.Programs {
		names[one.Name] = true
		again, err := answers.Simulated(one.Name, []byte(one.Text), p, m, answers.Asked{})
		if err != nil {
			t.Fatal(err)
		}
		if again.Piece != one.Piece || again.Face != one.Face || !reflect.DeepEqual(again.Replay, one.Replay) || len(again.Warnings) != 4 {
			t.Errorf("%s: %s, %s up, %q", one.Name, again.Piece, again.Face, again.Warnings)
		}
		if strings.Trim(one.Name, "abcdefghijklmnopqrstuvwxyz0123456789-.") != "" || !strings.HasSuffix(one.Name, ".nc") {
			t.Errorf("a file called %q", one.Name)
		}
	}
	if len(names) != len(a.Programs) {
		t.Errorf("%d names for %d programs", len(names), len(a.Programs))
	}
	if _, err := json.Marshal(a); err != nil {
		t.Error(err)
	}
}

// Of another revision, a program is replayed, with a warning.
func TestAnotherRevisionIsWarnedOf(t *testing.T) {
	p, m := handbook(t, "nine-foot")
	a, err := answers.Written("bed.yaml", p, m, "head", 0)
	if err != nil {
		t.Fatal(err)
	}
	p.Revision = "B"
	again, err := answers.Simulated("piece.nc", []byte(a.Programs[0].Text), p, m, answers.Asked{})
	if err != nil || len(again.Warnings) != 5 || !again.Replay.Fits {
		t.Errorf("%v, %+v", err, again)
	}
}

func TestWhatIsNotKnownIsNull(t *testing.T) {
	p, m := handbook(t, "nine-foot")
	m.Accelerate, m.Flow, m.Invented = machine.Axes{}, 0, false
	a, err := answers.Written("bed.yaml", p, m, "head", 26.5)
	if err != nil {
		t.Fatal(err)
	}
	if r := a.Programs[0].Replay; r.Seconds != nil || r.Litres != nil || !(r.Least > 0) || a.Thickness != 26.5 || len(a.Warnings) != 3 {
		t.Errorf("%+v, %q", r, a.Warnings)
	}
}

func TestWhoIsAskedForWhatIsMissing(t *testing.T) {
	p, m := handbook(t, "nine-foot")
	for _, c := range []struct {
		asked answers.Asked
		text  string
		code  string
	}{
		{answers.Asked{}, "M30", "no-piece"},
		{answers.Asked{Piece: "tail", Face: "top"}, "M30", "no-piece"},
		{answers.Asked{Piece: "Head"}, "M30", "no-face"},
		{answers.Asked{Piece: "centre", Face: "bottom"}, "M30", "no-face"},
		{answers.Asked{Piece: "head", Face: "top"}, "G0 X1", "bad-program"},
		{answers.Asked{Piece: "head", Face: "top"}, "(", "bad-program"},
	} {
		_, err := answers.Simulated("piece.nc", []byte(c.text), p, m, c.asked)
		if at := new(trouble.Trouble); !errors.As(err, &at) || at.Code != c.code || at.Next == "" {
			t.Errorf("%+v: %v", c.asked, err)
		}
	}
	bare := p
	bare.Holes, bare.Pockets = nil, nil
	if _, err := answers.Written("bed.yaml", bare, m, "", 0); err == nil {
		t.Error("a bed without holes has programs")
	}
}
