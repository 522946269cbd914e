package beddrawing

import (
	"fmt"
	"testing"
	"time"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
)

// full is a pattern with n holes spread over all its stone.
func full(p pattern.Pattern, n int) pattern.Pattern {
	like := p.Holes
	p.Holes = nil
	const columns = 58
	rows := float64((n + columns - 1) / columns)
	for i := range n {
		h := like[i%len(like)]
		h.X, h.Y = -p.SizeX/2+40+float64(i%columns)/columns*(p.SizeX-80), -p.SizeY/2+40+float64(i/columns)/rows*(p.SizeY-80)
		h.Name, h.Piece = fmt.Sprint("h", i), p.PieceAt(h.X)
		p.Holes = append(p.Holes, h)
	}
	return p
}

// A bed full of holes is drawn in the time that a page has: marks without room are left out, and the sheet points to the list.
func TestManyHolesAreDrawnInTime(t *testing.T) {
	p := full(shipped(t)["nine-foot"], 1644)
	began := time.Now()
	list, err := Sheets(p, Options{Paper: A3}, Views(p, drawing.Whole), true)
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(began); took > 30*time.Second { // it takes less than one; what grows with the cube takes minutes
		t.Errorf("%d sheets took %v", len(list), took)
	}
	for _, d := range list[:8] {
		if c := d.Clashes(); len(c) > 0 {
			t.Errorf("%s: %v", d.Name, c[0])
		}
		if said := texts(d); said["What has no room here stands in the list of holes."] != 1 {
			t.Errorf("%s does not point to the list of holes", d.Name)
		}
	}
}
