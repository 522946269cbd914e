package feelers

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"slatewright/lowlp"
	"slatewright/trouble"
)

// A sheet of many lines, whose bounds take a while, can be given up soon.
func TestBoundsCanBeStopped(t *testing.T) {
	var b strings.Builder
	b.WriteString("# edge: blocks 2.00 mm\nline,x,y,passes_mm,stops_mm\n")
	for k := range 8 {
		for i := range 8 {
			fmt.Fprintf(&b, "H%d,%d,%d,2.00,2.05\n", k, 100*i, 100*k)
		}
		for i := range 8 {
			fmt.Fprintf(&b, "V%d,%d,%d,2.00,2.05\n", k, 100*k, 100*i)
		}
		fmt.Fprintf(&b, "D,%d,%d,2.00,2.05\n", 100*k, 100*k)
	}
	s, err := Read("many", strings.NewReader(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	s.Stop = func() bool { asked++; return asked > 200 }
	_, err = Bound(s)
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Code != lowlp.Stopped || asked > 300 {
		t.Errorf("%v after %d questions", err, asked)
	}
}
