package feelers_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/traverse/feelers"
)

// subset is the sheet of some rows; the cells of the others are emptied where a block stands, and the rows left out where none does.
func subset(rows []string, keep func(k int) bool) string {
	var s strings.Builder
	s.WriteString("# edge: blocks 2 mm\nline,x,y,passes_mm,stops_mm\n")
	for k, row := range rows {
		if !keep(k) {
			if k%3 == 1 {
				continue
			}
			row = strings.Join(strings.Split(row, ",")[:3], ",") + ",,"
		}
		s.WriteString(row + "\n")
	}
	return s.String()
}

func contradictory(t *testing.T, text string) bool {
	t.Helper()
	s, err := feelers.Read("edge.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	b, err := feelers.Bound(s)
	if err != nil {
		t.Fatal(err)
	}
	return len(b.Contradictions) > 0
}

// Readings that are named as a contradiction contradict each other without all the rest, and do not once any of them is left out.
func TestContradictionsAreIrreducible(t *testing.T) {
	stream := chance.NewStream(23)
	seen, several := 0, 0
	for range 120 {
		var rows []string
		for n, line := range layout(stream) {
			for k, p := range line {
				passes := 2 + 0.02*math.Round(3*stream.Normal())
				cells := fmt.Sprintf("%.2f,%.2f", passes, passes+0.10)
				if k != 1 {
					cells = ","
				}
				rows = append(rows, fmt.Sprintf("L%d,%g,%g,%s", n, p[0], p[1], cells))
			}
		}
		s, b := bound(t, subset(rows, func(int) bool { return true }))
		for _, c := range b.Contradictions {
			seen++
			named := map[int]bool{}
			for _, k := range c.Readings {
				named[s.Readings[k].Row-3] = true // two lines stand above the first
			}
			if len(named) > 2 {
				several++
			}
			if !contradictory(t, subset(rows, func(k int) bool { return named[k] })) {
				t.Errorf("%v alone do not contradict each other\n%s", named, strings.Join(rows, "\n"))
			}
			for left := range named {
				if contradictory(t, subset(rows, func(k int) bool { return named[k] && k != left })) {
					t.Errorf("without %d of %v there is a contradiction still\n%s", left, named, strings.Join(rows, "\n"))
				}
			}
		}
	}
	t.Logf("%d contradictions, %d of more than two readings", seen, several)
	if seen < 10 || several < 5 {
		t.Error("too few to tell")
	}
}
