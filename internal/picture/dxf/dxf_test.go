package dxf_test

import (
	"bytes"
	"strconv"
	"strings"
	"testing"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/dxf"
)

// Every other line is a group's code, and what is drawn comes out once.
func TestPairs(t *testing.T) {
	d := dxf.New(dxf.Layer{Name: "CUTS", Colour: 3})
	d.Line("CUTS", []contour.Point{{X: -1e-9, Y: 2}, {X: 3.25, Y: 4}}, true)
	d.Name("CUTS", contour.Point{X: 1, Y: 1}, 25, "Ü\n1")
	var out bytes.Buffer
	if err := d.Write(&out); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
	if len(lines)%2 != 0 || lines[len(lines)-1] != "EOF" {
		t.Fatalf("%d lines, the last %q", len(lines), lines[len(lines)-1])
	}
	count := map[string]int{}
	for i := 0; i < len(lines); i += 2 {
		if _, err := strconv.Atoi(strings.TrimSpace(lines[i])); err != nil {
			t.Fatalf("line %d is no code: %q", i+1, lines[i])
		}
		count[lines[i+1]]++
	}
	for value, n := range map[string]int{"VERTEX": 2, "POLYLINE": 1, "0.0000": 4, "3.2500": 1, `\U+00DC1`: 1, "SECTION": 3, "ENDSEC": 3} {
		if count[value] != n {
			t.Errorf("%s stands %d times, want %d", value, count[value], n)
		}
	}
}
